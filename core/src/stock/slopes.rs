//! What waits to be cut from packets, closer than by their lowest and highest ends: planes between which nothing is left.
//!
//! A tool that goes over a surface leaves it sloping: within one packet it rises and falls by more than the next move
//! takes from it. So beside the heights a packet's void is remembered by one plane below it and one above it, and a move is not
//! brought to the packet when the planes of its own ends show that it stays between them. This changes no byte: only
//! what has nothing left to cut is passed over.

#![expect(
    clippy::indexing_slicing,
    clippy::needless_range_loop,
    clippy::needless_bitwise_bool,
    reason = "packets are counted by a constant and written so that the compiler makes vectors of them"
)]

use super::nm::short;
use super::packet::{Ints, LANES, whole};
use crate::sweep::EndPlanes;

/// Ends are rounded to a nanometre, and overlaps of one more are left, mm.
const MARGIN: f32 = 4e-6;

/// A plane over each packet of a block: its height in the middle, and its rise for each millimetre.
#[derive(Clone, Copy, Debug)]
#[repr(align(64))]
struct Planes {
    height: [f32; LANES],
    slopes: ([f32; LANES], [f32; LANES]),
}

/// For each packet of a block two planes between which no ray has material: the void reaches down to the first and, turned over
/// (heights from above, downwards), up to the second. Setup frame, mm.
#[derive(Clone, Copy, Debug)]
pub(super) struct Voids([Planes; 2]);

/// How far a plane rises from the middle of a packet to its outermost rays.
#[inline(always)]
pub(super) fn spread((p, q): (f32, f32), half: (f32, f32)) -> f32 {
    p.abs() * half.0 + q.abs() * half.1
}

impl Voids {
    /// None known.
    pub(super) const NONE: Self =
        Self([Planes { height: [f32::INFINITY; LANES], slopes: ([0.0; LANES], [0.0; LANES]) }; 2]);

    /// The packets in which a move stays within what is void: bit `p` for packet `p`.
    #[inline(always)]
    pub(super) fn hold(&self, ends: &[EndPlanes<LANES>; 2], half: (f64, f64)) -> u32 {
        let half = (short(half.0), short(half.1));
        let mut held = [u32::MAX; LANES];
        for (own, ends) in self.0.iter().zip(ends) {
            for k in 0..LANES {
                let (p, q) = (ends.slopes.0[k] - own.slopes.0[k], ends.slopes.1[k] - own.slopes.1[k]);
                let within = ends.under[k] - own.height[k] >= spread((p, q), half);
                held[k] &= if within { u32::MAX } else { 0 };
            }
        }
        let mut bits = 0;
        for k in 0..LANES {
            bits |= held[k] & (1 << k);
        }
        bits
    }

    /// Takes into account a move that waits. `open` are the packets in which nothing is left below it, and above it.
    #[inline(always)]
    pub(super) fn expect(&mut self, ends: &[EndPlanes<LANES>; 2], half: (f64, f64), open: [&Ints; 2]) {
        let half = (short(half.0), short(half.1));
        let [lows, highs] = ends;
        let [low, high] = &self.0;
        let (mut heights, mut slopes) = ([[0.0; LANES]; 2], [[[0.0; LANES]; 2]; 2]);
        for k in 0..LANES {
            let (below, above) = (open[0][k] != 0, open[1][k] != 0);
            let (bottom, top) = (lows.over[k] + MARGIN, highs.over[k] + MARGIN);
            let known = (bottom < f32::INFINITY) & (top < f32::INFINITY);
            let bottom = if below { f32::NEG_INFINITY } else { bottom };
            let top = if above { f32::NEG_INFINITY } else { top };
            let wider = bottom + top < low.height[k] + high.height[k];
            // They join when on every ray one begins before the other ends.
            let own = spread((low.slopes.0[k], low.slopes.1[k]), half)
                + spread((highs.slopes.0[k], highs.slopes.1[k]), half);
            let other = spread((high.slopes.0[k], high.slopes.1[k]), half)
                + spread((lows.slopes.0[k], lows.slopes.1[k]), half);
            let joins = (low.height[k] + top + own <= 0.0) & (bottom + high.height[k] + other <= 0.0);
            let takes_low = known & if joins { bottom < low.height[k] } else { wider };
            let takes_high = known & if joins { top < high.height[k] } else { wider };
            heights[0][k] = if takes_low { bottom } else { low.height[k] };
            slopes[0][0][k] = if takes_low { lows.slopes.0[k] } else { low.slopes.0[k] };
            slopes[0][1][k] = if takes_low { lows.slopes.1[k] } else { low.slopes.1[k] };
            heights[1][k] = if takes_high { top } else { high.height[k] };
            slopes[1][0][k] = if takes_high { highs.slopes.0[k] } else { high.slopes.0[k] };
            slopes[1][1][k] = if takes_high { highs.slopes.1[k] } else { high.slopes.1[k] };
        }
        for ((own, height), slopes) in self.0.iter_mut().zip(heights).zip(slopes) {
            own.height = whole(height);
            own.slopes = (whole(slopes[0]), whole(slopes[1]));
        }
    }
}
