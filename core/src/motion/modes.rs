use super::codes::{CycleCode, FeedMode, Motion};
use super::polar::Polar;
use super::{Place, SpindleTurn};
use crate::geom::Axis;
use crate::job::WorkOffset;
use crate::units::Unit;

/// What is known of one coordinate of the tool tip, setup frame, millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Coordinate {
    /// Programmed or reckoned.
    Known(f64),
    /// At home: at least this high for paths, but no number to reckon from.
    Home(f64),
    /// Not known.
    Unknown,
}

impl Coordinate {
    /// Where a path begins or ends; `None`: not known.
    pub(super) fn height(self) -> Option<f64> {
        match self {
            Coordinate::Known(at) | Coordinate::Home(at) => Some(at),
            Coordinate::Unknown => None,
        }
    }

    /// A number that increments may be added to.
    pub(super) fn number(self) -> Option<f64> {
        match self {
            Coordinate::Known(at) => Some(at),
            Coordinate::Home(_) | Coordinate::Unknown => None,
        }
    }
}

/// The axis words' motion that is in force.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Mode {
    /// None has been called, or the last was cancelled.
    None,
    Motion(Motion),
    Cycle(CycleCode),
}

/// R or Z of a cycle, as given and as reckoned.
#[derive(Clone, Copy, Debug)]
pub(super) struct Level {
    /// As programmed, millimetres.
    pub(super) programmed: f64,
    /// Given under G91.
    pub(super) incremental: bool,
    /// Height, setup frame.
    pub(super) height: f64,
    /// Height that an R under G91 was counted from.
    pub(super) from: f64,
}

/// What a canned cycle remembers from block to block.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sticky {
    /// Height at which the cycles began: G98 goes back there.
    pub(super) initial: Coordinate,
    pub(super) r: Option<Level>,
    pub(super) z: Option<Level>,
    pub(super) dwell: Option<f64>,
    pub(super) peck: Option<f64>,
    /// Sideways step of a boring cycle, X and Y, as the machine makes it.
    pub(super) aside: Option<(f64, f64)>,
}

/// The feed in force.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Feed {
    /// None that counts.
    Missing,
    /// Millimetres per minute.
    PerMinute(f64),
    /// Millimetres per revolution of the spindle (G95).
    PerTurn(f64),
    /// The whole move takes this many seconds (G93).
    Seconds(f64),
}

/// The modal state between two blocks.
#[expect(clippy::struct_excessive_bools, reason = "each is one modal group of the language")]
#[derive(Clone, Debug)]
pub(super) struct Modes {
    pub(super) mode: Mode,
    /// Where the motion mode was set.
    pub(super) mode_place: Option<Place>,
    pub(super) sticky: Option<Sticky>,
    pub(super) plane: Axis,
    pub(super) unit: Unit,
    pub(super) unit_stated: bool,
    pub(super) incremental: bool,
    /// Where G91 was set.
    pub(super) incremental_place: Option<Place>,
    /// Where the plane was set.
    pub(super) plane_place: Option<Place>,
    pub(super) feed_mode: FeedMode,
    /// Where the feed mode was set.
    pub(super) feed_mode_place: Option<Place>,
    pub(super) return_to_r: bool,
    pub(super) offset: WorkOffset,
    /// Radius register named by the last D since the tool change.
    pub(super) radius_register: Option<u32>,
    /// Where the length offset was taken up.
    pub(super) length_place: Option<Place>,
    /// The length offset of the tool before, until a G43 or G49 says anew: register and where it was taken up.
    pub(super) stale_length: Option<(u32, Place)>,
    /// Where G52 or G92 last shifted the coordinates.
    pub(super) shift_place: Option<Place>,
    /// Length offset taken up by G43 or G44, register 0 counted as none.
    pub(super) length_register: Option<u32>,
    /// Taken up by G44: the register is taken off.
    pub(super) length_minus: bool,
    /// G16, while it is on.
    pub(super) polar: Option<Polar>,
    pub(super) feed: Feed,
    pub(super) rpm: f64,
    pub(super) spindle: SpindleTurn,
    /// Tool in the spindle.
    pub(super) tool: Option<u32>,
    /// Tool named by the last T.
    pub(super) ready: Option<u32>,
    /// Tool tip, setup frame, X Y Z.
    pub(super) tip: [Coordinate; 3],
}
