use crate::geom::Axis;
use crate::sweep::Sweep;

/// Which cut made an end of an interval: an index into [`crate::cutting::History`]'s cuts; [`CutId::RAW`] is the
/// surface of the raw stock.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CutId(pub u32);

impl CutId {
    /// The raw stock's own surface.
    pub const RAW: CutId = CutId(0);

    /// The mark that comes so many cuts later; after [`CutId::RAW`] that of the n-th cut of all, counted from one.
    pub(crate) fn later(self, cuts: usize) -> Self {
        Self(self.0.saturating_add(u32::try_from(cuts).unwrap_or(u32::MAX)))
    }
}

/// One piece of material on a ray, whole nanometres in the part frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Interval {
    /// Lower end, nm.
    pub low: i32,
    /// Upper end, nm.
    pub high: i32,
    /// Who made the lower end.
    pub low_by: CutId,
    /// Who made the upper end.
    pub high_by: CutId,
}

/// One thing to do to the stock. `S` is the swept volume; other than [`Sweep`] only in tests and measurements.
#[derive(Clone, Debug)]
pub struct Op<S = Sweep> {
    /// Mark for the ends that it makes.
    pub id: CutId,
    /// Its volume, setup frame.
    pub sweep: S,
    /// What to do with it.
    pub mode: OpMode,
}

/// What to do with the material inside a sweep.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OpMode {
    /// Take it away and count it.
    Cut,
    /// Take it away, count it and keep where it was.
    CutAndReport,
    /// Leave it, but count it and keep where it is.
    Look,
}

/// What an [`Op`] met.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct OpRecord {
    /// Material met on the rays along X, Y and Z, summed over the rays of each grid, nm.
    pub met: [i64; 3],
    /// Most material met on one ray along X, Y and Z, nm; of what is only looked at, the longest piece.
    pub longest: [i64; 3],
    /// How far to the side of the path the rays along the spindle were met, mm, from and to: right of a line, outside
    /// of an arc. `None` where nothing was, or the path has no sides (straight up or down, helices).
    pub beside: Option<(f64, f64)>,
    /// Where material was met (reporting modes only), longest first, at most [`OpRecord::MOST_BITES`]: of each
    /// axis the longest pieces and those met earliest along the path, a sixth each.
    pub bites: Vec<Bite>,
}

impl OpRecord {
    /// Most bites kept for one op.
    pub const MOST_BITES: usize = 512;
}

/// A piece of material met on a ray, part frame, millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bite {
    /// Direction of the ray.
    pub axis: Axis,
    /// Coordinate on `axis.others().0`.
    pub u: f64,
    /// Coordinate on `axis.others().1`.
    pub v: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}
