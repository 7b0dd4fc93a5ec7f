//! The text of the shaders, put together from their files.

const FRAME: &str = include_str!("shaders/frame.wgsl");
const SURFACE: &str = include_str!("shaders/surface.wgsl");
const WHOLE: &str = include_str!("shaders/surface_whole.wgsl");
const CUT: &str = include_str!("shaders/surface_cut.wgsl");
const CUT_SMOOTH: &str = include_str!("shaders/surface_cut_smooth.wgsl");
const CAP: &str = include_str!("shaders/cap.wgsl");
const LINE: &str = include_str!("shaders/line.wgsl");
const FLAT: &str = include_str!("shaders/flat.wgsl");

/// The image onto a window; it has no frame.
pub(super) const SHOW: &str = include_str!("shaders/show.wgsl");

/// A shader by its use.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Shader {
    /// Solids that no section plane cuts.
    Surface,
    /// Solids that one cuts, its edge found for each of four samples, or for each pixel.
    SurfaceCut { smooth: bool },
    /// Faces laid open by a section plane.
    Cap,
    /// Lines.
    Line,
    /// Shades and background.
    Flat,
}

impl Shader {
    /// All of them.
    #[cfg(test)]
    pub(super) const ALL: [Self; 6] = [
        Self::Surface,
        Self::SurfaceCut { smooth: true },
        Self::SurfaceCut { smooth: false },
        Self::Cap,
        Self::Line,
        Self::Flat,
    ];

    /// Its text.
    pub(super) fn text(self) -> String {
        let own = match self {
            Self::Surface => format!("{SURFACE}\n{WHOLE}"),
            Self::SurfaceCut { smooth: false } => format!("{SURFACE}\n{CUT}"),
            Self::SurfaceCut { smooth: true } => format!("{SURFACE}\n{CUT_SMOOTH}"),
            Self::Cap => CAP.to_owned(),
            Self::Line => LINE.to_owned(),
            Self::Flat => FLAT.to_owned(),
        };
        format!("{FRAME}\n{own}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Needs no driver: the compiler of the shading language itself judges every text.
    #[test]
    fn every_shader_is_valid() {
        let texts = Shader::ALL.iter().map(|s| s.text());
        for text in texts.chain(std::iter::once(SHOW.to_owned())) {
            let module =
                naga::front::wgsl::parse_str(&text).unwrap_or_else(|e| panic!("{}", e.emit_to_string(&text)));
            let all = naga::valid::ValidationFlags::all();
            let able = naga::valid::Capabilities::MULTISAMPLED_SHADING;
            naga::valid::Validator::new(all, able)
                .validate(&module)
                .unwrap_or_else(|e| panic!("{}", e.emit_to_string(&text)));
        }
        let cuts = |shader: Shader| shader.text().lines().any(|l| l.trim().starts_with("if in.beyond"));
        assert!(cuts(Shader::SurfaceCut { smooth: false }) && !cuts(Shader::Surface));
    }
}
