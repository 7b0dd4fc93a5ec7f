//! What holds the part in a setup, as solids with names: vises closed on the stock as it is when the setup begins.

use super::distance::{Shape, between_boxes};
use crate::geom::{Axis, Box3, Frame, Vec3};
use crate::job::{JobPlace, Setup, Solid, Vise, Workholding};

/// The stock as the workholding meets it.
pub trait Matter {
    /// The smallest box that holds all material, part frame; `None` when nothing is left.
    fn bounds(&self) -> Option<Box3>;
    /// The smallest box that holds the material inside a box, part frame; `None` when there is none.
    fn extent_in(&self, within: &Box3) -> Option<Box3>;
}

/// One solid of the workholding.
#[derive(Clone, Debug)]
pub struct Piece {
    /// Name for reports, such as `vise, fixed jaw`.
    pub name: String,
    /// Its shape, setup frame.
    pub shape: Shape,
    /// The solid as resolved, for pictures and for volume against volume.
    pub solid: Solid,
    /// Where it stands in the job file.
    pub place: JobPlace,
}

/// The workholding of a setup, resolved.
#[derive(Clone, Debug, Default)]
pub struct Holding {
    /// All solids that could be resolved, in the order of the job file.
    pub pieces: Vec<Piece>,
    /// What is wrong with it.
    pub faults: Vec<HoldingFault>,
}

/// Something wrong with the workholding.
#[derive(Clone, Debug)]
pub enum HoldingFault {
    /// The vise cannot close on the stock; its solids are then not part of [`Holding::pieces`].
    CannotClose {
        /// Where the vise stands in the job file.
        place: JobPlace,
        /// Why.
        why: ViseFault,
    },
    /// A solid stands where there is stock.
    InStock {
        /// Index into [`Holding::pieces`].
        piece: usize,
        /// Box around the stock inside the solid's box, setup frame.
        overlap: Box3,
    },
}

/// Why a vise cannot close. Millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ViseFault {
    /// No stock is left to hold.
    NoStock,
    /// The grip is not more than nothing.
    NoGrip {
        /// The grip told.
        grip: f64,
    },
    /// The grip reaches below the vise bed.
    BelowBed {
        /// The grip told.
        grip: f64,
        /// Height of the jaws above the bed.
        jaw_height: f64,
    },
    /// Nothing of the stock lies between the jaws at the height of the grip.
    NothingBetween {
        /// Lowest and highest height of the grip, setup frame.
        heights: (f64, f64),
        /// Where the jaws stand along their width, setup frame.
        jaws: (f64, f64),
    },
    /// The stock is wider than the vise opens.
    TooWide {
        /// Width to be held.
        opening: f64,
        /// Widest opening.
        max_opening: f64,
    },
    /// The parallels leave no room for each other.
    ParallelsTooThick {
        /// Thickness of each.
        thickness: f64,
        /// Gap between the jaws.
        opening: f64,
    },
    /// There is no height for parallels under the stock.
    NoRoomForParallels,
}

/// How far the bed reaches down, millimetres: what stands under a vise (its body, the table) ends no tool's way above
/// this depth, so a tool within the vise's outline can never come out under it.
const BED_DEPTH: f64 = 1000.0;
/// Solids may touch the stock; only an overlap of more than this counts, millimetres.
const TOUCH: f64 = 0.002;
/// Widest that a box asked of the stock may be, millimetres from its middle.
const FAR: f64 = 4.0e3;

/// Resolves the workholding of a setup on the stock as it is when the setup begins.
pub fn resolve(setup: &Setup, stock: &impl Matter) -> Holding {
    let mut out = Holding::default();
    for held in &setup.workholding {
        match held {
            Workholding::Vise(vise) => match close(vise, &setup.frame, stock) {
                Ok(solids) => {
                    for (name, solid) in solids {
                        out.push(name.to_owned(), Solid::Box(solid), &vise.place);
                    }
                }
                Err(why) => {
                    out.faults.push(HoldingFault::CannotClose { place: vise.place.clone(), why });
                }
            },
            Workholding::Solid { name, solid, place } => out.push(name.clone(), solid.clone(), place),
        }
    }
    out.look_for_overlaps(&setup.frame, stock);
    out
}

impl Holding {
    fn push(&mut self, name: String, solid: Solid, place: &JobPlace) {
        self.pieces.push(Piece { name, shape: Shape::new(&solid), solid, place: place.clone() });
    }

    /// Notes solids with stock inside them.
    fn look_for_overlaps(&mut self, frame: &Frame, stock: &impl Matter) {
        for (index, piece) in self.pieces.iter().enumerate() {
            let found = inner_boxes(&piece.solid)
                .into_iter()
                .filter_map(|b| {
                    let inner = b.grown(-TOUCH);
                    if inner.is_empty() { None } else { stock.extent_in(&frame.part_box(&inner)) }
                })
                .reduce(|a, b| a.union(&b));
            if let Some(overlap) = found {
                self.faults.push(HoldingFault::InStock { piece: index, overlap: frame.setup_box(&overlap) });
            }
        }
    }
}

/// Boxes that lie inside a solid and fill it but for a thin skin; for a mesh nothing (its inside is looked at by rays).
fn inner_boxes(solid: &Solid) -> Vec<Box3> {
    /// Slices of a cylinder on each side of its middle.
    const SLICES: i32 = 64;
    match solid {
        Solid::Box(b) => vec![*b],
        Solid::Cylinder(bar) => {
            let (u, v) = bar.axis.others();
            (-SLICES..SLICES)
                .map(|k| {
                    let edges = [f64::from(k), f64::from(k + 1)].map(|e| e / f64::from(SLICES) * bar.radius);
                    let out = edges[0].abs().max(edges[1].abs());
                    let half = (bar.radius * bar.radius - out * out).max(0.0).sqrt();
                    let (mut a, mut b) = (bar.center, bar.center);
                    u.set(&mut a, u.of(&bar.center) + edges[0]);
                    u.set(&mut b, u.of(&bar.center) + edges[1]);
                    v.set(&mut a, v.of(&bar.center) - half);
                    v.set(&mut b, v.of(&bar.center) + half);
                    bar.axis.set(&mut a, bar.from);
                    bar.axis.set(&mut b, bar.to);
                    Box3::between(a, b)
                })
                .collect()
        }
        Solid::Mesh(_) => Vec::new(),
    }
}

/// The solids of a vise closed on the stock, setup frame.
fn close(vise: &Vise, frame: &Frame, stock: &impl Matter) -> Result<Vec<(&'static str, Box3)>, ViseFault> {
    let bounds = stock.bounds().map(|b| frame.setup_box(&b)).ok_or(ViseFault::NoStock)?;
    let bottom = bounds.min.z;
    let top = bottom + vise.grip;
    let bed = top - vise.jaw_height;
    if vise.grip <= 0.0 {
        return Err(ViseFault::NoGrip { grip: vise.grip });
    }
    if bottom < bed {
        return Err(ViseFault::BelowBed { grip: vise.grip, jaw_height: vise.jaw_height });
    }
    let closing = vise.closes_along;
    let across = if closing == Axis::X { Axis::Y } else { Axis::X };
    let jaws = (vise.jaw_center - 0.5 * vise.jaw_width, vise.jaw_center + 0.5 * vise.jaw_width);
    let slab = |(from, to): (f64, f64), (low, high): (f64, f64)| {
        let (mut min, mut max) = (Vec3::new(0.0, 0.0, low), Vec3::new(0.0, 0.0, high));
        closing.set(&mut min, from);
        closing.set(&mut max, to);
        across.set(&mut min, jaws.0);
        across.set(&mut max, jaws.1);
        Box3 { min, max }
    };
    let middle = closing.of(&bounds.center());
    let between = slab((middle - FAR, middle + FAR), (bottom, top));
    let held = stock
        .extent_in(&frame.part_box(&between))
        .map(|b| frame.setup_box(&b))
        .ok_or(ViseFault::NothingBetween { heights: (bottom, top), jaws })?;
    let (low, high) = (closing.of(&held.min), closing.of(&held.max));
    let opening = high - low;
    if let Some(max_opening) = vise.max_opening.filter(|m| opening > *m) {
        return Err(ViseFault::TooWide { opening, max_opening });
    }
    let upper = slab((high, high + vise.jaw_thickness), (bed, top));
    let lower = slab((low - vise.jaw_thickness, low), (bed, top));
    let (fixed, moving) = if vise.fixed_jaw_positive { (upper, lower) } else { (lower, upper) };
    let mut solids = vec![("vise, fixed jaw", fixed), ("vise, moving jaw", moving)];
    if let Some(thickness) = vise.parallels {
        if bottom - bed <= 0.0 {
            return Err(ViseFault::NoRoomForParallels);
        }
        if 2.0 * thickness > opening {
            return Err(ViseFault::ParallelsTooThick { thickness, opening });
        }
        let upper = slab((high - thickness, high), (bed, bottom));
        let lower = slab((low, low + thickness), (bed, bottom));
        let (fixed, moving) = if vise.fixed_jaw_positive { (upper, lower) } else { (lower, upper) };
        solids.push(("vise, parallel at the fixed jaw", fixed));
        solids.push(("vise, parallel at the moving jaw", moving));
    }
    let ends = (low - vise.jaw_thickness, high + vise.jaw_thickness);
    solids.push(("vise, bed", slab(ends, (bed - BED_DEPTH, bed))));
    Ok(solids)
}

/// Do two pieces of workholding come nearer than a distance? For pictures and tests.
pub fn pieces_meet(a: &Piece, b: &Piece) -> bool {
    between_boxes(a.shape.bounds(), b.shape.bounds()) <= 0.0
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::geom::Direction;
    use crate::source::{SourceText, Span};

    /// Stock made of boxes, for tests.
    pub(in crate::checks) struct Boxes(pub(in crate::checks) Vec<Box3>);

    impl Matter for Boxes {
        fn bounds(&self) -> Option<Box3> {
            self.0.iter().copied().reduce(|a, b| a.union(&b))
        }

        fn extent_in(&self, within: &Box3) -> Option<Box3> {
            self.0
                .iter()
                .map(|b| Box3 { min: b.min.sup(&within.min), max: b.max.inf(&within.max) })
                .filter(|b| !b.is_empty())
                .reduce(|a, b| a.union(&b))
        }
    }

    pub(in crate::checks) fn place() -> JobPlace {
        JobPlace { source: SourceText::new("job.json", "{}"), span: Span::new(0, 2) }
    }

    pub(in crate::checks) fn vise() -> Vise {
        Vise {
            closes_along: Axis::Y,
            fixed_jaw_positive: true,
            grip: 5.0,
            jaw_width: 100.0,
            jaw_height: 45.0,
            jaw_thickness: 20.0,
            jaw_center: 30.0,
            max_opening: None,
            parallels: Some(3.0),
            place: place(),
        }
    }

    pub(in crate::checks) fn setup(workholding: Vec<Workholding>) -> Setup {
        let up = Direction::new(Axis::Z, true);
        let right = Direction::new(Axis::X, true);
        Setup {
            name: "Top".to_owned(),
            program: SourceText::new("top.nc", ""),
            frame: Frame::new(up, right, Vec3::new(0.0, 0.0, 20.0)).unwrap(),
            zeros: Vec::new(),
            machine_zeros: Vec::new(),
            workholding,
            place: place(),
        }
    }

    pub(in crate::checks) fn block() -> Boxes {
        Boxes(vec![Box3 { min: Vec3::zeros(), max: Vec3::new(60.0, 40.0, 20.0) }])
    }

    fn why(vise: Vise, stock: &Boxes) -> ViseFault {
        let h = resolve(&setup(vec![Workholding::Vise(vise)]), stock);
        assert!(h.pieces.is_empty());
        match h.faults.as_slice() {
            [HoldingFault::CannotClose { why, .. }] => *why,
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn a_vise_closes_on_the_block() {
        let h = resolve(&setup(vec![Workholding::Vise(vise())]), &block());
        assert!(h.faults.is_empty(), "{:?}", h.faults);
        let found: Vec<(&str, Vec3, Vec3)> =
            h.pieces.iter().map(|p| (p.name.as_str(), p.shape.bounds().min, p.shape.bounds().max)).collect();
        let v = Vec3::new;
        assert_eq!(
            found,
            [
                ("vise, fixed jaw", v(-20.0, 40.0, -60.0), v(80.0, 60.0, -15.0)),
                ("vise, moving jaw", v(-20.0, -20.0, -60.0), v(80.0, 0.0, -15.0)),
                ("vise, parallel at the fixed jaw", v(-20.0, 37.0, -60.0), v(80.0, 40.0, -20.0)),
                ("vise, parallel at the moving jaw", v(-20.0, 0.0, -60.0), v(80.0, 3.0, -20.0)),
                ("vise, bed", v(-20.0, -20.0, -1060.0), v(80.0, 60.0, -60.0)),
            ]
        );
    }

    /// A step cut into the lower side: the jaws close on what is there at the height of the grip, not on the widest.
    #[test]
    fn jaws_close_on_what_is_left() {
        let stock = Boxes(vec![
            Box3 { min: Vec3::new(0.0, 10.0, 0.0), max: Vec3::new(60.0, 32.0, 10.0) },
            Box3 { min: Vec3::new(0.0, 0.0, 10.0), max: Vec3::new(60.0, 40.0, 20.0) },
        ]);
        let h = resolve(&setup(vec![Workholding::Vise(vise())]), &stock);
        assert!((h.pieces[0].shape.bounds().min.y - 32.0).abs() < 1e-12);
        assert!((h.pieces[1].shape.bounds().max.y - 10.0).abs() < 1e-12);
    }

    #[test]
    fn every_way_of_not_closing_is_told() {
        let b = block();
        assert_eq!(why(vise(), &Boxes(Vec::new())), ViseFault::NoStock);
        assert_eq!(why(Vise { grip: 0.0, ..vise() }, &b), ViseFault::NoGrip { grip: 0.0 });
        assert_eq!(
            why(Vise { grip: 46.0, ..vise() }, &b),
            ViseFault::BelowBed { grip: 46.0, jaw_height: 45.0 }
        );
        assert!(matches!(why(Vise { jaw_center: 200.0, ..vise() }, &b), ViseFault::NothingBetween { .. }));
        assert_eq!(
            why(Vise { max_opening: Some(39.0), ..vise() }, &b),
            ViseFault::TooWide { opening: 40.0, max_opening: 39.0 }
        );
        assert_eq!(
            why(Vise { parallels: Some(20.5), ..vise() }, &b),
            ViseFault::ParallelsTooThick { thickness: 20.5, opening: 40.0 }
        );
        assert_eq!(
            why(Vise { grip: 45.0, ..vise() }, &Boxes(vec![b.0[0].grown(30.0)])),
            ViseFault::NoRoomForParallels
        );
    }

    #[test]
    fn a_clamp_in_the_stock_is_told_and_a_clamp_on_it_is_not() {
        let clamp = |low: f64| Workholding::Solid {
            name: "toe clamp".to_owned(),
            solid: Solid::Box(Box3 { min: Vec3::new(10.0, 10.0, low), max: Vec3::new(20.0, 20.0, 15.0) }),
            place: place(),
        };
        assert!(resolve(&setup(vec![clamp(0.0)]), &block()).faults.is_empty());
        let h = resolve(&setup(vec![clamp(-1.0)]), &block());
        assert!(matches!(h.faults.as_slice(), [HoldingFault::InStock { piece: 0, overlap }]
            if (overlap.size().z - 1.0).abs() < 0.01));
    }
}
