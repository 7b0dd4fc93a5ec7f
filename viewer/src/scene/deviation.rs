use super::{Entry, Legend, Palette, Swatch};
use crate::colour::{Colour, PU_OR};
use proofcut_core::geom::Vec3;
use proofcut_core::solid::NominalPart;
use proofcut_core::units::Unit;

/// Classes of the distance from the drawing's part: material left towards purple, cut too deep towards orange.
///
/// The limits are in the job's unit, so that the legend has round numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DeviationScale {
    unit: Unit,
    /// Upper limits of the classes above the middle one, millimetres, ascending; the last class is open.
    limits: [f64; 5],
}

/// Tints that one class takes: enough that borders between classes run smoothly across triangles.
const STEPS: u16 = 64;
/// Class in the middle of the scale.
const MIDDLE: u16 = 5;
/// How evenly the classes are lit: each must be found again in the legend.
const EVEN: f32 = 0.8;
/// Limits in inches and in millimetres.
const INCH: [f64; 5] = [0.0005, 0.001, 0.002, 0.005, 0.01];
const MILLIMETRE: [f64; 5] = [0.01, 0.025, 0.05, 0.1, 0.25];

impl DeviationScale {
    /// The scale in a unit.
    pub fn of(unit: Unit) -> Self {
        let limits = match unit {
            Unit::Inch => INCH,
            Unit::Millimetre => MILLIMETRE,
        };
        Self { unit, limits: limits.map(|l| unit.to_mm(l)) }
    }

    /// Limit of the last class, millimetres: what lies farther off looks the same.
    pub fn farthest(&self) -> f64 {
        self.limits.iter().copied().fold(0.0, f64::max)
    }

    /// The tint of a distance, millimetres, positive for material left.
    pub fn tint(&self, distance: f64) -> u16 {
        let away = distance.abs();
        // Within a class the tint rises evenly; the middle class is shared by both signs.
        let mut low = 0.0;
        let mut position = 0.5_f64;
        for (class, high) in self.limits.iter().enumerate() {
            let width = if class == 0 { 0.5 } else { 1.0 };
            let part = ((away - low) / (high - low)).clamp(0.0, 1.0);
            position += part * width;
            low = *high;
        }
        // Beyond the last limit: into the open class.
        if away > low {
            position += 0.5;
        }
        let signed = if distance < 0.0 { 1.0 - position } else { position };
        whole(((f64::from(MIDDLE) + signed) * f64::from(STEPS)).floor())
    }

    /// The tint of a point of the stock's surface, part frame.
    pub fn tint_at(&self, part: &NominalPart, point: &Vec3) -> u16 {
        let finest = self.limits.iter().copied().fold(f64::INFINITY, f64::min);
        self.tint(part.signed_distance(point, finest, 2.0 * self.farthest()))
    }

    /// Colours of the tints.
    pub fn palette(&self) -> Palette {
        Palette::of(EVEN, |tint| {
            let class = usize::from(tint / STEPS);
            (PU_OR.get(class).or(PU_OR.last()).copied().unwrap_or(Colour::hex(0)), 30)
        })
    }

    /// What the colours mean, most material left first.
    pub fn legend(&self) -> Legend {
        let n = |mm: f64| self.unit.number(mm);
        let [a, b, c, d, e] = self.limits;
        let bands = [(a, b), (b, c), (c, d), (d, e)];
        let mut texts = vec![format!("over {} left", n(e))];
        texts.extend(bands.iter().rev().map(|(low, high)| format!("{} to {} left", n(*low), n(*high))));
        texts.push(format!("within {}", n(a)));
        texts.extend(bands.iter().map(|(low, high)| format!("{} to {} too deep", n(*low), n(*high))));
        texts.push(format!("over {} too deep", n(e)));
        let colours = PU_OR.iter().rev();
        let entries = colours.zip(texts).map(|(c, text)| Entry { swatch: Swatch::Patch(*c), text }).collect();
        Legend { title: format!("Distance from the drawing, {}", self.unit.sign()), entries }
    }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a tint; the cast clamps")]
fn whole(x: f64) -> u16 {
    x as u16
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn classes_begin_at_their_limits_on_both_sides() {
        for unit in [Unit::Inch, Unit::Millimetre] {
            let scale = DeviationScale::of(unit);
            let class = |d: f64| scale.tint(d) / STEPS;
            assert_eq!(class(0.0), MIDDLE);
            for (i, limit) in (0_u16..).zip(scale.limits) {
                assert_eq!(class(limit * 0.999), MIDDLE + i, "{limit}");
                assert_eq!(class(limit * 1.001), MIDDLE + i + 1, "{limit}");
                assert_eq!(class(-limit * 0.999), MIDDLE - i, "{limit}");
                assert_eq!(class(-limit * 1.001), MIDDLE - i - 1, "{limit}");
            }
            assert_eq!((class(1.0e9), class(-1.0e9)), (10, 0));
            let tints: Vec<u16> = (-400..400).map(|k| scale.tint(f64::from(k) * 1.0e-3)).collect();
            assert!(tints.is_sorted());
            let legend = scale.legend();
            assert_eq!(legend.entries.len(), 11);
            assert!(legend.title.ends_with(unit.sign()));
            assert!(legend.entries[5].text.starts_with("within"));
        }
    }
}
