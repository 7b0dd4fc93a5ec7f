use crate::geom::{Box3, Vec2, Vec3};
use crate::job::file::{CylinderFile, Named, ToleranceFile};
use crate::job::text::{At, Reports};
use crate::job::{RoundBar, Tolerance, kinds};
use crate::units::Unit;
use std::collections::BTreeMap;

/// No length in a job is greater, millimetres: a hundred metres. Keeps all later arithmetic far from overflow.
const MOST_LENGTH: f64 = 1.0e5;
/// No axis is faster, millimetres per minute (or per second squared).
const MOST_RATE: f64 = 1.0e9;
/// Highest register number.
const MOST_REGISTER: u32 = 9999;

/// Turns the numbers of one file into core's units and reports those that cannot be. They are finite: the check of
/// the form has seen to it.
pub(super) struct Values<'r> {
    pub(super) unit: Unit,
    pub(super) reports: &'r mut Reports,
}

impl Values<'_> {
    /// A length or coordinate, in millimetres.
    pub(super) fn length(&mut self, value: f64, at: &At) -> f64 {
        let mm = self.unit.to_mm_exact(value);
        if mm.abs() > MOST_LENGTH {
            let message = format!("{} is {value:e} {}", at.path(), self.unit.sign());
            self.reports.fault(kinds::OUT_OF_RANGE, at, message, "", "lengths go up to 100 metres");
            return 0.0;
        }
        mm
    }

    /// A length that must be greater than 0, in millimetres.
    pub(super) fn positive(&mut self, value: f64, at: &At) -> f64 {
        self.check_above_zero(value, at);
        self.length(value, at)
    }

    /// A length that may be 0 but not less, in millimetres.
    pub(super) fn not_negative(&mut self, value: f64, at: &At) -> f64 {
        self.check_from_zero(value, at);
        self.length(value, at)
    }

    /// A speed or acceleration that must be greater than 0, in millimetres per unit of time.
    pub(super) fn rate(&mut self, value: f64, at: &At) -> f64 {
        self.check_above_zero(value, at);
        let rate = self.unit.to_mm_exact(value);
        if rate > MOST_RATE {
            let message = format!("{} is {value:e}", at.path());
            self.reports.fault(kinds::OUT_OF_RANGE, at, message, "", "no machine is that fast");
            return 1.0;
        }
        rate
    }

    /// Reports a number that is less than 0.
    pub(super) fn check_from_zero(&mut self, value: f64, at: &At) {
        if value < 0.0 {
            let message = format!("{} is {value}; it cannot be less than 0", at.path());
            self.reports.fault(kinds::NOT_POSITIVE, at, message, "", "write 0 or more");
        }
    }

    /// A number without a unit of length that must be greater than 0.
    pub(super) fn number(&mut self, value: f64, at: &At) -> f64 {
        self.check_above_zero(value, at);
        value
    }

    fn check_above_zero(&mut self, value: f64, at: &At) {
        if value <= 0.0 {
            let message = format!("{} is {value}; it must be greater than 0", at.path());
            self.reports.fault(kinds::NOT_POSITIVE, at, message, "", "write a number greater than 0");
        }
    }

    /// An angle between 0 and `below` degrees, both excluded, in radians.
    pub(super) fn angle(&mut self, degrees: f64, below: f64, at: &At) -> f64 {
        if !(0.0 < degrees && degrees < below) {
            let message = format!("{} is {degrees} degrees; it must be between 0 and {below}", at.path());
            self.reports.fault(kinds::OUT_OF_RANGE, at, message, "", "write the angle in degrees");
        }
        degrees.to_radians()
    }

    /// A point in space, in millimetres.
    pub(super) fn point(&mut self, p: [f64; 3], at: &At) -> Vec3 {
        let [x, y, z] = p;
        Vec3::new(self.length(x, &at.item(0)), self.length(y, &at.item(1)), self.length(z, &at.item(2)))
    }

    /// A point in a plane, in millimetres.
    pub(super) fn point2(&mut self, p: [f64; 2], at: &At) -> Vec2 {
        let [x, y] = p;
        Vec2::new(self.length(x, &at.item(0)), self.length(y, &at.item(1)))
    }

    /// Reports a lower limit that is not below the upper one. Both in millimetres.
    pub(super) fn below(&mut self, (low, low_at): (f64, &At), (high, high_at): (f64, &At)) {
        if low >= high {
            let message = format!("{} must be less than {}", low_at.path(), high_at.path());
            self.reports.fault_against(
                kinds::LIMITS_CROSSED,
                (high_at, "this must be the greater one"),
                (low_at, "than this"),
                message,
                "swap the two, or correct the one that is wrong",
            );
        }
    }

    /// A block, in millimetres. `at` is the object with `min` and `max`.
    pub(super) fn block(&mut self, min: [f64; 3], max: [f64; 3], at: &At) -> Box3 {
        let (min_at, max_at) = (at.field("min"), at.field("max"));
        let (min, max) = (self.point(min, &min_at), self.point(max, &max_at));
        for (i, (low, high)) in min.iter().zip(max.iter()).enumerate() {
            self.below((*low, &min_at.item(i)), (*high, &max_at.item(i)));
        }
        Box3 { min, max }
    }

    /// A cylinder, in millimetres. `at` is the object with its fields.
    pub(super) fn round(&mut self, file: &CylinderFile, at: &At) -> RoundBar {
        let (from_at, to_at) = (at.field("from"), at.field("to"));
        let (from, to) = (self.length(file.from, &from_at), self.length(file.to, &to_at));
        self.below((from, &from_at), (to, &to_at));
        RoundBar {
            axis: file.axis.into(),
            center: self.point(file.center, &at.field("center")),
            radius: self.positive(file.diameter, &at.field("diameter")) / 2.0,
            from,
            to,
        }
    }

    /// A permitted deviation, in millimetres. `at` is the object with `plus` and `minus`.
    pub(super) fn tolerance(&mut self, file: &ToleranceFile, at: &At) -> Tolerance {
        let tolerance = Tolerance {
            plus: self.length(file.plus, &at.field("plus")),
            minus: self.length(file.minus, &at.field("minus")),
        };
        self.zone(tolerance, at);
        tolerance
    }

    /// Reports a tolerance zone without width. Millimetres.
    pub(super) fn zone(&mut self, tolerance: Tolerance, at: &At) {
        if tolerance.plus + tolerance.minus <= 0.0 {
            let message =
                format!("{} leaves no room: plus and minus together must be greater than 0", at.path());
            let help = "minus counts downwards: {\"plus\": 0.1, \"minus\": 0.1} is from -0.1 to +0.1";
            self.reports.fault(kinds::LIMITS_CROSSED, at, message, "", help);
        }
    }

    /// Registers by number, in millimetres.
    pub(super) fn registers(&mut self, named: Option<&Named<f64>>, at: &At) -> BTreeMap<u32, f64> {
        let mut registers = BTreeMap::new();
        for (name, value) in named.into_iter().flat_map(|n| &n.0) {
            if self.reports.is_full() {
                break;
            }
            let at = at.field(name);
            let number = name.parse::<u32>().ok().filter(|n| 1 <= *n && *n <= MOST_REGISTER);
            let value = self.length(*value, &at);
            match number {
                Some(number) if registers.insert(number, value).is_none() => {}
                Some(number) => {
                    let message = format!("register {number} is given twice");
                    self.reports.fault_span(
                        kinds::DUPLICATE,
                        at.source(),
                        at.key(),
                        message,
                        "again here",
                        "keep one of the two",
                    );
                }
                None => {
                    let message = format!("{} is not a register number", at.path());
                    self.reports.fault_span(
                        kinds::OUT_OF_RANGE,
                        at.source(),
                        at.key(),
                        message,
                        "",
                        "write the register's number, 1 to 9999, in quotes",
                    );
                }
            }
        }
        registers
    }
}
