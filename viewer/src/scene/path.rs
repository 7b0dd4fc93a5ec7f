use super::mesh::small;
use super::{Behind, Entry, Kind, Legend, LineSet, Lines, Pattern, Swatch};
use crate::colour::{Colour, Theme};
use glam::{Mat4, Vec3};
use proofcut_core::geom::Path;
use proofcut_core::motion::{MoveKind, Run};
use std::ops::Range;
use std::sync::Arc;

/// Width of lines of feed moves and of rapids, points.
const FEED_WIDTH: f32 = 1.6;
const RAPID_WIDTH: f32 = 1.3;
const DOUBLE_WIDTH: f32 = 4.2;
/// Most that a turn of an arc is drawn by one straight piece, radians: 5 degrees.
const PIECE: f64 = 0.0873;
/// Most pieces of one arc.
const MOST_PIECES: u32 = 10_000;

/// The way of the tool's tip over some moves of a run: feed in full strokes, arcs in double ones, rapids dashed. Both ways of
/// a rapid whose way is not known are drawn. Homing is left out.
pub fn path_lines(run: &Run, moves: Range<usize>, theme: &Theme) -> Lines {
    let mut set = LineSet::default();
    for m in run.moves.get(moves).unwrap_or_default() {
        match m.kind {
            MoveKind::Home => {}
            MoveKind::Rapid => {
                for path in std::iter::once(&m.path).chain(&m.other_way) {
                    add(&mut set, path, theme.rapid, RAPID_WIDTH, Pattern::Dashed);
                }
            }
            MoveKind::Feed | MoveKind::Thread => {
                let (width, pattern) = match m.path {
                    Path::Line { .. } => (FEED_WIDTH, Pattern::Full),
                    Path::Arc(_) => (DOUBLE_WIDTH, Pattern::Double),
                };
                add(&mut set, &m.path, theme.feed, width, pattern);
            }
        }
    }
    Lines {
        kind: Kind::Path,
        set: Arc::new(set),
        world_from_lines: Mat4::IDENTITY,
        behind: Behind::Faint,
        sectioned: false,
    }
}

/// What the strokes of a path mean.
pub fn legend(theme: &Theme) -> Legend {
    let entry =
        |colour, pattern, text: &str| Entry { swatch: Swatch::Line(colour, pattern), text: text.to_owned() };
    Legend {
        title: "Path of the tip".to_owned(),
        entries: vec![
            entry(theme.feed, Pattern::Full, "feed, straight"),
            entry(theme.feed, Pattern::Double, "feed, arc"),
            entry(theme.rapid, Pattern::Dashed, "rapid"),
        ],
    }
}

fn add(set: &mut LineSet, path: &Path, colour: Colour, width: f32, pattern: Pattern) {
    set.chain(&points(path), colour, width, pattern);
}

/// Points along a path, near enough together that it looks round.
pub(super) fn points(path: &Path) -> Vec<Vec3> {
    let pieces = match path {
        Path::Line { .. } => 1,
        Path::Arc(arc) => count(arc.sweep.abs() / PIECE),
    };
    (0..=pieces).map(|k| small(&path.point(f64::from(k) / f64::from(pieces)))).collect()
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped before")]
fn count(x: f64) -> u32 {
    if x.is_finite() { x.ceil().clamp(1.0, f64::from(MOST_PIECES)) as u32 } else { 1 }
}
