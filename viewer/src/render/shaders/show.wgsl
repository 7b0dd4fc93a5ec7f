// The finished image onto a window, pixel for pixel.

@group(0) @binding(0) var picture: texture_2d<f32>;

@vertex
fn vertex(@builtin(vertex_index) number: u32) -> @builtin(position) vec4<f32> {
    let x = f32(i32(number & 1u) * 4 - 1);
    let y = f32(i32(number >> 1u) * 4 - 1);
    return vec4<f32>(x, y, 0.0, 1.0);
}

fn pixel(at: vec4<f32>) -> vec4<f32> {
    let size = vec2<i32>(textureDimensions(picture));
    return textureLoad(picture, clamp(vec2<i32>(at.xy), vec2<i32>(0), size - 1), 0);
}

// For windows that take screen values as they are.
@fragment
fn plain(@builtin(position) at: vec4<f32>) -> @location(0) vec4<f32> {
    return pixel(at);
}

// For windows that encode by themselves.
@fragment
fn decoded(@builtin(position) at: vec4<f32>) -> @location(0) vec4<f32> {
    let c = pixel(at);
    let light = select(pow((c.rgb + 0.055) / 1.055, vec3<f32>(2.4)), c.rgb / 12.92, c.rgb <= vec3<f32>(0.04045));
    return vec4<f32>(light, c.a);
}
