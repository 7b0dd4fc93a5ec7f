// Lines of a width in pixels, with patterns, smoothed at their borders.

struct Out {
    @builtin(position) clip: vec4<f32>,
    @location(0) @interpolate(flat) colour: vec4<f32>,
    // Pixels along and across; half the width.
    @location(1) @interpolate(linear) along: f32,
    @location(2) @interpolate(linear) across: f32,
    @location(3) @interpolate(flat) half: f32,
    @location(4) @interpolate(flat) pattern: u32,
    @location(5) beyond: f32,
}

// A little nearer to the eye than it is, so that a line on a surface is not half buried.
fn nearer(eye: vec4<f32>) -> vec4<f32> {
    let pixel = select(all.frame.pixel.x, all.frame.pixel.x * max(-eye.z, 0.0), all.frame.size.w > 0.5);
    return vec4<f32>(eye.xy, eye.z + 1.5 * pixel, 1.0);
}

@vertex
fn vertex(
    @builtin(vertex_index) number: u32,
    @location(0) from_at: vec3<f32>,
    @location(1) colour: vec4<f32>,
    @location(2) to_at: vec3<f32>,
    @location(3) style: u32,
) -> Out {
    let world_a = all.item.world_from_mesh * vec4<f32>(from_at, 1.0);
    let world_b = all.item.world_from_mesh * vec4<f32>(to_at, 1.0);
    var a = all.frame.clip_from_eye * nearer(all.frame.eye_from_world * world_a);
    var b = all.frame.clip_from_eye * nearer(all.frame.eye_from_world * world_b);
    // In perspective a piece may begin behind the eye: it is cut off just in front of it.
    let least = 1.0e-3;
    if a.w < least && b.w > least { a = mix(a, b, (least - a.w) / (b.w - a.w)); }
    if b.w < least && a.w > least { b = mix(b, a, (least - b.w) / (a.w - b.w)); }
    let half_size = 0.5 * all.frame.size.xy;
    let sa = a.xy / a.w * half_size;
    let sb = b.xy / b.w * half_size;
    let length = distance(sa, sb);
    let way = select(vec2<f32>(1.0, 0.0), (sb - sa) / length, length > 1.0e-6);
    let half = 0.05 * f32(style & 0xFFu) * all.frame.size.z;
    let ends = array<u32, 6>(0u, 0u, 1u, 0u, 1u, 1u);
    let sides = array<f32, 6>(-1.0, 1.0, 1.0, -1.0, 1.0, -1.0);
    let second = ends[number] == 1u;
    let side = sides[number] * (half + 1.0);
    // Full strokes reach a little beyond their ends, so that corners have no notch.
    let beyond_end = select(0.0, 0.5 * half, colour.a > 0.99 && (style >> 8u) == 0u);
    let base = select(sa - way * beyond_end, sb + way * beyond_end, second);
    let place = base + vec2<f32>(-way.y, way.x) * side;
    let end = select(a, b, second);
    var out: Out;
    out.clip = vec4<f32>(place / half_size * end.w, end.z, end.w);
    out.colour = colour;
    out.along = select(-beyond_end, length + beyond_end, second);
    out.across = side;
    out.half = half;
    out.pattern = style >> 8u;
    out.beyond = dot(all.frame.plane, select(world_a, world_b, second));
    return out;
}

@fragment
fn fragment(in: Out) -> @location(0) vec4<f32> {
    let away = abs(in.across);
    var seen = clamp(in.half + 0.5 - away, 0.0, 1.0) * min(in.half * 2.0, 1.0);
    if in.pattern == 1u {
        let period = 11.0 * all.frame.size.z;
        let off = abs(fract(in.along / period) - 0.5) * period;
        seen *= clamp(3.4 * all.frame.size.z - off + 0.5, 0.0, 1.0);
    }
    if in.pattern == 2u {
        seen *= clamp(away - 0.30 * in.half + 0.5, 0.0, 1.0);
    }
    if all.item.more.y > 0.5 && in.beyond > 1.0e-4 {
        seen = 0.0;
    }
    if seen <= 0.0 {
        discard;
    }
    return vec4<f32>(in.colour.rgb, in.colour.a * seen * all.item.more.x);
}
