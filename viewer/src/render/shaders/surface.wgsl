// Solids. One of the three files `surface_*.wgsl` follows.

struct Out {
    @builtin(position) clip: vec4<f32>,
    @location(0) at_eye: vec3<f32>,
    @location(1) normal: vec3<f32>,
    @location(2) tint: f32,
    @location(3) beyond: f32,
}

fn unpacked(word: u32) -> vec3<f32> {
    let u = f32(word & 0x7FFu) / 2046.0 * 2.0 - 1.0;
    let v = f32((word >> 11u) & 0x7FFu) / 2046.0 * 2.0 - 1.0;
    let z = 1.0 - abs(u) - abs(v);
    let down = max(-z, 0.0);
    return normalize(vec3<f32>(u + select(down, -down, u >= 0.0), v + select(down, -down, v >= 0.0), z));
}

@vertex
fn vertex(@location(0) at: vec3<f32>, @location(1) word: u32) -> Out {
    var out: Out;
    let world = all.item.world_from_mesh * vec4<f32>(at, 1.0);
    let eye = all.frame.eye_from_world * world;
    out.clip = all.frame.clip_from_eye * eye;
    out.at_eye = eye.xyz;
    out.normal = (all.frame.eye_from_world * (all.item.world_from_mesh * vec4<f32>(unpacked(word), 0.0))).xyz;
    out.tint = f32(word >> 22u);
    out.beyond = dot(all.frame.plane, world);
    return out;
}

fn painted(in: Out) -> vec4<f32> {
    let tint = u32(clamp(in.tint + 0.5, 0.0, 1023.0));
    let four = all.item.palette[tint >> 2u];
    let paint = unpack4x8unorm(four[tint & 3u]);
    let light = lit(unscreen(paint.rgb), paint.a, in.normal, towards_eye(in.at_eye));
    return vec4<f32>(screen(light), all.item.more.x);
}
