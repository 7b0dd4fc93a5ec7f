use super::mesh::small;
use super::{Behind, Kind, Label, LineSet, Lines, Pattern};
use crate::colour::Theme;
use glam::{Mat4, Vec3};
use proofcut_core::job::Setup;
use std::sync::Arc;

/// Width of axes, points.
const WIDTH: f32 = 2.2;
/// Length of an arrow's head, of its axis.
const HEAD: f32 = 0.16;

/// The program zeros of a setup, each with its three axes of a length (millimetres), their letters and the name of the
/// work offset.
pub fn program_zeros(setup: &Setup, length: f32, theme: &Theme) -> (Lines, Vec<Label>) {
    let mut set = LineSet::default();
    let mut labels = Vec::new();
    for (offset, _) in &setup.zeros {
        let Some(zero) = setup.zero_in_setup(*offset).map(|z| small(&z)) else { continue };
        for (axis, across, letter) in
            [(Vec3::X, Vec3::Y, "X"), (Vec3::Y, Vec3::X, "Y"), (Vec3::Z, Vec3::X, "Z")]
        {
            let end = zero + axis * length;
            set.push(zero, end, theme.ink, WIDTH, Pattern::Full);
            for side in [across, -across, axis.cross(across), -axis.cross(across)] {
                let back = end - axis * (length * HEAD) + side * (length * HEAD * 0.35);
                set.push(end, back, theme.ink, WIDTH, Pattern::Full);
            }
            labels.push(Label {
                at: zero + axis * (length * 1.12),
                text: letter.to_owned(),
                on_paper: false,
            });
        }
        labels.push(zero_label(zero, length, &offset.to_string()));
    }
    let lines = Lines {
        kind: Kind::Mark,
        set: Arc::new(set),
        world_from_lines: Mat4::IDENTITY,
        behind: Behind::Faint,
        sectioned: false,
    };
    (lines, labels)
}

/// The name of a work offset beside its zero.
pub fn zero_label(zero: Vec3, length: f32, name: &str) -> Label {
    Label { at: zero - Vec3::new(1.0, 1.0, 0.0) * (length * 0.14), text: name.to_owned(), on_paper: true }
}
