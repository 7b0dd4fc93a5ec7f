//! The drawing's dimensions: two-point sizes, extents and lines.

use super::bench::Bench;
use super::extent::extreme;
use super::finished::{air_at, matter_at};
use super::judge::judge;
use super::result::{DimensionResult, DimensionValue, Measured, Verdict};
use crate::geom::{Axis, Direction, Vec3};
use crate::job::{Dimension, DimensionKind};
use crate::stock::CutId;

/// A point of the drawing that lies this near to a surface counts as lying on it, millimetres.
const ON_SURFACE: f64 = 1.0e-6;

/// Two ends of a size and who left them.
struct Ends {
    low: f64,
    high: f64,
    by: [CutId; 2],
    /// The same ends in the drawing.
    drawn: Option<(f64, f64)>,
}

impl Ends {
    /// The end that lies further from where the drawing has it: how far, who left it, and where the drawing has it.
    fn further_off(&self) -> Option<(f64, CutId, f64)> {
        let (low, high) = self.drawn?;
        let [low_by, high_by] = self.by;
        let (at_low, at_high) = ((self.low - low).abs(), (self.high - high).abs());
        // Of two that are equally off, the one that was cut.
        let high_is_further =
            if (at_high - at_low).abs() <= ON_SURFACE { high_by != CutId::RAW } else { at_high > at_low };
        Some(if high_is_further { (at_high, high_by, high) } else { (at_low, low_by, low) })
    }
}

impl Bench<'_> {
    /// Measures a dimension.
    pub(super) fn dimension(&self, index: usize, dimension: &Dimension) -> DimensionResult {
        let ends = match dimension.kind {
            DimensionKind::Overall => self.overall(dimension.along),
            DimensionKind::Thickness { at } => self.thickness(dimension.along, &at),
            DimensionKind::Gap { at } => self.gap(dimension.along, &at),
            DimensionKind::Line { at } => return self.all_along(index, dimension, &at),
        };
        let at = match dimension.kind {
            DimensionKind::Thickness { at } | DimensionKind::Gap { at } => Some(at),
            DimensionKind::Overall | DimensionKind::Line { .. } => None,
        };
        let Some(ends) = ends else {
            let verdict = Some(Verdict::Missing);
            return DimensionResult {
                dimension: index,
                value: DimensionValue::Nothing,
                verdict,
                made_by: Vec::new(),
                off: None,
                off_by: None,
                off_at: at,
            };
        };
        let makers = self.makers();
        let bound = ends.by.iter().map(|id| makers.bound(*id)).sum();
        let size = Measured { value: ends.high - ends.low, bound };
        let verdict =
            dimension.nominal.zip(dimension.tolerance).map(|(nominal, t)| judge(&size, nominal, &t));
        DimensionResult {
            dimension: index,
            value: DimensionValue::Size(size),
            verdict,
            made_by: makers.made_by(ends.by),
            off: ends.further_off().and_then(|off| makers.made_by([off.1]).into_iter().next()),
            off_by: ends.further_off().map(|off| off.0),
            off_at: at.zip(ends.further_off()).map(|(mut at, off)| {
                dimension.along.set(&mut at, off.2);
                at
            }),
        }
    }

    fn overall(&self, along: Axis) -> Option<Ends> {
        let low = extreme(self.finished, Direction::new(along, false))?;
        let high = extreme(self.finished, Direction::new(along, true))?;
        let b = self.nominal.bounds();
        let drawn = (!b.is_empty()).then(|| (along.of(&b.min), along.of(&b.max)));
        Some(Ends { low: low.0, high: high.0, by: [low.1, high.1], drawn })
    }

    /// The material at the point; where the point itself lies outside the material as cut (a point drawn on a face that
    /// was cut too deep), the material at the middle of what the drawing has there.
    fn thickness(&self, along: Axis, at: &Vec3) -> Option<Ends> {
        let line = self.finished.line(along, at);
        let here = along.of(at);
        let nominal = self.nominal_line(along, at);
        let drawn = nominal.iter().copied().find(|(a, b)| a - ON_SURFACE <= here && here <= b + ON_SURFACE);
        let middle = drawn.map(|(a, b)| 0.5 * (a + b));
        let found = matter_at(&line, here, ON_SURFACE)
            .or_else(|| middle.and_then(|m| matter_at(&line, m, ON_SURFACE)))?;
        Some(Ends { low: found.low, high: found.high, by: [found.low_by, found.high_by], drawn })
    }

    /// The air at the point, or at the middle of the air that the drawing has there.
    fn gap(&self, along: Axis, at: &Vec3) -> Option<Ends> {
        let line = self.finished.line(along, at);
        let here = along.of(at);
        let nominal = self.nominal_line(along, at);
        let drawn = nominal
            .iter()
            .zip(nominal.iter().skip(1))
            .map(|(a, b)| (a.1, b.0))
            .find(|(a, b)| a - ON_SURFACE <= here && here <= b + ON_SURFACE);
        let middle = drawn.map(|(a, b)| 0.5 * (a + b));
        let found =
            air_at(&line, here, ON_SURFACE).or_else(|| middle.and_then(|m| air_at(&line, m, ON_SURFACE)))?;
        Some(Ends { low: found.low, high: found.high, by: [found.low_by, found.high_by], drawn })
    }

    fn all_along(&self, index: usize, dimension: &Dimension, at: &Vec3) -> DimensionResult {
        let line = self.finished.line(dimension.along, at);
        let makers = self.makers();
        let (value, verdict) = if line.is_empty() {
            (DimensionValue::Nothing, Some(Verdict::Missing))
        } else {
            (DimensionValue::Intervals(line.iter().map(|m| (m.low, m.high)).collect()), None)
        };
        let made_by = makers.made_by(line.iter().flat_map(|m| [m.low_by, m.high_by]));
        DimensionResult {
            dimension: index,
            value,
            verdict,
            made_by,
            off: None,
            off_by: None,
            off_at: Some(*at),
        }
    }
}
