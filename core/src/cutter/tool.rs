/// A tool with its holder. Lengths in millimetres, angles in radians, heights from the tip upwards.
#[derive(Clone, Debug, PartialEq)]
pub struct Tool {
    /// Tool number, T.
    pub number: u32,
    /// Name in the shop's words.
    pub name: String,
    /// Kind and what belongs to it.
    pub kind: ToolKind,
    /// Cutting diameter (largest).
    pub diameter: f64,
    /// Number of flutes or inserts.
    pub flutes: Option<u32>,
    /// Length that can cut, from the tip.
    pub flute_length: f64,
    /// Diameter of the shank.
    pub shank_diameter: f64,
    /// Tip to holder nose.
    pub stickout: f64,
    /// Tip to spindle gauge line.
    pub gauge_length: Option<f64>,
    /// Holder from the nose upwards; may be empty.
    pub holder: Vec<HolderSection>,
    /// Length register, H.
    pub length_offset: u32,
    /// Radius register, D.
    pub radius_offset: u32,
    /// Can it cut at its centre, so that it may plunge?
    pub center_cutting: bool,
    /// Direction of rotation for cutting.
    pub hand: Hand,
}

/// Kind of tool. Angles in radians.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ToolKind {
    /// Flat end mill.
    EndMill,
    /// End mill with a corner radius.
    BullMill {
        /// Corner radius.
        corner_radius: f64,
    },
    /// Ball end mill.
    BallMill,
    /// Face mill; with a lead, the inserts widen from the tip diameter to the full diameter.
    FaceMill {
        /// Diameter at the tip; equal to the diameter without lead.
        tip_diameter: f64,
        /// Angle between the insert's edge and the spindle axis.
        lead_angle: f64,
    },
    /// Tapered end mill.
    TaperMill {
        /// Diameter at the tip.
        tip_diameter: f64,
        /// Angle of the side to the spindle axis.
        side_angle: f64,
    },
    /// Boring bar: cuts at its diameter only.
    BoringBar,
    /// Chamfer mill.
    ChamferMill {
        /// Diameter of the flat at the tip, may be 0.
        tip_diameter: f64,
        /// Full angle of the cone.
        included_angle: f64,
    },
    /// Twist drill.
    Drill {
        /// Full angle of the point.
        point_angle: f64,
    },
    /// Spot drill.
    SpotDrill {
        /// Full angle of the point.
        point_angle: f64,
    },
    /// Center drill: a pilot drill and a cone.
    CenterDrill {
        /// Full angle of the cone behind the pilot.
        point_angle: f64,
        /// Diameter of the pilot.
        pilot_diameter: f64,
        /// Length of the pilot.
        pilot_length: f64,
    },
    /// Reamer.
    Reamer,
    /// Tap: leaves the hole as drilled, at least its minor diameter.
    Tap {
        /// Lead of the thread in one turn.
        pitch: f64,
        /// Turns at the tip that are ground down and cut no full thread; `None`: not told.
        chamfer_turns: Option<f64>,
    },
    /// Counterbore.
    Counterbore,
    /// Slot cutter (undercut): a disc on a neck.
    SlotCutter {
        /// Thickness of the disc.
        thickness: f64,
        /// Diameter of the neck above the disc.
        neck_diameter: f64,
    },
}

/// Direction of rotation that cuts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hand {
    /// Clockwise, M3.
    Right,
    /// Counter-clockwise, M4.
    Left,
}

/// A piece of the holder, from below upwards.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HolderSection {
    /// Diameter at its lower end.
    pub diameter: f64,
    /// Diameter at its upper end.
    pub top_diameter: f64,
    /// Length along the axis.
    pub length: f64,
}
