use super::codes::{G, M};
use super::{Doubt, Fact, Place};
use crate::program::{Block, EvaluationFault, Parameter, Program, Reading, Word};
use crate::source::Span;
use smallvec::SmallVec;

/// How far a code or an index may be from a whole number (NISTIR 6556, 3.3.2.1).
const NEAR_INTEGER: f64 = 1e-4;

/// Modal groups of G and of M codes, numbered from 0.
const GROUPS: usize = 19;

/// A word with its number.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Given {
    pub(super) value: f64,
    /// A decimal point was written.
    pub(super) point: bool,
    pub(super) span: Span,
}

/// The words of one block by letter, its codes in the order written.
pub(super) struct Words {
    present: u32,
    given: [Given; 26],
    pub(super) g: SmallVec<[(G, Span); 8]>,
    pub(super) m: SmallVec<[(M, Span); 4]>,
    /// M codes that are not understood but leave the path alone.
    pub(super) foreign_m: SmallVec<[Span; 2]>,
    /// The first word whose letter has no meaning but as an argument of G65.
    strange: Option<Span>,
    /// I, J and K that stand in the block once more, as G65 takes them.
    pub(super) again: SmallVec<[(u8, Given); 1]>,
    pub(super) block: Place,
}

/// Where a block's numbers come from.
pub(super) struct Numbers<'a> {
    /// Index of the text among [`super::Run::sources`].
    pub(super) source: u16,
    pub(super) reading: Option<Reading>,
    pub(super) parameter: &'a dyn Fn(u32) -> Parameter,
    /// Most M codes of a block.
    pub(super) most_m: usize,
}

/// Letters as a set of bits.
pub(super) const fn letters(list: &[u8]) -> u32 {
    let (mut set, mut rest) = (0, list);
    while let [first, more @ ..] = rest {
        set |= bit(*first);
        rest = more;
    }
    set
}

const fn bit(letter: u8) -> u32 {
    1 << (letter.wrapping_sub(b'A') & 31)
}

/// Longest that a word of length may be, in either unit: a hundred metres and more.
const LONGEST: f64 = 1e5;

/// Largest number of any word.
const MOST: f64 = 1e8;

/// Letters of lengths.
const LENGTHS: u32 = letters(b"XYZIJKRQ");

/// Letters that have a meaning outside G65.
const KNOWN: u32 = letters(b"DFGHIJKLMNOPQRSTXYZ");

impl Words {
    /// Sorts out a block's words. An error is the fact that keeps the block from being understood.
    pub(super) fn gather(program: &Program, block: &Block, numbers: &Numbers) -> Result<Words, Fact> {
        let whole = Place { source: numbers.source, line: block.line, span: block.span };
        let mut words = Words {
            present: 0,
            given: [Given::default(); 26],
            g: SmallVec::new(),
            m: SmallVec::new(),
            foreign_m: SmallVec::new(),
            strange: None,
            again: SmallVec::new(),
            block: whole,
        };
        if let Some(fault) = program.faults(block).first() {
            return Err(Fact::UnreadableText { place: words.at(fault.span), fault: fault.kind });
        }
        let (mut g_groups, mut m_groups) = ([None; GROUPS], [None; GROUPS]);
        for word in program.words(block) {
            let place = words.at(word.span());
            let value = program.evaluate(word.value, numbers.reading, numbers.parameter);
            // A word whose parameter holds nothing counts as not written.
            let Some(value) = value.map_err(|fault| no_value(place, fault))? else { continue };
            match word.letter {
                b'G' => words.take_g(value, place, &mut g_groups)?,
                b'M' => words.take_m(value, place, &mut m_groups)?,
                letter => words.take(letter, value, word, place)?,
            }
        }
        if words.strange.is_some() || !words.again.is_empty() {
            words.check_arguments()?;
        }
        if words.m.len() + words.foreign_m.len() > numbers.most_m {
            return Err(Fact::TooManyM { place: whole, most: numbers.most_m });
        }
        Ok(words)
    }

    fn take(&mut self, letter: u8, value: f64, word: &Word, place: Place) -> Result<(), Fact> {
        if KNOWN & bit(letter) == 0 && self.strange.is_none() {
            self.strange = Some(place.span);
        }
        if LENGTHS & bit(letter) != 0 && value.abs() > LONGEST || value.abs() > MOST {
            return Err(Fact::WordOutOfRange { place });
        }
        if let Some(first) = self.get(letter) {
            if matches!(letter, b'I'..=b'K') {
                self.again.push((letter, Given { value, point: word.point, span: word.span() }));
                return Ok(());
            }
            return Err(Fact::RepeatedWord { place, first: self.at(first.span) });
        }
        self.present |= bit(letter);
        if let Some(slot) = self.given.get_mut(usize::from(letter - b'A')) {
            *slot = Given { value, point: word.point, span: word.span() };
        }
        Ok(())
    }

    /// Refuses letters that only a macro call takes, in a block without one.
    fn check_arguments(&self) -> Result<(), Fact> {
        if self.g.iter().any(|(g, _)| matches!(g, G::Macro | G::ModalMacro)) {
            return Ok(());
        }
        if let Some(span) = self.strange {
            return Err(Fact::UnknownWord { place: self.at(span) });
        }
        let twice = self.again.first().and_then(|(letter, given)| Some((self.get(*letter)?, given)));
        let repeated = |(first, again): (Given, &Given)| Fact::RepeatedWord {
            place: self.at(again.span),
            first: self.at(first.span),
        };
        twice.map_or(Ok(()), |both| Err(repeated(both)))
    }

    fn take_g(&mut self, value: f64, place: Place, groups: &mut [Option<Span>; GROUPS]) -> Result<(), Fact> {
        let code = whole(value * 10.0, 9999.0).and_then(G::of).ok_or(Fact::UnknownWord { place })?;
        self.exclude(groups, code.group(), place)?;
        self.g.push((code, place.span));
        Ok(())
    }

    fn take_m(&mut self, value: f64, place: Place, groups: &mut [Option<Span>; GROUPS]) -> Result<(), Fact> {
        let number = whole(value, 9999.0).ok_or(Fact::UnknownWord { place })?;
        let Some(code) = M::of(number) else {
            if super::codes::changes_flow(number) {
                return Err(Fact::UnknownWord { place });
            }
            self.foreign_m.push(place.span);
            return Ok(());
        };
        if let Some(group) = code.group() {
            self.exclude(groups, group, place)?;
        }
        self.m.push((code, place.span));
        Ok(())
    }

    fn exclude(&self, groups: &mut [Option<Span>; GROUPS], group: u32, place: Place) -> Result<(), Fact> {
        let slot = usize::try_from(group).ok().and_then(|i| groups.get_mut(i));
        match slot {
            Some(Some(first)) => Err(Fact::CodesExclude { place, first: self.at(*first) }),
            Some(empty) => {
                *empty = Some(place.span);
                Ok(())
            }
            None => Ok(()),
        }
    }

    /// A place in this block.
    pub(super) fn at(&self, span: Span) -> Place {
        Place { span, ..self.block }
    }

    /// The word of a letter.
    pub(super) fn get(&self, letter: u8) -> Option<Given> {
        let index = usize::from(letter.wrapping_sub(b'A'));
        if self.present & bit(letter) == 0 { None } else { self.given.get(index).copied() }
    }

    /// True when one of the letters is there.
    pub(super) fn any(&self, set: u32) -> bool {
        self.present & set != 0
    }

    /// The leftmost word whose letter is not among `set`.
    pub(super) fn first_outside(&self, set: u32) -> Option<Place> {
        let outside = (b'A'..=b'Z').filter(|l| set & bit(*l) == 0).filter_map(|l| self.get(l));
        outside.min_by_key(|g| g.span).map(|g| self.at(g.span))
    }

    /// The leftmost word of the block.
    pub(super) fn first_word(&self) -> Place {
        let codes = self.g.iter().map(|(_, s)| *s).chain(self.m.iter().map(|(_, s)| *s));
        let others = self.first_outside(0).map(|p| p.span);
        let first = codes.chain(self.foreign_m.iter().copied()).chain(others).min();
        first.map_or(self.block, |span| self.at(span))
    }

    /// The span from the first to the last of these letters' words, widened by `also`.
    pub(super) fn span_of(&self, set: u32, also: Option<Span>) -> Place {
        let spans = (b'A'..=b'Z').filter(|l| set & bit(*l) != 0).filter_map(|l| self.get(l)).map(|g| g.span);
        let joined = spans.chain(also).reduce(|a, b| Span::new(a.start.min(b.start), a.end.max(b.end)));
        joined.map_or(self.block, |span| self.at(span))
    }

    /// A whole number that is not negative, for T, H, D, L and the like; `None` where the letter is not there.
    pub(super) fn index(&self, letter: u8, most: f64) -> Result<Option<u32>, Fact> {
        let Some(given) = self.get(letter) else { return Ok(None) };
        match whole(given.value, most) {
            Some(number) => Ok(Some(number)),
            None => Err(Fact::WordOutOfRange { place: self.at(given.span) }),
        }
    }

    /// A number that is not negative, such as a speed.
    pub(super) fn positive(&self, letter: u8) -> Result<Option<f64>, Fact> {
        match self.get(letter) {
            Some(given) if given.value < 0.0 => Err(Fact::WordOutOfRange { place: self.at(given.span) }),
            given => Ok(given.map(|g| g.value)),
        }
    }

    /// True when the block holds nothing that moves, changes or sets anything that a cut depends on.
    pub(super) fn harmless(&self) -> bool {
        self.present == 0
            && self.g.is_empty()
            && self.foreign_m.is_empty()
            && self.m.iter().all(|(m, _)| m.harmless())
    }

    /// True when the block has no word at all.
    pub(super) fn is_empty(&self) -> bool {
        self.present == 0 && self.g.is_empty() && self.m.is_empty() && self.foreign_m.is_empty()
    }
}

/// A value that is a whole number between 0 and `most`, within the report's tolerance.
pub(super) fn whole(value: f64, most: f64) -> Option<u32> {
    let rounded = libm::round(value);
    let fits = (value - rounded).abs() <= NEAR_INTEGER && 0.0 <= rounded && rounded <= most;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "whole, 0 to a bound below 2^32"
    )]
    fits.then_some(rounded as u32)
}

pub(super) fn no_value(place: Place, fault: EvaluationFault) -> Fact {
    match fault {
        EvaluationFault::ParameterNotSet(number) => Fact::ParameterNotSet { place, number },
        EvaluationFault::BadParameter(_) | EvaluationFault::NoResult => Fact::NoValue { place },
        EvaluationFault::TwoWays => Fact::ReadTwoWays { place, why: Doubt::Expression },
    }
}
