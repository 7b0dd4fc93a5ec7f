// The finished image onto a window, or a part of it as large as the image: pixel for pixel.

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
    return textureLoad(picture, clamp(vec2<i32>(place * vec2<f32>(size)), vec2<i32>(0), size - 1), 0);
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
