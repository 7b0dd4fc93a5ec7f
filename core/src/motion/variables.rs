//! The parameters of a program: those of one call (1 to 33), and those that all share.

use crate::program::Parameter;
use std::collections::BTreeMap;

/// Parameters that each G65 call has for itself: 1 to this.
pub(super) const LOCAL: usize = 33;

/// What the parameters of one call hold.
type Locals = [Parameter; LOCAL];

/// Parameters as far as they are known.
#[derive(Clone, Debug)]
pub(super) struct Variables {
    /// One for the program and one for each G65 call that is open.
    locals: Vec<Locals>,
    common: BTreeMap<u32, Option<f64>>,
    /// How often a parameter has changed what it holds: a loop in which none does runs for ever.
    pub(super) changes: u64,
}

impl Variables {
    /// When a program begins, nothing is known: what earlier programs left is in the control still.
    pub(super) fn new() -> Self {
        Self { locals: vec![[Parameter::Unknown; LOCAL]], common: BTreeMap::new(), changes: 0 }
    }

    pub(super) fn get(&self, number: u32) -> Parameter {
        let local = local(number).and_then(|i| self.locals.last()?.get(i));
        match local {
            Some(held) => *held,
            None => match self.common.get(&number) {
                Some(Some(value)) => Parameter::Number(*value),
                Some(None) => Parameter::Empty,
                None => Parameter::Unknown,
            },
        }
    }

    pub(super) fn set(&mut self, number: u32, value: Option<f64>) {
        let held = value.map_or(Parameter::Empty, Parameter::Number);
        if self.get(number) != held {
            self.changes += 1;
        }
        match local(number).and_then(|i| self.locals.last_mut()?.get_mut(i)) {
            Some(slot) => *slot = held,
            None => {
                self.common.insert(number, value);
            }
        }
    }

    /// Begins a G65 call: what it was not given holds nothing.
    pub(super) fn push(&mut self, given: &[(usize, f64)]) {
        self.locals.push(locals_of(given));
        self.changes += 1;
    }

    /// Parameters of the open call that do not hold any more what they were given.
    pub(super) fn changed(&self, given: &[(usize, f64)]) -> [bool; LOCAL] {
        let mut changed = [false; LOCAL];
        let now = self.locals.last().into_iter().flatten();
        for ((changed, now), given) in changed.iter_mut().zip(now).zip(locals_of(given)) {
            *changed = *now != given;
        }
        changed
    }

    /// Makes parameters of the open call unknown.
    pub(super) fn forget(&mut self, which: &[bool; LOCAL]) {
        for (held, which) in self.locals.last_mut().into_iter().flatten().zip(which) {
            if *which {
                *held = Parameter::Unknown;
            }
        }
    }

    /// Ends a G65 call.
    pub(super) fn pop(&mut self) {
        if self.locals.len() > 1 {
            self.locals.pop();
            self.changes += 1;
        }
    }
}

/// Parameters of a call that was given these.
fn locals_of(given: &[(usize, f64)]) -> Locals {
    let mut locals = [Parameter::Empty; LOCAL];
    for (number, value) in given {
        if let Some(slot) = number.checked_sub(1).and_then(|i| locals.get_mut(i)) {
            *slot = Parameter::Number(*value);
        }
    }
    locals
}

fn local(number: u32) -> Option<usize> {
    usize::try_from(number).ok()?.checked_sub(1).filter(|i| *i < LOCAL)
}

/// The parameter that a letter of a G65 block sets; `None` for a letter that sets none.
pub(super) fn argument(letter: u8) -> Option<usize> {
    Some(match letter {
        b'A' => 1,
        b'B' => 2,
        b'C' => 3,
        b'I' => 4,
        b'J' => 5,
        b'K' => 6,
        b'D' => 7,
        b'E' => 8,
        b'F' => 9,
        b'H' => 11,
        b'Q'..=b'Z' => usize::from(letter - b'Q') + 17,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_call_has_parameters_of_its_own() {
        let mut v = Variables::new();
        assert_eq!((v.get(1), v.get(100)), (Parameter::Unknown, Parameter::Unknown));
        v.set(1, Some(5.0));
        v.set(100, Some(7.0));
        v.push(&[(1, 2.0), (26, -3.0)]);
        assert!(v.changed(&[(1, 2.0), (26, 3.0)]).iter().enumerate().all(|(i, c)| *c == (i == 25)));
        assert_eq!(
            (v.get(1), v.get(26), v.get(2)),
            (Parameter::Number(2.0), Parameter::Number(-3.0), Parameter::Empty)
        );
        assert_eq!(v.get(100), Parameter::Number(7.0));
        v.set(1, Some(9.0));
        v.pop();
        assert_eq!(v.get(1), Parameter::Number(5.0));
        assert_eq!(
            (argument(b'Q'), argument(b'R'), argument(b'X'), argument(b'N')),
            (Some(17), Some(18), Some(24), None)
        );
        let before = v.changes;
        v.set(1, Some(5.0));
        assert_eq!(v.changes, before);
    }
}
