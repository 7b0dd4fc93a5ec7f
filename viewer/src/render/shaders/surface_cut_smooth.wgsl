// What a section plane cuts, with four samples a pixel: each is kept or not by itself, so the edge of the cut is smooth.

struct Cut {
    @location(0) colour: vec4<f32>,
    @builtin(sample_mask) mask: u32,
}

// Samples on the side that is kept. They lie where all drivers have them: an eighth and three eighths off the middle.
fn kept(beyond: f32) -> u32 {
    let x = vec4<f32>(-0.125, 0.375, -0.375, 0.125);
    let y = vec4<f32>(-0.375, -0.125, 0.125, 0.375);
    let at = vec4<f32>(beyond) + dpdx(beyond) * x + dpdy(beyond) * y;
    let bits = select(vec4<u32>(1u, 2u, 4u, 8u), vec4<u32>(0u), at > vec4<f32>(0.0));
    return bits.x | bits.y | bits.z | bits.w;
}

@fragment
fn fragment(in: Out) -> Cut {
    let mask = kept(in.beyond);
    return Cut(painted(in), mask);
}

// For counting in the stencil only.
@fragment
fn count(in: Out) -> Cut {
    return Cut(vec4<f32>(0.0), kept(in.beyond));
}
