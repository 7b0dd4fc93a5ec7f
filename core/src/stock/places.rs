//! Where the rays of a band lie, as the setup sees them, and where in a grid an op can be.

#![expect(
    clippy::indexing_slicing,
    clippy::cast_possible_truncation,
    reason = "places are tabled for whole blocks; lanes and packets count to 16"
)]

use super::band::{Band, Stretch};
use super::block::BLOCK;
use super::layout::GridLayout;
use super::model::of_axis;
use super::nm::{FAR, nm_from_mm};
use super::packet::{Cut16, LANES, SIDE};
use super::swept::Lanes;
use crate::geom::{Axis, Box3};
use crate::sweep::Around;

/// Places of rays along one direction of the grid, as the setup coordinate that belongs to it, spread over the lanes of
/// packets, for whole blocks.
pub(super) struct Places {
    pub(super) rays: Vec<f64>,
    /// The same, sixteen together.
    blocks: Vec<Lanes>,
    /// For each packet along this direction the places of its sixteen rays.
    pub(super) packets: Vec<Lanes>,
    /// For each block along this direction the middles of its sixteen packets.
    pub(super) middles: Vec<Lanes>,
    /// For each four blocks along this direction, a field, the middles of its sixteen blocks.
    pub(super) fields: Vec<Lanes>,
    /// The same middles, for bounds with half the figures.
    pub(super) around_middles: Vec<Around<LANES>>,
    pub(super) around_fields: Vec<Around<LANES>>,
    /// Rays that there are; the others only fill the last block.
    pub(super) count: u32,
    /// Half the width of the four rays of a packet, and of the sixteen of a block.
    pub(super) half: f64,
    pub(super) half_block: f64,
}

impl Places {
    /// `lane` tells which of the four rays (or packets) along this direction a lane (or packet) belongs to.
    pub(super) fn of(
        step: f64,
        own: Stretch,
        lane: impl Fn(usize) -> usize,
        place: impl Fn(u32) -> f64,
    ) -> Self {
        let Stretch { first, count } = own;
        let rays: Vec<f64> = (first..first + count.next_multiple_of(BLOCK)).map(place).collect();
        let side = SIDE as usize;
        let spread = |four: &[f64]| -> Lanes { std::array::from_fn(|k| four[lane(k)]) };
        let packets = rays.chunks_exact(side).map(spread).collect();
        let middle = |own: &[f64]| 0.5 * (own[0] + own[own.len() - 1]);
        let middles: Vec<f64> = rays.chunks_exact(side).map(middle).collect();
        let mut blocks: Vec<f64> = rays.chunks_exact(BLOCK as usize).map(middle).collect();
        let middles: Vec<Lanes> = middles.chunks_exact(side).map(spread).collect();
        blocks.resize(blocks.len().next_multiple_of(side), f64::NAN);
        let fields: Vec<Lanes> = blocks.chunks_exact(side).map(spread).collect();
        let around = |places: &[Lanes]| places.iter().map(Around::of).collect();
        let (around_middles, around_fields) = (around(&middles), around(&fields));
        let blocks = rays.as_chunks().0.to_vec();
        let half = |rays: u32| 0.5 * step * f64::from(rays - 1);
        let (half, half_block) = (half(SIDE), half(BLOCK));
        Self {
            rays,
            blocks,
            packets,
            middles,
            fields,
            around_middles,
            around_fields,
            count,
            half,
            half_block,
        }
    }

    /// The sixteen places of a block.
    #[inline(always)]
    pub(super) fn block(&self, block: u32) -> &Lanes {
        self.blocks.get(block as usize).unwrap_or(&[f64::NAN; BLOCK as usize])
    }
}

/// Where in the three grids an op can be.
#[derive(Clone, Copy, Debug)]
pub(super) struct Reach {
    pub(super) ranges: [Range; 3],
    /// What an op before it has taken that it goes on from is left out.
    pub(super) after: bool,
}

/// Where in a grid an op can be: rays `i.0..i.1` of rows `j.0..j.1`, and ends along the rays.
#[derive(Clone, Copy, Debug)]
pub(super) struct Range {
    pub(super) i: (u32, u32),
    pub(super) j: (u32, u32),
    pub(super) low: i32,
    pub(super) high: i32,
}

impl Range {
    /// The rays of the grids along X, Y and Z that lie in a box of the part. Rounding may make the ends a nanometre too
    /// near; an overlap of a nanometre is no cut.
    pub(super) fn of(layouts: &[GridLayout; 3], bounds: &Box3) -> [Self; 3] {
        // Two grids each have their rays at the same places along an axis.
        let [along_x, along_y, along_z] = layouts;
        let places = [&along_z.u, &along_x.u, &along_y.u];
        let [x, y, z] = Axis::ALL.map(|a| of_axis(&places, a).between(a.of(&bounds.min), a.of(&bounds.max)));
        let of = |axis: Axis, i, j| {
            let (low, high) = (nm_from_mm(axis.of(&bounds.min)), nm_from_mm(axis.of(&bounds.max)));
            Self { i, j, low, high }
        };
        [of(Axis::X, y, z), of(Axis::Y, z, x), of(Axis::Z, x, y)]
    }

    /// Ends between which it is along the rays.
    pub(super) const fn ends(&self) -> (i32, i32) {
        (self.low, self.high)
    }

    pub(super) const fn is_empty(&self) -> bool {
        self.i.0 >= self.i.1 || self.j.0 >= self.j.1
    }

    /// Number of its rays.
    pub(super) fn rays(&self) -> u64 {
        u64::from(self.i.1.saturating_sub(self.i.0)) * u64::from(self.j.1.saturating_sub(self.j.0))
    }

    /// The part in a band, rays counted from its first.
    pub(super) fn in_band(self, band: &Band) -> Self {
        Self { i: band.columns.inside(self.i), j: band.rows.inside(self.j), ..self }
    }
}

/// A packet: block along u and v, and its number in the block.
#[derive(Clone, Copy)]
pub(super) struct At {
    pub(super) bi: u32,
    pub(super) bj: u32,
    pub(super) packet: u32,
}

impl At {
    /// Number of the packet along u and along v.
    #[inline(always)]
    pub(super) const fn packets(self) -> (usize, usize) {
        let (i, j) = (self.bi * SIDE + self.packet % SIDE, self.bj * SIDE + self.packet / SIDE);
        (i as usize, j as usize)
    }

    /// First ray along u and row of the packet.
    #[inline(always)]
    pub(super) const fn first(self) -> (u32, u32) {
        (self.bi * BLOCK + self.packet % SIDE * SIDE, self.bj * BLOCK + self.packet / SIDE * SIDE)
    }
}

/// Lanes of a packet at the border of the grid that stand for no ray count as taken whole, so that they never keep a
/// packet from being known as void.
pub(super) fn with_absent_freed(at: At, us: &Places, vs: &Places, cut: &Cut16) -> Cut16 {
    let (i, j) = at.first();
    let mut cut = *cut;
    if i + SIDE <= us.count && j + SIDE <= vs.count {
        return cut;
    }
    for lane in 0..LANES {
        if i + (lane as u32 % SIDE) >= us.count || j + (lane as u32 / SIDE) >= vs.count {
            cut.low[lane] = -FAR;
            cut.high[lane] = FAR;
        }
    }
    cut
}
