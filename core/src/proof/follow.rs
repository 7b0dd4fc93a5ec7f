use super::home::run_from_home;
use crate::geom::{Box3, Vec3};
use crate::job::{Job, RawStock, RoundBar, Solid, Workholding};
use crate::motion::Run;
use crate::program;

/// Follows the program of one setup without cutting anything: what the machine is made to do. `None`: there is no such
/// setup. Home is set above the raw stock, the solids of the workholding and all that the program asks for.
pub fn follow(job: &Job, setup: usize) -> Option<Run> {
    let of_setup = job.setups.get(setup)?;
    let stock = match &job.stock {
        RawStock::Box(block) => *block,
        RawStock::Cylinder(bar) => round(bar),
        RawStock::Mesh(mesh) => mesh.bounds(),
    };
    let mut things = of_setup.frame.setup_box(&stock);
    for held in &of_setup.workholding {
        if let Workholding::Solid { solid, .. } = held {
            things = things.union(&match solid {
                Solid::Box(block) => *block,
                Solid::Cylinder(bar) => round(bar),
                Solid::Mesh(mesh) => mesh.bounds(),
            });
        }
    }
    Some(run_from_home(job, setup, &program::parse(&of_setup.program), &things).0)
}

/// The box about a round.
fn round(bar: &RoundBar) -> Box3 {
    let (u, v) = bar.axis.others();
    let (mut low, mut high) = (Vec3::zeros(), Vec3::zeros());
    for axis in [u, v] {
        axis.set(&mut low, axis.of(&bar.center) - bar.radius);
        axis.set(&mut high, axis.of(&bar.center) + bar.radius);
    }
    bar.axis.set(&mut low, bar.from);
    bar.axis.set(&mut high, bar.to);
    Box3 { min: low, max: high }
}
