// The faces that a section plane lays open: the whole plane, drawn where the stencil says that it lies inside.

struct Out {
    @builtin(position) clip: vec4<f32>,
    @location(0) at_eye: vec3<f32>,
}

@vertex
fn vertex(@builtin(vertex_index) number: u32) -> Out {
    var corners = array<vec2<f32>, 6>(
        vec2<f32>(-1.0, -1.0), vec2<f32>(1.0, -1.0), vec2<f32>(1.0, 1.0),
        vec2<f32>(-1.0, -1.0), vec2<f32>(1.0, 1.0), vec2<f32>(-1.0, 1.0),
    );
    let c = corners[number];
    var out: Out;
    let world = all.frame.plane_middle.xyz + c.x * all.frame.plane_u.xyz + c.y * all.frame.plane_v.xyz;
    let eye = all.frame.eye_from_world * vec4<f32>(world, 1.0);
    out.at_eye = eye.xyz;
    out.clip = all.frame.clip_from_eye * eye;
    return out;
}

@fragment
fn fragment(in: Out) -> @location(0) vec4<f32> {
    let normal = (all.frame.eye_from_world * vec4<f32>(all.frame.plane.xyz, 0.0)).xyz;
    // Section lines as on a drawing, at 45 degrees, neighbours in opposite senses.
    let pitch = 9.0 * all.frame.size.z;
    let along = (in.clip.x + all.item.more.y * in.clip.y) * 0.70710678;
    let off = abs(fract(along / pitch) - 0.5) * pitch;
    let line = 1.0 - clamp(off - 0.3 * all.frame.size.z, 0.0, 1.0);
    let light = lit(unscreen(all.item.colour.rgb), 0.0, normal, towards_eye(in.at_eye));
    return vec4<f32>(screen(light * (1.0 - 0.38 * line)), 1.0);
}
