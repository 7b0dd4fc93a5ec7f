//! What holds the part in a setup, as solids with names: vises closed on the stock as it is when the setup begins.

use super::distance::Shape;
use crate::geom::{Axis, Box3, Frame, Spans, Vec3};
use crate::job::{JobPlace, Mesh, RoundBar, Setup, Solid, Vise, Workholding};
use crate::solid::MeshSolid;
use crate::stock::{RayLine, Stock};
use crate::units::NM_PER_MM;
use smallvec::SmallVec;

/// The stock as the workholding meets it.
pub trait Matter {
    /// The smallest box that holds all material, part frame; `None` when nothing is left.
    fn bounds(&self) -> Option<Box3>;
    /// The smallest box that holds the material inside a box, part frame; `None` when there is none.
    fn extent_in(&self, within: &Box3) -> Option<Box3>;
    /// The smallest box around the material inside a mesh, part frame; pieces shorter than `least` (mm) on a ray do not
    /// count. `None` when there is none.
    fn inside_mesh(&self, mesh: &MeshSolid, least: f64) -> Option<Box3>;
}

impl Matter for Stock {
    fn bounds(&self) -> Option<Box3> {
        let b = Stock::bounds(self);
        (!b.is_empty()).then_some(b)
    }

    fn extent_in(&self, within: &Box3) -> Option<Box3> {
        Stock::extent_in(self, within)
    }

    fn inside_mesh(&self, mesh: &MeshSolid, least: f64) -> Option<Box3> {
        let mut found = Box3::empty();
        for axis in Axis::ALL {
            let grid = self.grid(axis);
            let (u_axis, v_axis) = axis.others();
            let mut spans = Spans::new();
            for j in rays(&grid.v, v_axis, mesh.bounds()) {
                for i in rays(&grid.u, u_axis, mesh.bounds()) {
                    let (u, v) = (grid.u.at(i), grid.v.at(j));
                    mesh.spans(axis, u, v, &mut spans);
                    for interval in if spans.is_empty() { SmallVec::new() } else { self.ray(axis, i, j) } {
                        let ends =
                            (f64::from(interval.low) / NM_PER_MM, f64::from(interval.high) / NM_PER_MM);
                        for span in &spans {
                            let (low, high) = (span.0.max(ends.0), span.1.min(ends.1));
                            if high - low > least {
                                found = found.with(point(axis, u, v, low)).with(point(axis, u, v, high));
                            }
                        }
                    }
                }
            }
        }
        (!found.is_empty()).then_some(found)
    }
}

/// Numbers of the rays that lie within a box.
fn rays(line: &RayLine, axis: Axis, within: &Box3) -> impl Iterator<Item = u32> {
    let (low, high) = (axis.of(&within.min), axis.of(&within.max));
    (0..line.count()).filter(move |i| low <= line.at(*i) && line.at(*i) <= high)
}

fn point(axis: Axis, u: f64, v: f64, along: f64) -> Vec3 {
    let mut p = Vec3::zeros();
    let (u_axis, v_axis) = axis.others();
    u_axis.set(&mut p, u);
    v_axis.set(&mut p, v);
    axis.set(&mut p, along);
    p
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
#[derive(Clone, Debug)]
pub struct Holding {
    /// The smallest box that holds the stock when the setup begins, part frame; empty when nothing is left.
    pub stock: Box3,
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
    let bounds = stock.bounds().unwrap_or_else(Box3::empty);
    let mut out = Holding { stock: bounds, pieces: Vec::new(), faults: Vec::new() };
    for held in &setup.workholding {
        match held {
            Workholding::Vise(vise) => match close(vise, &setup.frame, stock, &bounds) {
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
            let found = match &piece.solid {
                Solid::Mesh(mesh) => in_part(mesh, frame).and_then(|m| stock.inside_mesh(&m, TOUCH)),
                Solid::Box(_) | Solid::Cylinder(_) => inner_boxes(&piece.solid)
                    .into_iter()
                    .map(|b| b.grown(-TOUCH))
                    .filter(|b| !b.is_empty())
                    .map(|b| frame.part_box(&b))
                    // Jaws and parallels touch the stock; most boxes are past all of it.
                    .filter(|b| b.meets(&self.stock))
                    .filter_map(|b| stock.extent_in(&b))
                    .reduce(|a, b| a.union(&b)),
            };
            if let Some(overlap) = found {
                self.faults.push(HoldingFault::InStock { piece: index, overlap: frame.setup_box(&overlap) });
            }
        }
    }
}

/// A mesh of the setup in the part frame; `None` when it is not closed, which the loader has told already.
fn in_part(mesh: &Mesh, frame: &Frame) -> Option<MeshSolid> {
    let vertices = mesh.vertices.iter().map(|v| frame.part_from_setup(v)).collect();
    MeshSolid::new(&Mesh { vertices, triangles: mesh.triangles.clone() }).ok()
}

/// Boxes that lie inside a solid and fill it but for a thin skin: a cylinder is sliced both ways, so that along its
/// own axes a thousandth of the radius is missing and nowhere more than a fiftieth.
fn inner_boxes(solid: &Solid) -> Vec<Box3> {
    match solid {
        Solid::Box(b) => vec![*b],
        Solid::Cylinder(bar) => {
            let (u, v) = bar.axis.others();
            [(u, v), (v, u)].into_iter().flat_map(|(across, up)| slices(bar, across, up)).collect()
        }
        Solid::Mesh(_) => Vec::new(),
    }
}

/// Slices of a cylinder across one of its directions, each as tall as fits inside.
fn slices(bar: &RoundBar, across: Axis, up: Axis) -> impl Iterator<Item = Box3> {
    /// Slices on each side of the middle.
    const SLICES: i32 = 40;
    (-SLICES..SLICES).map(move |k| {
        let [left, right] = [f64::from(k), f64::from(k + 1)].map(|e| e / f64::from(SLICES) * bar.radius);
        let out = left.abs().max(right.abs());
        let half = (bar.radius * bar.radius - out * out).max(0.0).sqrt();
        let (mut a, mut b) = (bar.center, bar.center);
        across.set(&mut a, across.of(&bar.center) + left);
        across.set(&mut b, across.of(&bar.center) + right);
        up.set(&mut a, up.of(&bar.center) - half);
        up.set(&mut b, up.of(&bar.center) + half);
        bar.axis.set(&mut a, bar.from);
        bar.axis.set(&mut b, bar.to);
        Box3::between(a, b)
    })
}

/// The solids of a vise closed on the stock, setup frame.
fn close(
    vise: &Vise,
    frame: &Frame,
    stock: &impl Matter,
    bounds: &Box3,
) -> Result<Vec<(&'static str, Box3)>, ViseFault> {
    if bounds.is_empty() {
        return Err(ViseFault::NoStock);
    }
    let bounds = frame.setup_box(bounds);
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

        fn inside_mesh(&self, _mesh: &MeshSolid, _least: f64) -> Option<Box3> {
            None
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
            subprograms: Vec::new(),
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

    /// The same vise on the real model of the stock, and a mesh that stands in it by 1 mm.
    #[test]
    fn on_the_stock_model() {
        let raw = crate::job::RawStock::Box(block().0[0]);
        let stock = Stock::new(&raw, 0.5).unwrap();
        let on_boxes = resolve(&setup(vec![Workholding::Vise(vise())]), &block());
        let on_stock = resolve(&setup(vec![Workholding::Vise(vise())]), &stock);
        assert!(on_stock.faults.is_empty(), "{:?}", on_stock.faults);
        for (a, b) in on_boxes.pieces.iter().zip(&on_stock.pieces) {
            assert!((a.shape.bounds().min - b.shape.bounds().min).norm() < 1e-5, "{a:?} {b:?}");
            assert!((a.shape.bounds().max - b.shape.bounds().max).norm() < 1e-5, "{a:?} {b:?}");
        }
        let soft_jaw = |x: f64| {
            let vertices = [[x, 10.0, -15.0], [-40.0, 0.0, -15.0], [-40.0, 20.0, -15.0], [-40.0, 10.0, 0.0]];
            let mesh = Mesh {
                vertices: vertices.into_iter().map(Vec3::from).collect(),
                triangles: vec![[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]],
            };
            Workholding::Solid {
                name: "soft jaw".to_owned(),
                solid: Solid::Mesh(std::sync::Arc::new(mesh)),
                place: place(),
            }
        };
        let faults = |x: f64| resolve(&setup(vec![soft_jaw(x)]), &stock).faults;
        assert!(faults(-0.1).is_empty());
        assert!(matches!(faults(12.0).as_slice(), [HoldingFault::InStock { piece: 0, .. }]));
    }
}
