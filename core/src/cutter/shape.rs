//! From a tool's numbers to its stack of bodies.

use super::{Assembly, Body, Part, PartRole, Tool, ToolKind};

/// Which diameters a shape is made of.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Diameters {
    /// What the tool leaves behind.
    Cutting,
    /// What it can bump into.
    Full,
}

/// Basic minor diameter of a 60 degree thread: `D1 = D - 1.082532 P`, twice 5/8 of the height of the sharp triangle
/// `H = P cos 30` (ISO 68-1; "thread-geo" in the table of formulas).
const MINOR_OVER_PITCH: f64 = 1.082_531_754_730_548_3;

/// Full angle of the pilot's point of a center drill (ISO 866), radians: 118 degrees.
const PILOT_POINT: f64 = 118.0 / 180.0 * std::f64::consts::PI;

/// A tap's basic minor radius, never negative.
fn minor_radius(tool: &Tool, pitch: f64) -> f64 {
    ((tool.diameter - MINOR_OVER_PITCH * pitch) / 2.0).max(0.0)
}

pub(super) fn assembly(tool: &Tool, diameters: Diameters) -> Assembly {
    let full = tool.diameter / 2.0;
    let mut stack = Stack::new(tool);
    match tool.kind {
        ToolKind::EndMill | ToolKind::BoringBar | ToolKind::Reamer | ToolKind::Counterbore => {
            stack.straight(full);
        }
        ToolKind::Tap { pitch, .. } => {
            stack.straight(if diameters == Diameters::Full { full } else { minor_radius(tool, pitch) });
        }
        ToolKind::BallMill => stack.ball(full),
        ToolKind::BullMill { corner_radius } => stack.bull(full, corner_radius),
        ToolKind::FaceMill { tip_diameter, lead_angle } => stack.cone(tip_diameter / 2.0, full, lead_angle),
        ToolKind::TaperMill { tip_diameter, side_angle } => stack.cone(tip_diameter / 2.0, full, side_angle),
        ToolKind::ChamferMill { tip_diameter, included_angle } => {
            stack.cone(tip_diameter / 2.0, full, included_angle / 2.0);
        }
        ToolKind::Drill { point_angle } | ToolKind::SpotDrill { point_angle } => {
            stack.cone(0.0, full, point_angle / 2.0);
        }
        ToolKind::CenterDrill { point_angle, pilot_diameter, pilot_length } => {
            let pilot = (pilot_diameter / 2.0).min(full);
            let point = (pilot / libm::tan(PILOT_POINT / 2.0)).min(pilot_length);
            stack.grow(point, 0.0, pilot);
            stack.grow(pilot_length - point, pilot, pilot);
            stack.cone(pilot, full, point_angle / 2.0);
        }
        ToolKind::SlotCutter { thickness, neck_diameter } => {
            stack.limit = thickness;
            stack.grow(thickness, full, full);
            // The neck is as long as `flute_length` says; when that is only the disc, the shank follows at once.
            stack.grow(tool.flute_length - thickness, neck_diameter / 2.0, neck_diameter / 2.0);
        }
    }
    stack.shank_and_holder(tool)
}

/// Bodies piled up from the tip.
struct Stack {
    parts: Vec<Part>,
    /// Height reached so far.
    z: f64,
    /// Height up to which the tool cuts; never above the holder's nose.
    limit: f64,
    /// Height of the holder's nose.
    nose: f64,
}

impl Stack {
    fn new(tool: &Tool) -> Self {
        let nose = tool.stickout;
        Self { parts: Vec::new(), z: 0.0, limit: tool.flute_length.min(nose), nose }
    }

    fn push(&mut self, role: PartRole, body: Body) {
        if body.is_solid() {
            self.parts.push(Part { role, body });
        }
    }

    /// Adds a frustum of a height on top; what is above the cutting length is shank, what is above the holder's nose
    /// is left to the holder.
    fn grow(&mut self, height: f64, r0: f64, r1: f64) {
        if height.is_nan() || height <= 0.0 {
            return;
        }
        let (start, end) = (self.z, self.z + height);
        let (limit, nose) = (self.limit, self.nose);
        let radius = |z: f64| if z < end { r0 + (r1 - r0) * ((z - start) / height) } else { r1 };
        let pieces =
            [(PartRole::Cutter, start, end.min(limit)), (PartRole::Shank, start.max(limit), end.min(nose))];
        for (role, low, high) in pieces {
            self.push(role, Body::Frustum { z0: low, z1: high, r0: radius(low), r1: radius(high) });
        }
        self.z = end.min(nose.max(start));
    }

    /// A straight side from here up to the cutting length.
    fn straight(&mut self, radius: f64) {
        self.grow(self.limit - self.z, radius, radius);
    }

    /// A cone from the tip's radius to the full one, then a straight side up to the cutting length.
    ///
    /// An angle of zero cannot reach the full radius: the cone then takes the whole cutting length.
    fn cone(&mut self, tip: f64, full: f64, half_angle: f64) {
        if tip < full {
            let slope = libm::tan(half_angle);
            let height = if slope > 0.0 { (full - tip) / slope } else { f64::INFINITY };
            self.grow(if height.is_finite() { height } else { self.limit - self.z }, tip, full);
        }
        self.straight(full);
    }

    /// Half a ball, then a straight side.
    fn ball(&mut self, radius: f64) {
        let body = Body::HalfBall { z0: self.z, radius };
        self.rounded(body, radius);
    }

    /// A flat with a rounded corner, then a straight side.
    fn bull(&mut self, radius: f64, corner: f64) {
        if corner >= radius {
            self.ball(radius);
        } else if corner > 0.0 {
            self.rounded(Body::RoundedDisc { z0: self.z, radius, corner }, radius);
        } else {
            self.straight(radius);
        }
    }

    /// A rounded tip. A tip that is higher than the cutting length cannot be split: it cuts whole, and a straight
    /// shank stands in from the cutting length on, which is more than the tool has and never less.
    fn rounded(&mut self, body: Body, radius: f64) {
        let (start, top) = (self.z, body.top());
        self.push(PartRole::Cutter, body);
        let from = self.limit.max(start);
        if from < top {
            self.push(PartRole::Shank, Body::Frustum { z0: from, z1: top, r0: radius, r1: radius });
        }
        self.z = top;
        self.straight(radius);
    }

    fn shank_and_holder(mut self, tool: &Tool) -> Assembly {
        let shank = tool.shank_diameter / 2.0;
        self.grow(self.nose - self.z, shank, shank);
        let mut z = self.nose;
        for section in &tool.holder {
            let body = Body::Frustum {
                z0: z,
                z1: z + section.length,
                r0: section.diameter / 2.0,
                r1: section.top_diameter / 2.0,
            };
            self.push(PartRole::Holder, body);
            z += section.length;
        }
        Assembly { parts: self.parts }
    }
}

pub(super) fn core(tool: &Tool) -> Option<Body> {
    let full = tool.diameter / 2.0;
    let radius = match tool.kind {
        ToolKind::Drill { .. } | ToolKind::SpotDrill { .. } | ToolKind::CenterDrill { .. } => return None,
        ToolKind::EndMill | ToolKind::BullMill { .. } | ToolKind::BallMill | ToolKind::TaperMill { .. }
            if tool.center_cutting =>
        {
            return None;
        }
        ToolKind::BallMill => return ball_core(full),
        ToolKind::BullMill { corner_radius } if corner_radius >= full => return ball_core(full),
        ToolKind::BullMill { corner_radius } => (full / 2.0).min(full - corner_radius),
        ToolKind::EndMill | ToolKind::Counterbore => full / 2.0,
        ToolKind::TaperMill { tip_diameter, .. } => tip_diameter / 4.0,
        ToolKind::FaceMill { tip_diameter, .. } => 0.8 * tip_diameter.min(tool.diameter) / 2.0,
        ToolKind::ChamferMill { tip_diameter, .. } => tip_diameter.min(tool.diameter) / 2.0,
        ToolKind::Reamer => 0.8 * full,
        ToolKind::Tap { pitch, .. } => 0.9 * minor_radius(tool, pitch),
        ToolKind::BoringBar => (tool.shank_diameter / 2.0).min(0.8 * full),
        ToolKind::SlotCutter { neck_diameter, .. } => (neck_diameter / 2.0).min(0.8 * full),
    };
    // As high as it is wide, but not above what can cut.
    let mut height = tool.flute_length.min(tool.stickout).min(radius);
    if let ToolKind::SlotCutter { thickness, .. } = tool.kind {
        height = height.min(thickness);
    }
    let body = Body::Frustum { z0: 0.0, z1: height, r0: radius, r1: radius };
    body.is_solid().then_some(body)
}

/// A cone inscribed in the ball, out to half its radius.
fn ball_core(radius: f64) -> Option<Body> {
    let out = radius / 2.0;
    let body = Body::Frustum { z0: 0.0, z1: super::sagitta(radius, out), r0: 0.0, r1: out };
    body.is_solid().then_some(body)
}
