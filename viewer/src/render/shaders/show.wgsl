// The finished image onto a window, or a part of it as large as the image: pixel for pixel. An image twice as large is halved.

@group(0) @binding(0) var picture: texture_2d<f32>;

struct Corner {
    @builtin(position) at: vec4<f32>,
    // From 0 to 1 across the viewport, from its upper left corner.
    @location(0) place: vec2<f32>,
}

@vertex
fn vertex(@builtin(vertex_index) number: u32) -> Corner {
    let x = f32(i32(number & 1u) * 4 - 1);
    let y = f32(i32(number >> 1u) * 4 - 1);
    return Corner(vec4<f32>(x, y, 0.0, 1.0), vec2<f32>(0.5 + 0.5 * x, 0.5 - 0.5 * y));
}

fn pixel(place: vec2<f32>) -> vec4<f32> {
    let size = vec2<i32>(textureDimensions(picture));
    let at = place * vec2<f32>(size);
    if fwidth(at.x) < 1.5 {
        return textureLoad(picture, clamp(vec2<i32>(at), vec2<i32>(0), size - 1), 0);
    }
    let first = clamp(vec2<i32>(at - 0.5), vec2<i32>(0), size - 2);
    return 0.25 * (textureLoad(picture, first, 0)
        + textureLoad(picture, first + vec2<i32>(1, 0), 0)
        + textureLoad(picture, first + vec2<i32>(0, 1), 0)
        + textureLoad(picture, first + vec2<i32>(1, 1), 0));
}

// For windows that take screen values as they are.
@fragment
fn plain(@location(0) place: vec2<f32>) -> @location(0) vec4<f32> {
    return pixel(place);
}

// For windows that encode by themselves.
@fragment
fn decoded(@location(0) place: vec2<f32>) -> @location(0) vec4<f32> {
    let c = pixel(place);
    let light = select(pow((c.rgb + 0.055) / 1.055, vec3<f32>(2.4)), c.rgb / 12.92, c.rgb <= vec3<f32>(0.04045));
    return vec4<f32>(light, c.a);
}
