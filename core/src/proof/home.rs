use crate::checks::workholding::{self, Holding};
use crate::geom::{Box3, Path};
use crate::job::{Job, RapidPath, Setup};
use crate::motion::{self, Move, MoveKind, Run};
use crate::program::Program;
use crate::stock::Stock;

/// How far home lies above everything, millimetres. Where home truly is the job does not say (it depends on the length
/// of each tool); a hand's breadth above the highest thing changes no result, only the length of the moves to and from
/// home.
const ABOVE: f64 = 100.0;
/// For a first reading: a height that no program reaches, millimetres above everything that stands there.
const OUT_OF_REACH: f64 = 1.0e5;

/// Follows the program of a setup as it stands on the machine: what holds the stock, the run, and how high home lies.
pub(super) fn read(
    job: &Job,
    (index, setup): (usize, &Setup),
    program: &Program,
    stock: &Stock,
) -> (Holding, Run, f64) {
    let holding = workholding::resolve(setup, stock);
    let things =
        holding.pieces.iter().fold(setup.frame.setup_box(&holding.stock), |b, p| b.union(p.shape.bounds()));
    let (run, home) = run_from_home(job, index, program, &things);
    (holding, run, home)
}

/// Runs a program with home set [`ABOVE`] the highest of stock, workholding and all that the program itself asks for.
///
/// The highest programmed place is known only after the program was followed once, with home out of reach. Mostly nothing
/// but the ends of straight moves depends on home, and these are brought down to it; otherwise the program is followed again.
pub(super) fn run_from_home(job: &Job, setup: usize, program: &Program, things: &Box3) -> (Run, f64) {
    let top = if things.is_empty() { 0.0 } else { things.max.z };
    let far = top + OUT_OF_REACH;
    let mut run = motion::interpret(program, job, setup, far);
    let highest = run
        .moves
        .iter()
        .filter(|m| m.kind != MoveKind::Home)
        .flat_map(|m| std::iter::once(&m.path).chain(&m.other_way))
        .flat_map(|p| [p.start().z, p.end().z, p.bounds().max.z])
        .filter(|z| *z < far - 1.0)
        .fold(top, f64::max);
    let home = highest + ABOVE;
    if !is_plain(job, &run, far, highest) {
        drop(run);
        return (motion::interpret(program, job, setup, home), home);
    }
    for m in &mut run.moves {
        if let Path::Line { from, to } = &mut m.path {
            for end in [from, to] {
                if end.z > highest {
                    end.z = home;
                }
            }
        }
    }
    (run, home)
}

/// True when home is nothing but where some straight moves begin or end, and no way depends on how far up it lies. No number is
/// ever reckoned from a home that is not told: whoever asks for one there is told that the start is not known.
fn is_plain(job: &Job, run: &Run, far: f64, highest: f64) -> bool {
    let at_home = |z: f64| z.to_bits() == far.to_bits();
    let plain = |m: &Move| {
        if m.path.bounds().max.z <= highest {
            return m.other_way.iter().all(|way| way.bounds().max.z <= highest);
        }
        let Path::Line { from, to } = m.path else { return false };
        let ends =
            at_home(from.z) && (at_home(to.z) || to.z <= highest) || from.z <= highest && at_home(to.z);
        // A rapid whose axes arrive one after the other has corners whose heights depend on where it begins.
        let upright = from.x.to_bits() == to.x.to_bits() && from.y.to_bits() == to.y.to_bits();
        let straight = upright || at_home(from.z) && at_home(to.z);
        let one_way = m.other_way.is_empty();
        let any_way = job.machine.control.rapid_path == RapidPath::Straight || m.kind != MoveKind::Rapid;
        // Under inverse time the feed follows from the length.
        ends && one_way && (straight || any_way) && m.seconds.is_none()
    };
    // What was noticed may hold numbers.
    run.facts.is_empty() && run.lost_from.is_none() && run.moves.iter().all(plain)
}

#[cfg(test)]
mod tests {
    use super::super::moment::tests::demo;
    use super::*;
    use crate::geom::Vec3;
    use crate::program;

    /// Follows a program both ways; true when it was followed once only.
    fn once_as_twice(job: &Job, setup: usize, text: &Program, things: &Box3) -> bool {
        let (run, home) = run_from_home(job, setup, text, things);
        let again = motion::interpret(text, job, setup, home);
        assert_eq!(format!("{run:?}"), format!("{again:?}"));
        let far = things.max.z + OUT_OF_REACH;
        is_plain(job, &motion::interpret(text, job, setup, far), far, home - ABOVE)
    }

    fn things() -> Box3 {
        Box3::between(Vec3::zeros(), Vec3::new(80.0, 50.0, 31.0))
    }

    #[test]
    fn the_demo_is_followed_once_and_is_what_following_it_again_gives() {
        let job = demo();
        let once = |n: usize| once_as_twice(&job, n, &program::parse(&job.setups[n].program), &things());
        let once: Vec<bool> = (0..job.setups.len()).map(once).collect();
        assert!(once[0] && once[1], "{once:?}");
    }

    #[test]
    fn whatever_is_done_from_home_is_what_following_the_program_again_gives() {
        let cases = [
            // Straight down, then home by way of a point; over to elsewhere up there.
            "Z1.\nG1 Z-.1 F10.\nG91 G28 Z0.\nG90 X2. Y1.\nG43 H1 Z1.\n",
            // Straight from home to a place aside: corners where the axes run on their own.
            "X2. Y1. Z.5\nG1 X1.\nG28 Z2.\n",
            // An arc and a move under inverse time up there.
            "G2 X1. Y1. I.5 J.5 F10.\nG0 Z1.\n",
            "G1 G93 X1. F2.\nG94 G0 Z1.\n",
            // Compensation taken on up there.
            "G1 G41 D1 X1. F10.\nY1.\nX2.\nG40 Y2.\nG0 Z1.\n",
            // Counted from home, which is refused: a way down, a new zero and what is reckoned from it, a place of the machine.
            "G91 G1 Z-5. F10.\nG90 G0 Z1.\n",
            "G92 Z10.\nG0 Z9.\nG92.1\nZ1.\n",
            "G92 Z10.\n#1=[#5213/1000.]\nG92.1\nG0 Z1.\nG1 X#1 F10.\n",
            "G0 Z1.\nG53 Z-1.\nX2.\nZ1.\n",
            // The same from home behind a first height: there the job tells where home is.
            "Z1.\nG91 G28 Z0.\nG0 Z-5.\nG90 Z1.\n",
            "Z1.\nG91 G28 Z0.\nG90 G92 Z10.\nG0 Z9.\nG92.1\nZ1.\n",
            "Z1.\nG91 G28 Z0.\nG90 G92 Z10.\n#1=[#5213/1000.]\nG92.1\nG0 Z1.\nG1 X#1 F10.\n",
            // Something is noticed: there is no such length register.
            "G49 Z1.\nG1 Z-.1 F10.\nG43 H77 Z1.\n",
        ];
        let mut again = 0;
        for text in cases {
            for rapid in [RapidPath::Straight, RapidPath::EachAxis, RapidPath::Either] {
                let mut job = demo();
                job.machine.control.rapid_path = rapid;
                let start = "%\nG20 G17 G40 G49 G80 G90 G94\nT1 M6\nS4000 M3\nG0 G54 X0. Y0.\nG43 H1\n";
                let source = crate::source::SourceText::new("a.nc", format!("{start}{text}M30\n%\n"));
                again += u32::from(!once_as_twice(&job, 0, &program::parse(&source), &things()));
            }
        }
        assert!(again > 0);
    }
}
