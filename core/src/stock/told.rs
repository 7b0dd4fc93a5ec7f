//! What ops met, told band by band, and their records.

use super::bites::Pieces;
use super::layout::GridLayout;
use super::op::OpRecord;
use crate::geom::Axis;
use rayon::prelude::*;
use std::collections::BTreeMap;

/// What ops met in one band, each given by its number; in the order of their numbers. Small, since there are many of them: most ops
/// meet something in several bands, in one of which it is also known how far to the side.
#[derive(Debug, Default)]
pub(super) struct Told {
    sums: Vec<OfOp>,
    sides: Vec<(u32, (f64, f64))>,
    pieces: Vec<(u32, Box<Pieces>)>,
}

/// Sum and longest piece of what an op met, nm.
#[derive(Clone, Copy, Debug)]
struct OfOp {
    number: u32,
    longest: i32,
    sum: u64,
}

impl Told {
    /// Adds what an op, later than those before it, met: the longest piece and the sum over the rays, nm.
    #[inline(always)]
    pub(super) fn add(&mut self, number: u32, longest: i32, sum: u64) {
        self.sums.push(OfOp { number, longest, sum });
    }

    /// Adds how far to the sides of its path the last one met something, mm, from and to.
    #[inline(always)]
    pub(super) fn add_sides(&mut self, number: u32, sides: (f64, f64)) {
        self.sides.push((number, sides));
    }

    /// Adds pieces that the last one met, for the report.
    pub(super) fn add_pieces(&mut self, number: u32, pieces: Box<Pieces>) {
        self.pieces.push((number, pieces));
    }

    /// Adds what later ops met.
    pub(super) fn append(&mut self, mut later: Self) {
        if self.sums.is_empty() {
            *self = later;
            return;
        }
        self.sums.append(&mut later.sums);
        self.sides.append(&mut later.sides);
        self.pieces.append(&mut later.pieces);
    }

    /// Adds to the records of some ops, of which the first has that number, what they met in this band of the grid along `axis`.
    fn add_to(&self, records: &mut [OpRecord], first: usize, axis: Axis) {
        let axis = axis.index();
        let from = self.sums.partition_point(|own| (own.number as usize) < first);
        for own in self.sums.iter().skip(from) {
            let Some(record) = records.get_mut(own.number as usize - first) else { break };
            if let (Some(met), Some(longest)) = (record.met.get_mut(axis), record.longest.get_mut(axis)) {
                *met += own.sum.cast_signed();
                *longest = (*longest).max(i64::from(own.longest));
            }
        }
        let from = self.sides.partition_point(|(number, _)| (*number as usize) < first);
        for (number, (from, to)) in self.sides.iter().skip(from) {
            let Some(record) = records.get_mut(*number as usize - first) else { break };
            let own = record.beside.get_or_insert((*from, *to));
            *own = (own.0.min(*from), own.1.max(*to));
        }
    }
}

/// Records made by one thread at once.
const AT_ONCE: usize = 2048;

/// The records of so many ops, from what they met in every band, given the layouts of the grids along X, Y and Z.
///
/// Sums are whole numbers and the rest are the least and the greatest, so that the order of the bands changes nothing.
pub(super) fn records(bands: Vec<(Axis, Told)>, ops: usize, layouts: &[GridLayout; 3]) -> Vec<OpRecord> {
    let mut records = Vec::new();
    records.resize_with(ops, OpRecord::default);
    records.par_chunks_mut(AT_ONCE).enumerate().for_each(|(n, own)| {
        for (axis, told) in &bands {
            told.add_to(own, n * AT_ONCE, *axis);
        }
    });
    let mut pieces = BTreeMap::<u32, Pieces>::new();
    for (number, more) in bands.into_iter().flat_map(|(_, told)| told.pieces) {
        pieces.entry(number).or_default().add(*more);
    }
    for (number, pieces) in pieces {
        if let Some(record) = records.get_mut(number as usize) {
            record.bites = pieces.bites(layouts);
        }
    }
    records
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
                let (sum, longest) = (u64::from(number) + 1, i32::try_from(number).unwrap() + 1);
                let sides = (-f64::from(number), f64::from(number));
                told.add(number, longest, sum);
                told.add_sides(number, sides);
            }
            (axis, told)
        });
        let records = records(bands.into(), ops, &layouts);
        assert_eq!(records.len(), ops);
        for (number, record) in numbers().zip(records) {
            let is_told = number % 3 == 0;
            let met = if is_told { i64::from(number) + 1 } else { 0 };
            assert_eq!((record.met, record.longest), ([met, 0, 2 * met], [met, 0, met]), "op {number}");
            let sides = (-f64::from(number), f64::from(number));
            assert_eq!(record.beside, is_told.then_some(sides), "op {number}");
        }
    }
}
