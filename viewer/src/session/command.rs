use crate::camera::StandardView;

/// Everything that can be asked for: buttons, keys and tests say the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Command {
    /// Reads the files again and checks the job.
    CheckAgain,
    /// Stops a check that runs; otherwise selects nothing.
    StopOrClear,
    /// Selects the next finding.
    NextFinding,
    /// Selects the finding before.
    PreviousFinding,
    /// To the next block that moves.
    NextBlock,
    /// To the block before.
    PreviousBlock,
    /// To the next stay of a tool in the spindle.
    NextTool,
    /// To the stay before.
    PreviousTool,
    /// To the next setup.
    NextSetup,
    /// To the setup before.
    PreviousSetup,
    /// Before the first move.
    ToStart,
    /// After the last move.
    ToEnd,
    /// Lets the time run, or stops it.
    Play,
    /// Lets it run twice as fast.
    Faster,
    /// Half as fast.
    Slower,
    /// Turns the eye.
    Stand(StandardView),
    /// Shows all of the part.
    Fit,
    /// As the eye sees it, or parallel.
    Perspective,
    /// Workholding: shown, see-through, hidden.
    Workholding,
    /// The tool: shown, see-through, hidden.
    Tool,
    /// What the colours of the part tell.
    Tint,
    /// Cuts the scene open across X, Y, Z, or not.
    Section,
    /// The other side of the section.
    Flip,
    /// Moves the section plane a little towards what it takes away.
    SectionOut,
    /// Moves it a little into what it leaves.
    SectionIn,
    /// Ten times as far.
    SectionFarOut,
    /// Ten times as far.
    SectionFarIn,
    /// Clicks pick two things to measure between, or select again.
    Measure,
    /// Clicks read a caliper along X, Y, Z, or select again.
    Caliper,
    /// Clicks put the lens; or it goes.
    Lens,
    /// Takes measurements and lens away.
    Dismiss,
    /// Shows the path of the tip, or not.
    Path,
    /// Shows how near tools come to the workholding, or not.
    Clearance,
    /// Dark or light.
    Dark,
}

/// A key, with what is held down.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Key {
    /// Name of the key, such as `F5` or `Right`.
    pub name: &'static str,
    /// Shift is held down.
    pub shift: bool,
    /// The command key is held down (Ctrl).
    pub ctrl: bool,
}

const fn key(name: &'static str) -> Key {
    Key { name, shift: false, ctrl: false }
}

impl Key {
    /// How it is written on a button.
    pub fn words(&self) -> String {
        let held = [(self.ctrl, "Ctrl+"), (self.shift, "Shift+")];
        let held: String = held.iter().filter(|(is, _)| *is).map(|(_, w)| *w).collect();
        format!("{held}{}", self.name)
    }
}

impl Command {
    /// All of them, in the order in which a list of keys shows them.
    pub const ALL: [Self; 43] = [
        Self::CheckAgain,
        Self::StopOrClear,
        Self::NextFinding,
        Self::PreviousFinding,
        Self::NextBlock,
        Self::PreviousBlock,
        Self::NextTool,
        Self::PreviousTool,
        Self::NextSetup,
        Self::PreviousSetup,
        Self::ToStart,
        Self::ToEnd,
        Self::Play,
        Self::Faster,
        Self::Slower,
        Self::Stand(StandardView::Top),
        Self::Stand(StandardView::Front),
        Self::Stand(StandardView::RightEnd),
        Self::Stand(StandardView::Corner),
        Self::Stand(StandardView::LeftCorner),
        Self::Stand(StandardView::BackCorner),
        Self::Stand(StandardView::LeftEnd),
        Self::Stand(StandardView::Back),
        Self::Stand(StandardView::Bottom),
        Self::Stand(StandardView::CornerFromBelow),
        Self::Fit,
        Self::Perspective,
        Self::Workholding,
        Self::Tool,
        Self::Tint,
        Self::Section,
        Self::Flip,
        Self::SectionOut,
        Self::SectionIn,
        Self::SectionFarOut,
        Self::SectionFarIn,
        Self::Measure,
        Self::Caliper,
        Self::Lens,
        Self::Dismiss,
        Self::Path,
        Self::Clearance,
        Self::Dark,
    ];

    /// Words for a button or a list.
    pub const fn words(self) -> &'static str {
        match self {
            Self::CheckAgain => "Check again",
            Self::StopOrClear => "Stop checking, measuring, or select nothing",
            Self::NextFinding => "Next finding",
            Self::PreviousFinding => "Finding before",
            Self::NextBlock => "Next block",
            Self::PreviousBlock => "Block before",
            Self::NextTool => "Next tool",
            Self::PreviousTool => "Tool before",
            Self::NextSetup => "Next setup",
            Self::PreviousSetup => "Setup before",
            Self::ToStart => "Before the first move",
            Self::ToEnd => "After the last move",
            Self::Play => "Run or hold",
            Self::Faster => "Faster",
            Self::Slower => "Slower",
            Self::Stand(view) => view.word(),
            Self::Fit => "Fit",
            Self::Perspective => "Perspective",
            Self::Workholding => "Workholding",
            Self::Tool => "Tool",
            Self::Tint => "Colours",
            Self::Section => "Section",
            Self::Flip => "Other side",
            Self::SectionOut => "Section out",
            Self::SectionIn => "Section in",
            Self::SectionFarOut => "Section far out",
            Self::SectionFarIn => "Section far in",
            Self::Measure => "Measure",
            Self::Caliper => "Caliper",
            Self::Lens => "Lens",
            Self::Dismiss => "Take measurements away",
            Self::Path => "Path",
            Self::Clearance => "Clearance",
            Self::Dark => "Light or dark",
        }
    }

    /// Its key.
    pub const fn key(self) -> Key {
        match self {
            Self::CheckAgain => key("F5"),
            Self::StopOrClear => key("Escape"),
            Self::NextFinding => key("F8"),
            Self::PreviousFinding => Key { shift: true, ..key("F8") },
            Self::NextBlock => key("Right"),
            Self::PreviousBlock => key("Left"),
            Self::NextTool => key("PageDown"),
            Self::PreviousTool => key("PageUp"),
            Self::NextSetup => Key { ctrl: true, ..key("PageDown") },
            Self::PreviousSetup => Key { ctrl: true, ..key("PageUp") },
            Self::ToStart => key("Home"),
            Self::ToEnd => key("End"),
            Self::Play => key("Space"),
            Self::Faster => key("Plus"),
            Self::Slower => key("Minus"),
            Self::Stand(view) => key(match view {
                StandardView::Top => "1",
                StandardView::Front => "2",
                StandardView::RightEnd => "3",
                StandardView::Corner => "4",
                StandardView::LeftCorner => "5",
                StandardView::BackCorner => "6",
                StandardView::LeftEnd => "7",
                StandardView::Back => "8",
                StandardView::Bottom => "9",
                StandardView::CornerFromBelow => "0",
            }),
            Self::Fit => key("F"),
            Self::Perspective => key("V"),
            Self::Workholding => key("W"),
            Self::Tool => key("M"),
            Self::Tint => key("T"),
            Self::Section => key("S"),
            Self::Flip => key("R"),
            Self::SectionOut => key("Period"),
            Self::SectionIn => key("Comma"),
            Self::SectionFarOut => Key { shift: true, ..key("Period") },
            Self::SectionFarIn => Key { shift: true, ..key("Comma") },
            Self::Measure => key("L"),
            Self::Caliper => key("K"),
            Self::Lens => key("G"),
            Self::Dismiss => key("Delete"),
            Self::Path => key("P"),
            Self::Clearance => key("C"),
            Self::Dark => key("D"),
        }
    }

    /// True for keys that a button or a slider takes while it is chosen by key.
    pub fn gives_way(self) -> bool {
        matches!(self.key().name, "Space" | "Left" | "Right" | "Home" | "End" | "PageUp" | "PageDown")
    }
}
