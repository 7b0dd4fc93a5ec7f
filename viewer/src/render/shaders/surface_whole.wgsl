// What no section plane meets.

@fragment
fn fragment(in: Out) -> @location(0) vec4<f32> {
    return painted(in);
}

// For counting in the stencil only.
@fragment
fn count(in: Out) -> @location(0) vec4<f32> {
    return vec4<f32>(0.0);
}
