//! What ops met, told band by band, and put together op by op.

use super::bites::Pieces;
use super::layout::GridLayout;
use super::op::OpRecord;
use crate::geom::Axis;
use std::collections::BTreeMap;

/// What ops met in one band, each given by its number; in the order of their numbers. Small, since there are many of them: most ops
/// meet something in several bands, in one of which it is also known how far to the side.
#[derive(Debug, Default)]
pub(super) struct Told {
    sums: Vec<Sum>,
    sides: Vec<(u32, (f64, f64))>,
    pieces: Vec<(u32, Box<Pieces>)>,
}

/// What an op, given by its number, met on the rays, nm: the longest piece, and the sum.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sum {
    pub(super) number: u32,
    pub(super) longest: i32,
    pub(super) nm: u64,
}

impl Sum {
    #[inline(always)]
    pub(super) const fn add(&mut self, nm: u64, longest: i32) {
        self.nm += nm;
        self.longest = if longest > self.longest { longest } else { self.longest };
    }
}

impl Told {
    /// Nothing yet, with room for what so many ops meet.
    pub(super) fn with_room(ops: usize) -> Self {
        Self { sums: Vec::with_capacity(ops), ..Self::default() }
    }

    /// Adds what an op, later than those before it, met on the rays.
    #[inline(always)]
    pub(super) fn add(&mut self, sum: Sum) {
        self.sums.push(sum);
    }

    /// Adds how far to the sides of its path an op, later than those before it, met something, mm, from and to.
    pub(super) fn add_sides(&mut self, number: u32, sides: (f64, f64)) {
        self.sides.push((number, sides));
    }

    /// Adds pieces that an op, later than those before it, met, for the report.
    pub(super) fn add_pieces(&mut self, number: u32, pieces: Box<Pieces>) {
        self.pieces.push((number, pieces));
    }
}

/// Ops whose records are put together at once: so few that these stay in a processor's nearest memory.
const AT_ONCE: usize = 128;

/// What ops met, to be read once.
///
/// Sums are whole numbers and the rest are the least and the greatest, so that the order of the bands changes nothing.
#[derive(Debug)]
pub(crate) struct Met {
    bands: Vec<InBand>,
    ops: usize,
    /// Of the grids along X, Y and Z.
    layouts: [GridLayout; 3],
}

/// What was met in a band, and how much of it was read.
#[derive(Debug)]
struct InBand {
    axis: Axis,
    told: Told,
    sums: usize,
    sides: usize,
    pieces: usize,
}

impl Met {
    /// What so many ops met, told by bands of the grids along the axes given with them.
    pub(super) fn of(bands: Vec<(Axis, Told)>, ops: usize, layouts: [GridLayout; 3]) -> Self {
        let told = bands.into_iter().filter(|(_, told)| !told.sums.is_empty());
        let bands = told.map(|(axis, told)| InBand { axis, told, sums: 0, sides: 0, pieces: 0 }).collect();
        Self { bands, ops, layouts }
    }

    /// Calls `see` with the number and the record of each op that met something, in order.
    pub(crate) fn each(mut self, mut see: impl FnMut(usize, &OpRecord)) {
        if self.bands.is_empty() {
            return;
        }
        let mut records = Vec::new();
        records.resize_with(AT_ONCE, OpRecord::default);
        for first in (0..self.ops).step_by(AT_ONCE) {
            let mut pieces = BTreeMap::<usize, Pieces>::new();
            for band in &mut self.bands {
                band.add_to(&mut records, first, &mut pieces);
            }
            for (place, pieces) in pieces {
                if let Some(record) = records.get_mut(place) {
                    record.bites = pieces.bites(&self.layouts);
                }
            }
            for (number, record) in (first..).zip(&mut records) {
                if record.longest != [0; 3] {
                    see(number, record);
                    *record = OpRecord::default();
                }
            }
        }
    }
}

impl InBand {
    /// Adds to the records of the ops from `first` on what they met in this band, and of the pieces of each, by its place among
    /// them.
    fn add_to(&mut self, records: &mut [OpRecord], first: usize, pieces: &mut BTreeMap<usize, Pieces>) {
        let axis = self.axis.index();
        for own in self.told.sums.iter().skip(self.sums) {
            let Some(record) = records.get_mut(own.number as usize - first) else { break };
            self.sums += 1;
            if let (Some(met), Some(longest)) = (record.met.get_mut(axis), record.longest.get_mut(axis)) {
                *met += own.nm.cast_signed();
                *longest = (*longest).max(i64::from(own.longest));
            }
        }
        for (number, sides) in self.told.sides.iter().skip(self.sides) {
            let Some(record) = records.get_mut(*number as usize - first) else { break };
            self.sides += 1;
            let own = record.beside.get_or_insert(*sides);
            *own = (own.0.min(sides.0), own.1.max(sides.1));
        }
        for (number, more) in self.told.pieces.iter_mut().skip(self.pieces) {
            let place = *number as usize - first;
            if place >= records.len() {
                break;
            }
            self.pieces += 1;
            pieces.entry(place).or_default().add(std::mem::take(&mut **more));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{Box3, Vec3};

    #[test]
    fn records_are_those_of_their_ops_however_many_there_are() {
        let unit = Box3 { min: Vec3::zeros(), max: Vec3::repeat(1.0) };
        let layouts = Axis::ALL.map(|axis| GridLayout::over(axis, &unit, 0.5));
        let ops = 3 * AT_ONCE + 7;
        let numbers = || 0..u32::try_from(ops).unwrap();
        let bands = [Axis::X, Axis::Z, Axis::Z].map(|axis| {
            let mut told = Told::default();
            for number in numbers().step_by(3) {
                let (nm, longest) = (u64::from(number) + 1, i32::try_from(number).unwrap() + 1);
                let sides = (-f64::from(number), f64::from(number));
                told.add(Sum { number, longest, nm });
                told.add_sides(number, sides);
            }
            (axis, told)
        });
        let mut left = numbers().step_by(3);
        Met::of(bands.into(), ops, layouts).each(|number, record| {
            assert_eq!(left.next().map(|n| n as usize), Some(number));
            let met = i64::try_from(number).unwrap() + 1;
            assert_eq!((record.met, record.longest), ([met, 0, 2 * met], [met, 0, met]), "op {number}");
            let side = f64::from(u32::try_from(number).unwrap());
            assert_eq!(record.beside, Some((-side, side)), "op {number}");
        });
        assert_eq!(left.next(), None);
    }
}
