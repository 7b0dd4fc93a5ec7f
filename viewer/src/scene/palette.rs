use super::Mesh;
use crate::colour::{Colour, category};
use proofcut_core::cutting::History;
use proofcut_core::motion::Run;
use proofcut_core::stock::CutId;

/// What the tints of vertices look like: colours with their shine (in place of opacity), 0 matt to 255 polished.
#[derive(Clone, Debug, PartialEq)]
pub struct Palette {
    /// One for each tint.
    pub colours: Vec<u32>,
    /// How evenly what it colours is lit: 0 as metal under a lamp, 1 the same all round.
    pub even: f32,
}

/// Number of tints.
const TINTS: usize = Mesh::MOST_TINT as usize + 1;

/// Machined metal, and stock that no tool has touched: duller and darker.
const MACHINED: Colour = Colour::hex(0xC3_C8_CC);
pub(super) const RAW: Colour = Colour::hex(0x8A_8D_90);
/// Shine of machined metal, of raw stock, of what is tinted.
const POLISHED: u8 = 200;
const DULL: u8 = 40;
const SATIN: u8 = 110;
/// How evenly categories are lit.
const READ: f32 = 0.4;

impl Palette {
    /// From a colour and shine for each tint.
    pub fn of(even: f32, colour: impl Fn(u16) -> (Colour, u8)) -> Self {
        let mut colours = vec![0; TINTS];
        for (slot, tint) in colours.iter_mut().zip(0..) {
            let (colour, shine) = colour(tint);
            *slot = colour.with_opacity(shine).packed();
        }
        Self { colours, even }
    }

    /// One colour for all tints.
    pub fn plain(colour: Colour, shine: u8) -> Self {
        Self::of(0.0, |_| (colour, shine))
    }

    /// Bare metal: tint 0 is raw stock, every other is machined.
    pub fn metal() -> Self {
        Self::of(0.0, |tint| if tint == 0 { (RAW, DULL) } else { (MACHINED, POLISHED) })
    }

    /// A colour for each tool.
    pub fn tools(categories: &Categories) -> Self {
        Self::of(READ, |tint| categories.coloured(tint, |c| categories.tool_colour(c.tool)))
    }

    /// A colour for each setup.
    pub fn setups(categories: &Categories) -> Self {
        Self::of(READ, |tint| categories.coloured(tint, |c| category(c.setup)))
    }
}

/// What the faces of the stock are told apart by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Category {
    /// Index of the setup.
    pub setup: usize,
    /// Tool number; `None`: a move without a tool called.
    pub tool: Option<u32>,
}

/// The tint of every cut: 0 for raw stock, one for each pair of setup and tool. So bare metal, tools and setups are three
/// palettes for the same meshes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Categories {
    /// For tints 1 and up, in the order of their first cut.
    pub known: Vec<Category>,
    /// For each cut its tint.
    tints: Vec<u16>,
    /// Tool numbers in the order of their first cut.
    tools: Vec<Option<u32>>,
}

impl Categories {
    /// Reads the categories of all cuts; `runs` are those of the setups that were cut, in order.
    pub fn of(history: &History, runs: &[Run]) -> Self {
        let mut out = Self::default();
        for id in 1..history.next_id().0 {
            let tint = history.origin(CutId(id)).map_or(0, |origin| {
                let run = runs.get(origin.setup);
                let tool = run.and_then(|r| r.moves.get(origin.move_index)).and_then(|m| m.tool);
                out.tint_for(Category { setup: origin.setup, tool })
            });
            out.tints.push(tint);
        }
        out
    }

    fn tint_for(&mut self, category: Category) -> u16 {
        // Cuts of one stay of a tool follow each other: the newest category is nearly always the one.
        let at = self.known.iter().rposition(|c| *c == category).unwrap_or_else(|| {
            self.known.push(category);
            if !self.tools.contains(&category.tool) {
                self.tools.push(category.tool);
            }
            self.known.len() - 1
        });
        u16::try_from(at + 1).unwrap_or(Mesh::MOST_TINT).min(Mesh::MOST_TINT)
    }

    /// The tint of a cut's faces; 0 for raw stock.
    pub fn tint(&self, by: CutId) -> u16 {
        (by.0 as usize).checked_sub(1).and_then(|i| self.tints.get(i)).copied().unwrap_or(0)
    }

    /// The category of a tint; `None` for raw stock.
    pub fn category(&self, tint: u16) -> Option<Category> {
        self.known.get(usize::from(tint).checked_sub(1)?).copied()
    }

    /// The colour of a tool.
    pub fn tool_colour(&self, tool: Option<u32>) -> Colour {
        category(self.tools.iter().position(|t| *t == tool).unwrap_or(0))
    }

    /// Tools that cut, in order.
    pub fn tools(&self) -> &[Option<u32>] {
        &self.tools
    }

    fn coloured(&self, tint: u16, colour: impl Fn(&Category) -> Colour) -> (Colour, u8) {
        self.category(tint).map_or((RAW, DULL), |c| (colour(&c), SATIN))
    }
}
