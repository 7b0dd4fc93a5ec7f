//! Colours that people with any kind of colour vision can tell apart: published scales only.

/// A colour as a screen shows it (sRGB), with opacity: 255 hides what lies behind.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Colour {
    /// Red, green, blue, opacity.
    pub rgba: [u8; 4],
}

impl Colour {
    /// An opaque colour from its six hexadecimal digits, such as `0xE6_9F_00`.
    pub const fn hex(rgb: u32) -> Self {
        let [_, r, g, b] = rgb.to_be_bytes();
        Self { rgba: [r, g, b, 255] }
    }

    /// The same colour with another opacity.
    #[must_use]
    pub const fn with_opacity(self, opacity: u8) -> Self {
        let [r, g, b, _] = self.rgba;
        Self { rgba: [r, g, b, opacity] }
    }

    /// The four bytes as one number, red lowest, as shaders unpack it.
    pub const fn packed(self) -> u32 {
        u32::from_le_bytes(self.rgba)
    }

    /// Part `t` (0 to 1) of the way to another colour, on screen values.
    #[must_use]
    pub fn towards(self, other: Self, t: f32) -> Self {
        let mut rgba = self.rgba;
        for (c, o) in rgba.iter_mut().zip(other.rgba) {
            *c = byte(f32::from(*c) + (f32::from(o) - f32::from(*c)) * t);
        }
        Self { rgba }
    }

    /// Red, green, blue as parts of full light (sRGB decoded), opacity as it is.
    pub fn linear(self) -> [f32; 4] {
        let [r, g, b, a] = self.rgba.map(|c| f32::from(c) / 255.0);
        let decode = |c: f32| if c <= 0.040_45 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) };
        [decode(r), decode(g), decode(b), a]
    }

    /// Screen values as parts of one.
    pub fn screen(self) -> [f32; 4] {
        self.rgba.map(|c| f32::from(c) / 255.0)
    }
}

/// The nearest of 0 to 255.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "the cast clamps to a byte")]
pub(crate) fn byte(x: f32) -> u8 {
    x.round() as u8
}

/// Categories (M. Okabe, K. Ito, "Color Universal Design", 2008), without black, which is for lines.
pub const OKABE_ITO: [Colour; 7] = [
    Colour::hex(0x56_B4_E9),
    Colour::hex(0xE6_9F_00),
    Colour::hex(0x00_9E_73),
    Colour::hex(0xF0_E4_42),
    Colour::hex(0x00_72_B2),
    Colour::hex(0xD5_5E_00),
    Colour::hex(0xCC_79_A7),
];

/// Diverging, from orange to purple, eleven classes (C. Brewer, "`ColorBrewer`", scheme `PuOr`).
pub const PU_OR: [Colour; 11] = [
    Colour::hex(0x7F_3B_08),
    Colour::hex(0xB3_58_06),
    Colour::hex(0xE0_82_14),
    Colour::hex(0xFD_B8_63),
    Colour::hex(0xFE_E0_B6),
    Colour::hex(0xF7_F7_F7),
    Colour::hex(0xD8_DA_EB),
    Colour::hex(0xB2_AB_D2),
    Colour::hex(0x80_73_AC),
    Colour::hex(0x54_27_88),
    Colour::hex(0x2D_00_4B),
];

/// The colour of a category; beyond the seven of the scale they come again, lighter, then darker.
pub fn category(n: usize) -> Colour {
    let base = OKABE_ITO.get(n % OKABE_ITO.len()).copied().unwrap_or(Colour::hex(0));
    match n / OKABE_ITO.len() {
        0 => base,
        1 => base.towards(Colour::hex(0xFF_FF_FF), 0.5),
        _ => base.towards(Colour::hex(0), 0.4),
    }
}

/// Light or dark surroundings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Theme {
    /// Background at the top of the picture.
    pub sky: Colour,
    /// Background at its foot.
    pub ground: Colour,
    /// Text and thin lines.
    pub ink: Colour,
    /// Text of lesser weight.
    pub faint: Colour,
    /// What text stands on where it must be read over the part.
    pub paper: Colour,
    /// Crisp edges of solids.
    pub edge: Colour,
    /// Moves at feed and arcs.
    pub feed: Colour,
    /// Moves at rapid.
    pub rapid: Colour,
}

impl Theme {
    /// Dark on light, as on paper.
    pub const LIGHT: Self = Self {
        sky: Colour::hex(0xF7_F8_FA),
        ground: Colour::hex(0xE3_E7_EB),
        ink: Colour::hex(0x1D_24_2B),
        faint: Colour::hex(0x5A_66_72),
        paper: Colour::hex(0xFF_FF_FF).with_opacity(225),
        edge: Colour::hex(0x16_1C_22).with_opacity(150),
        feed: Colour::hex(0x00_72_B2),
        rapid: Colour::hex(0xD5_5E_00),
    };

    /// Light on dark, for a dim shop.
    pub const DARK: Self = Self {
        sky: Colour::hex(0x2B_31_38),
        ground: Colour::hex(0x16_1A_1F),
        ink: Colour::hex(0xE9_ED_F1),
        faint: Colour::hex(0x9A_A6_B2),
        paper: Colour::hex(0x12_16_1A).with_opacity(215),
        edge: Colour::hex(0x08_0B_0E).with_opacity(170),
        feed: Colour::hex(0x56_B4_E9),
        rapid: Colour::hex(0xE6_9F_00),
    };
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn categories_differ_and_the_scale_is_symmetric_about_its_middle() {
        let all: Vec<Colour> = (0..21).map(category).collect();
        for (i, a) in all.iter().enumerate() {
            assert!(all.iter().skip(i + 1).all(|b| a != b), "{i}");
        }
        let lightness = |c: &Colour| c.linear()[..3].iter().sum::<f32>();
        assert!(PU_OR[..6].windows(2).all(|w| lightness(&w[0]) < lightness(&w[1])));
        assert!(PU_OR[5..].windows(2).all(|w| lightness(&w[0]) > lightness(&w[1])));
    }
}
