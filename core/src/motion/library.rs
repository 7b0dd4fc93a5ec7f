//! The texts that a run may be in, and where their subprograms, block numbers and loops are.

use super::{Fact, Place};
use crate::program::{Block, Program, Statement, parse};
use crate::source::SourceText;
use std::borrow::Cow;
use std::cell::OnceCell;
use std::collections::BTreeMap;

/// A block of one of the texts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Spot {
    /// Index of the text.
    pub(super) text: usize,
    pub(super) block: usize,
}

impl Spot {
    /// The text as places name it.
    pub(super) fn source(self) -> u16 {
        u16::try_from(self.text).unwrap_or(u16::MAX)
    }
}

/// The program of a setup and its subprograms.
pub(super) struct Library<'p> {
    texts: Vec<Text<'p>>,
    /// Where each subprogram begins, all of one number.
    subprograms: OnceCell<BTreeMap<u32, Vec<Spot>>>,
}

struct Text<'p> {
    program: Cow<'p, Program>,
    /// Blocks that begin with O, ascending.
    beginnings: OnceCell<Vec<(usize, u32)>>,
    /// Blocks by number.
    labels: OnceCell<BTreeMap<u32, Vec<usize>>>,
    /// Begin and end of each loop.
    loops: OnceCell<Vec<(usize, usize)>>,
}

impl<'p> Text<'p> {
    fn new(program: Cow<'p, Program>) -> Self {
        let (beginnings, labels, loops) = (OnceCell::new(), OnceCell::new(), OnceCell::new());
        Self { program, beginnings, labels, loops }
    }

    fn beginnings(&self) -> &[(usize, u32)] {
        self.beginnings.get_or_init(|| {
            let program = &self.program;
            let begins = |block: &Block| program.program_number(block);
            program.blocks.iter().enumerate().filter_map(|(i, b)| Some((i, begins(b)?))).collect()
        })
    }

    /// First block and one past the last of the program that a block belongs to.
    fn around(&self, block: usize) -> (usize, usize) {
        let all = self.beginnings();
        let next = all.partition_point(|(i, _)| *i <= block);
        let start = next.checked_sub(1).and_then(|i| all.get(i)).map_or(0, |(i, _)| *i);
        (start, all.get(next).map_or(self.program.blocks.len(), |(i, _)| *i))
    }

    fn loops(&self) -> &[(usize, usize)] {
        self.loops.get_or_init(|| {
            let mut open: Vec<(u8, usize)> = Vec::new();
            let mut loops = Vec::new();
            for (i, block) in self.program.blocks.iter().enumerate() {
                match self.program.statement(block) {
                    Some((Statement::While(_, number), _)) => open.push((number, i)),
                    // A loop closes only around whole loops.
                    Some((Statement::End(number), _)) if open.last().is_some_and(|(n, _)| *n == number) => {
                        loops.extend(open.pop().map(|(_, begin)| (begin, i)));
                    }
                    _ => {}
                }
            }
            loops
        })
    }
}

impl<'p> Library<'p> {
    pub(super) fn new(program: &'p Program, subprograms: &[SourceText]) -> Self {
        let main = Text::new(Cow::Borrowed(program));
        let others = subprograms.iter().take(usize::from(u16::MAX) - 1);
        let others = others.map(|source| Text::new(Cow::Owned(parse(source))));
        Self { texts: std::iter::once(main).chain(others).collect(), subprograms: OnceCell::new() }
    }

    pub(super) fn sources(&self) -> Vec<SourceText> {
        self.texts.iter().map(|t| t.program.source.clone()).collect()
    }

    /// True when blocks may be done more than once.
    pub(super) fn branches(&self) -> bool {
        self.texts.len() > 1 || self.texts.iter().any(|t| t.program.may_branch())
    }

    /// Blocks of all texts.
    pub(super) fn blocks(&self) -> usize {
        self.texts.iter().map(|t| t.program.blocks.len()).sum()
    }

    fn text(&self, spot: Spot) -> Option<&Text<'p>> {
        self.texts.get(spot.text).or_else(|| self.texts.first())
    }

    /// The text of a spot.
    pub(super) fn program(&self, spot: Spot) -> &Program {
        #[expect(clippy::indexing_slicing, reason = "the first text is always there")]
        self.text(spot).map_or(&self.texts[0].program, |t| &t.program)
    }

    pub(super) fn block(&self, spot: Spot) -> Option<&Block> {
        self.texts.get(spot.text)?.program.blocks.get(spot.block)
    }

    fn place(&self, spot: Spot) -> Place {
        let block = self.block(spot);
        let (line, span) = block.map_or((1, crate::source::Span::default()), |b| (b.line, b.span));
        Place { source: spot.source(), line, span }
    }

    /// The last block of a spot's text.
    pub(super) fn last_block(&self, spot: Spot) -> Place {
        let last = self.program(spot).blocks.len().saturating_sub(1);
        self.place(Spot { block: last, ..spot })
    }

    /// Where a subprogram begins; `None`: there is none of that number.
    pub(super) fn subprogram(&self, number: u32, call: Place) -> Result<Option<Spot>, Fact> {
        let all = self.subprograms.get_or_init(|| {
            let mut all: BTreeMap<u32, Vec<Spot>> = BTreeMap::new();
            for (text, t) in self.texts.iter().enumerate() {
                for (block, number) in t.beginnings() {
                    all.entry(*number).or_default().push(Spot { text, block: *block });
                }
                // A file without O takes the number that its name holds.
                if t.beginnings().is_empty()
                    && text > 0
                    && let Some(number) = crate::program::number_in_name(t.program.source.name())
                {
                    all.entry(number).or_default().push(Spot { text, block: 0 });
                }
            }
            all
        });
        match all.get(&number).map(Vec::as_slice) {
            Some([only]) => Ok(Some(*only)),
            Some([first, second, ..]) => {
                let (first, second) = (self.place(*first), self.place(*second));
                Err(Fact::SubprogramTwice { place: call, number, first, second })
            }
            Some([]) | None => Ok(None),
        }
    }

    /// The block of a number in the program that a spot belongs to.
    pub(super) fn label(&self, from: Spot, number: u32, jump: Place) -> Result<Spot, Fact> {
        let missing = Fact::JumpTargetMissing { place: jump, number };
        let Some(text) = self.text(from) else { return Err(missing) };
        let labels = text.labels.get_or_init(|| {
            let mut labels: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
            for (i, block) in text.program.blocks.iter().enumerate() {
                if let Some(number) = block.number {
                    labels.entry(number).or_default().push(i);
                }
            }
            labels
        });
        let (start, end) = text.around(from.block);
        let found = labels.get(&number).map_or(&[][..], Vec::as_slice);
        let mut here = found.iter().filter(|i| (start..end).contains(*i));
        let spot = |block: usize| Spot { block, ..from };
        match (here.next(), here.next()) {
            (Some(only), None) => Ok(spot(*only)),
            (Some(first), Some(second)) => {
                let (first, second) = (self.place(spot(*first)), self.place(spot(*second)));
                Err(Fact::JumpTargetTwice { place: jump, number, first, second })
            }
            (None, _) => Err(missing),
        }
    }

    /// The END of the loop that begins at a spot.
    pub(super) fn end_of(&self, begin: Spot) -> Option<Spot> {
        let loops = self.text(begin)?.loops();
        loops.iter().find(|(b, _)| *b == begin.block).map(|(_, end)| Spot { block: *end, ..begin })
    }

    /// The beginning of the loop that ends at a spot.
    pub(super) fn begin_of(&self, end: Spot) -> Option<Spot> {
        let loops = self.text(end)?.loops();
        loops.iter().find(|(_, e)| *e == end.block).map(|(begin, _)| Spot { block: *begin, ..end })
    }

    /// The block behind a spot when it belongs to the same program, so that nothing runs it.
    pub(super) fn loose_block(&self, end: Spot) -> Option<Place> {
        let (_, past) = self.text(end)?.around(end.block);
        (end.block + 1 < past).then(|| self.place(Spot { block: end.block + 1, ..end }))
    }
}
