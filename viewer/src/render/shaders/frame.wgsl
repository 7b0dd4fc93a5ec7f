// What all shaders of a frame share. Lengths in millimetres; "eye": X right, Y up, Z towards the eye.

struct Frame {
    clip_from_eye: mat4x4<f32>,
    eye_from_world: mat4x4<f32>,
    // Section plane in the world: what gives more than 0 is cut away.
    plane: vec4<f32>,
    // A point of the plane, and two ways along it, each as long as the scene is large.
    plane_middle: vec4<f32>,
    plane_u: vec4<f32>,
    plane_v: vec4<f32>,
    // Width and height in pixels, pixels in a point, 1 in perspective.
    size: vec4<f32>,
    // Millimetres in a pixel: in the parallel view; for each millimetre of distance in perspective.
    pixel: vec4<f32>,
    // Background, screen values.
    sky: vec4<f32>,
    ground: vec4<f32>,
}

struct Item {
    world_from_mesh: mat4x4<f32>,
    // Screen values.
    colour: vec4<f32>,
    // Opacity; sense of hatching, or 1 for lines that are cut; how evenly it is lit.
    more: vec4<f32>,
    // Colours of tints, four in each, with the shine in place of opacity.
    palette: array<vec4<u32>, 256>,
}

// One block for both: with two, OpenGL on some hardware reads the first for the second.
struct All {
    frame: Frame,
    item: Item,
}

@group(0) @binding(0) var<uniform> all: All;

// Encoded as screens want it (IEC 61966-2-1).
fn screen(light: vec3<f32>) -> vec3<f32> {
    let c = clamp(light, vec3<f32>(0.0), vec3<f32>(1.0));
    return select(1.055 * pow(c, vec3<f32>(1.0 / 2.4)) - 0.055, 12.92 * c, c <= vec3<f32>(0.0031308));
}

fn unscreen(c: vec3<f32>) -> vec3<f32> {
    return select(pow((c + 0.055) / 1.055, vec3<f32>(2.4)), c / 12.92, c <= vec3<f32>(0.04045));
}

// From a surface towards the eye.
fn towards_eye(at: vec3<f32>) -> vec3<f32> {
    if all.frame.size.w > 0.5 {
        return normalize(-at);
    }
    return vec3<f32>(0.0, 0.0, 1.0);
}

// Light of a bench with a wide lamp above left, a weaker one at the right, and a bright room: stands with the eye.
fn lit(colour: vec3<f32>, shine: f32, normal: vec3<f32>, view: vec3<f32>) -> vec3<f32> {
    let n = normalize(normal);
    let lamp = normalize(vec3<f32>(-0.55, 0.66, 0.56));
    let side = normalize(vec3<f32>(0.85, 0.05, 0.42));
    let room = mix(0.20, 0.46, 0.5 + 0.5 * n.y);
    let direct = 0.62 * max(dot(n, lamp), 0.0) + 0.10 * max(dot(n, side), 0.0);
    let facing = 0.10 * max(dot(n, view), 0.0);
    // What a milled face mirrors: a soft box above, a dark floor.
    let mirrored = reflect(-view, n);
    let box_light = smoothstep(0.15, 0.95, dot(mirrored, lamp));
    let window = smoothstep(0.75, 1.0, dot(mirrored, side));
    let fresnel = 0.25 + 0.75 * pow(1.0 - max(dot(n, view), 0.0), 4.0);
    let gloss = shine * (0.30 * box_light * box_light + 0.12 * window + 0.10 * fresnel * max(mirrored.y, 0.0));
    // Colours that are to be read are lit evenly, so that each stays the one of the legend.
    let even = all.item.more.z;
    let level = mix(room + direct + facing, 0.80 + 0.20 * (room + direct + facing), even);
    return colour * level + mix(vec3<f32>(1.0), colour, 0.55) * gloss * (1.0 - even);
}
