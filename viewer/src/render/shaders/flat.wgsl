// Flat see-through outlines, and the background.

@vertex
fn shade(@location(0) at: vec3<f32>, @location(1) word: u32) -> @builtin(position) vec4<f32> {
    let eye = all.frame.eye_from_world * vec4<f32>(at, 1.0);
    let pixel = select(all.frame.pixel.x, all.frame.pixel.x * max(-eye.z, 0.0), all.frame.size.w > 0.5);
    // The word counts for nothing here; it is named so that both kinds of meshes have one layout.
    let nothing = f32(word & 0u);
    return all.frame.clip_from_eye * vec4<f32>(eye.xy, eye.z + pixel + nothing, 1.0);
}

@fragment
fn shade_colour() -> @location(0) vec4<f32> {
    return all.item.colour;
}

struct Sky {
    @builtin(position) clip: vec4<f32>,
    @location(0) height: f32,
}

@vertex
fn sky(@builtin(vertex_index) number: u32) -> Sky {
    let x = f32(i32(number & 1u) * 4 - 1);
    let y = f32(i32(number >> 1u) * 4 - 1);
    var out: Sky;
    out.clip = vec4<f32>(x, y, 1.0, 1.0);
    out.height = 0.5 + 0.5 * y;
    return out;
}

@fragment
fn sky_colour(in: Sky) -> @location(0) vec4<f32> {
    return vec4<f32>(mix(all.frame.ground.rgb, all.frame.sky.rgb, in.height), 1.0);
}
