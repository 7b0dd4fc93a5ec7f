//! Copies of blocks, packed, so that the stock can be put back to how it was.

#![expect(
    clippy::indexing_slicing,
    reason = "words are read as they were written, in this file only; lanes are counted by a constant"
)]

use super::band::Band;
use super::block::{BLOCK, Block};
use super::layout::GridLayout;
use super::model::Stock;
use super::packet::{Ints, LANES, Slot};
use crate::geom::{Axis, Box3, Vec3};
use rayon::prelude::*;

/// Names a block of 16 x 16 rays of a stock.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct BlockName {
    axis: Axis,
    band: u32,
    block: u32,
}

/// A copy of a block.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Kept {
    /// Which slot follows each; shared by most blocks, where none does.
    next: Vec<u16>,
    words: Vec<u32>,
}

impl Kept {
    /// Bytes held.
    pub(crate) fn bytes(&self) -> usize {
        size_of::<Self>() + self.next.capacity() * size_of::<u16>() + self.words.capacity() * size_of::<u32>()
    }

    fn of(block: &Block) -> Self {
        let mut words = Vec::with_capacity(block.slots().len() * 24);
        for slot in block.slots() {
            pack(&slot.low, &mut words);
            pack(&slot.high, &mut words);
            pack(&slot.low_by.map(u32::cast_signed), &mut words);
            pack(&slot.high_by.map(u32::cast_signed), &mut words);
        }
        words.shrink_to_fit();
        let chained = block.next().iter().any(|next| *next != super::block::END);
        let next = if chained { block.next().to_vec() } else { Vec::new() };
        Self { next, words }
    }

    fn put_back(&self, block: &mut Block) {
        let mut words = self.words.iter().copied();
        let slots = std::iter::from_fn(|| {
            if words.len() == 0 {
                return None;
            }
            let (low, high) = (unpack(&mut words), unpack(&mut words));
            let low_by = unpack(&mut words).map(i32::cast_unsigned);
            let high_by = unpack(&mut words).map(i32::cast_unsigned);
            Some(Slot { low, high, low_by, high_by })
        });
        block.replace(slots, &self.next);
    }
}

/// All lanes hold one number.
const SAME: u32 = 0;
/// Lanes differ by less than 2^16: the least, then two of them a word.
const NEAR: u32 = 1;
/// Lanes as they are.
const PLAIN: u32 = 2;

fn pack(lanes: &Ints, words: &mut Vec<u32>) {
    let (least, most) = lanes.iter().fold((i32::MAX, i32::MIN), |(l, m), x| (l.min(*x), m.max(*x)));
    let over = |x: i32| x.wrapping_sub(least).cast_unsigned();
    if least == most {
        words.extend([SAME, least.cast_unsigned()]);
    } else if i64::from(most) - i64::from(least) < 1 << 16 {
        words.extend([NEAR, least.cast_unsigned()]);
        words.extend(lanes.chunks_exact(2).map(|two| over(two[0]) | over(two[1]) << 16));
    } else {
        words.push(PLAIN);
        words.extend(lanes.map(i32::cast_unsigned));
    }
}

fn unpack(words: &mut impl Iterator<Item = u32>) -> Ints {
    let mut lanes = [0; LANES];
    let mut word = || words.next().unwrap_or_default();
    match word() {
        SAME => lanes = [word().cast_signed(); LANES],
        NEAR => {
            let least = word().cast_signed();
            for two in lanes.chunks_exact_mut(2) {
                let both = word();
                two[0] = least.wrapping_add((both & 0xffff).cast_signed());
                two[1] = least.wrapping_add((both >> 16).cast_signed());
            }
        }
        _ => lanes = std::array::from_fn(|_| word().cast_signed()),
    }
    lanes
}

impl Stock {
    /// The blocks that were changed since they were last asked for or put back, in order.
    pub(crate) fn take_changed(&mut self) -> Vec<BlockName> {
        let grids = Axis::ALL.iter().zip(self.grids.iter_mut());
        let bands =
            grids.flat_map(|(axis, grid)| (0..).zip(&mut grid.bands).map(|(n, band)| (*axis, n, band)));
        let mut names = Vec::new();
        for (axis, band, own) in bands {
            for (block, one) in (0..).zip(&mut own.blocks) {
                if one.take_changed() {
                    names.push(BlockName { axis, band, block });
                }
            }
        }
        names
    }

    /// Copies of blocks.
    pub(crate) fn keep(&self, names: &[BlockName]) -> Vec<Kept> {
        let one = |name: &BlockName| {
            let block =
                self.along(name.axis).bands.get(name.band as usize)?.blocks.get(name.block as usize)?;
            Some(Kept::of(block))
        };
        names.par_iter().with_min_len(32).filter_map(one).collect()
    }

    /// Every block that there is.
    pub(crate) fn every_block(&self) -> Vec<BlockName> {
        let grids = Axis::ALL.iter().zip(&self.grids);
        let bands = grids.flat_map(|(axis, grid)| (0..).zip(&grid.bands).map(|(n, band)| (*axis, n, band)));
        bands
            .flat_map(|(axis, band, own)| {
                (0..).zip(&own.blocks).map(move |(block, _)| BlockName { axis, band, block })
            })
            .collect()
    }

    /// Puts blocks back to how they were when they were kept, in ascending order of their names.
    pub(crate) fn put_back(&mut self, kept: &[(BlockName, &Kept)]) {
        let groups: Vec<&[(BlockName, &Kept)]> =
            kept.chunk_by(|a, b| (a.0.axis, a.0.band) == (b.0.axis, b.0.band)).collect();
        let mut work: Vec<(&mut Band, &[(BlockName, &Kept)])> = Vec::new();
        let grids = Axis::ALL.iter().zip(self.grids.iter_mut());
        let bands =
            grids.flat_map(|(axis, grid)| (0..).zip(&mut grid.bands).map(|(n, band)| (*axis, n, band)));
        let mut groups = groups.into_iter().peekable();
        for (axis, n, band) in bands {
            let own = |group: &&[(BlockName, &Kept)]| {
                group.first().is_some_and(|(name, _)| (name.axis, name.band) == (axis, n))
            };
            if let Some(group) = groups.next_if(own) {
                work.push((band, group));
            }
        }
        work.into_par_iter().with_max_len(1).for_each(|(band, group)| {
            // What has been cut since is material again.
            band.cover.forget();
            band.length.take();
            for (name, kept) in group {
                if let Some(block) = band.blocks.get_mut(name.block as usize) {
                    kept.put_back(block);
                }
            }
        });
    }

    /// The box of a block's rays, half a spacing around them, from end to end of the raw stock, mm.
    pub fn block_box(&self, name: BlockName) -> Box3 {
        let grid = self.along(name.axis);
        let Some(band) = grid.bands.get(name.band as usize) else { return Box3::empty() };
        let (bi, bj) = (name.block % band.across, name.block / band.across);
        let GridLayout { axis, u, v } = &grid.layout;
        let (on_u, on_v) = axis.others();
        let mut out = *self.raw_bounds();
        let mut between = |on: Axis, line: &super::RayLine, own: super::band::Stretch, block: u32| {
            let first = own.first + block * BLOCK;
            let last = (first + BLOCK).min(own.first + own.count).saturating_sub(1);
            let half = 0.5 * line.step();
            let place = |corner: &mut Vec3, at: f64| on.set(corner, at);
            place(&mut out.min, line.at(first) - half);
            place(&mut out.max, line.at(last) + half);
        };
        between(on_u, u, band.columns, bi);
        between(on_v, v, band.rows, bj);
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lanes_come_back_as_they_were() {
        let cases: [Ints; 5] = [
            [7; LANES],
            std::array::from_fn(|k| i32::try_from(k).unwrap_or_default() * 4000 - 30_000),
            std::array::from_fn(|k| if k % 3 == 0 { super::super::nm::FAR } else { -5 }),
            std::array::from_fn(|k| if k == 0 { i32::MIN } else { i32::MAX }),
            std::array::from_fn(|k| if k == 9 { 65_535 } else { 0 }),
        ];
        let mut words = Vec::new();
        for lanes in &cases {
            pack(lanes, &mut words);
        }
        let mut words = words.into_iter();
        for lanes in &cases {
            assert_eq!(unpack(&mut words), *lanes);
        }
        assert_eq!(words.next(), None);
    }
}
