// What a section plane cuts, with one sample a pixel.

@fragment
fn fragment(in: Out) -> @location(0) vec4<f32> {
    if in.beyond > 0.0 { discard; }
    return painted(in);
}

// For counting in the stencil only.
@fragment
fn count(in: Out) -> @location(0) vec4<f32> {
    if in.beyond > 0.0 { discard; }
    return vec4<f32>(0.0);
}
