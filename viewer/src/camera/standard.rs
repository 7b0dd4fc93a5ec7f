use glam::{Mat3, Quat, Vec3};

/// A view that the trade has a word for, seen in the setup frame: X to the right, Y away from the operator, Z up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StandardView {
    /// Down the spindle.
    Top,
    /// From below the table.
    Bottom,
    /// From where the operator stands.
    Front,
    /// From the column.
    Back,
    /// From the left end of the table.
    LeftEnd,
    /// From the right end of the table.
    RightEnd,
    /// From front, right and above, all three axes equally foreshortened.
    Corner,
    /// From front, left and above.
    LeftCorner,
    /// From back, right and above.
    BackCorner,
    /// From front, right and below.
    CornerFromBelow,
}

impl StandardView {
    /// All of them, in the order in which a list shows them.
    pub const ALL: [Self; 10] = [
        Self::Top,
        Self::Front,
        Self::RightEnd,
        Self::Corner,
        Self::LeftCorner,
        Self::BackCorner,
        Self::LeftEnd,
        Self::Back,
        Self::Bottom,
        Self::CornerFromBelow,
    ];

    /// Word for a list or a button.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Top => "top",
            Self::Bottom => "bottom",
            Self::Front => "front",
            Self::Back => "back",
            Self::LeftEnd => "left end",
            Self::RightEnd => "right end",
            Self::Corner => "corner",
            Self::LeftCorner => "left corner",
            Self::BackCorner => "back corner",
            Self::CornerFromBelow => "corner from below",
        }
    }

    /// The view of a word, in any case, with spaces or hyphens; `None` for no such word.
    pub fn named(word: &str) -> Option<Self> {
        let plain = word.trim().to_lowercase().replace(['-', '_'], " ");
        Self::ALL.into_iter().find(|v| v.word() == plain)
    }

    /// Unit vector from the part towards the eye.
    pub fn towards_eye(self) -> Vec3 {
        match self {
            Self::Top => Vec3::Z,
            Self::Bottom => Vec3::NEG_Z,
            Self::Front => Vec3::NEG_Y,
            Self::Back => Vec3::Y,
            Self::LeftEnd => Vec3::NEG_X,
            Self::RightEnd => Vec3::X,
            Self::Corner => Vec3::new(1.0, -1.0, 1.0).normalize(),
            Self::LeftCorner => Vec3::new(-1.0, -1.0, 1.0).normalize(),
            Self::BackCorner => Vec3::new(1.0, 1.0, 1.0).normalize(),
            Self::CornerFromBelow => Vec3::new(1.0, -1.0, -1.0).normalize(),
        }
    }

    /// Direction that is up in the picture. From below, the operator's side is at the top, as if the part were tipped
    /// away.
    const fn up(self) -> Vec3 {
        match self {
            Self::Top => Vec3::Y,
            Self::Bottom => Vec3::NEG_Y,
            Self::Front
            | Self::Back
            | Self::LeftEnd
            | Self::RightEnd
            | Self::Corner
            | Self::LeftCorner
            | Self::BackCorner
            | Self::CornerFromBelow => Vec3::Z,
        }
    }

    /// Turns the setup frame into the eye's axes: X right, Y up, Z towards the eye.
    pub fn eye_from_world(self) -> Quat {
        let back = self.towards_eye();
        let right = self.up().cross(back).normalize();
        Quat::from_mat3(&Mat3::from_cols(right, back.cross(right), back).transpose()).normalize()
    }
}
