//! Text into an image.

use crate::colour::{Colour, byte};
use ab_glyph::{Font, FontRef, PxScale, ScaleFont, point};
use image::{Rgba, RgbaImage};

/// A typeface at hand.
#[derive(Debug)]
pub(super) struct Type {
    font: Option<FontRef<'static>>,
}

impl Type {
    /// The typeface of the window, too, so that both look alike.
    pub(super) fn new() -> Self {
        // A picture without words is better than none, should the font ever not be readable.
        Self { font: FontRef::try_from_slice(epaint_default_fonts::UBUNTU_LIGHT).ok() }
    }

    /// Width of a line, pixels.
    pub(super) fn width(&self, text: &str, size: f32) -> f32 {
        let Some(font) = &self.font else { return 0.0 };
        let scaled = font.as_scaled(PxScale::from(size));
        let mut width = 0.0;
        let mut last = None;
        for c in text.chars() {
            let id = scaled.glyph_id(c);
            width += last.map_or(0.0, |l| scaled.kern(l, id)) + scaled.h_advance(id);
            last = Some(id);
        }
        width
    }

    /// Writes a line whose upper left corner is at a place, pixels.
    pub(super) fn write(
        &self,
        image: &mut RgbaImage,
        (x, y): (f32, f32),
        size: f32,
        ink: Colour,
        text: &str,
    ) {
        let Some(font) = &self.font else { return };
        let scaled = font.as_scaled(PxScale::from(size));
        let base = y + scaled.ascent();
        let mut caret = x;
        let mut last = None;
        for c in text.chars() {
            let id = scaled.glyph_id(c);
            caret += last.map_or(0.0, |l| scaled.kern(l, id));
            let glyph = id.with_scale_and_position(PxScale::from(size), point(caret, base));
            if let Some(outline) = scaled.outline_glyph(glyph) {
                let corner = outline.px_bounds().min;
                outline.draw(|dx, dy, cover| {
                    // A light face gains from a little weight on a screen.
                    let cover = (cover * 1.25).min(1.0);
                    blend(image, at(corner.x) + signed(dx), at(corner.y) + signed(dy), ink, cover);
                });
            }
            caret += scaled.h_advance(id);
            last = Some(id);
        }
    }
}

/// Lays a colour over a pixel; places outside the image are passed over.
pub(super) fn blend(image: &mut RgbaImage, x: i64, y: i64, colour: Colour, cover: f32) {
    let (Ok(x), Ok(y)) = (u32::try_from(x), u32::try_from(y)) else { return };
    if let Some(Rgba(pixel)) = image.get_pixel_mut_checked(x, y) {
        let [.., opacity] = colour.rgba;
        let part = cover.clamp(0.0, 1.0) * f32::from(opacity) / 255.0;
        for (under, over) in pixel.iter_mut().zip(colour.rgba).take(3) {
            *under = byte(f32::from(*under) + (f32::from(over) - f32::from(*under)) * part);
        }
    }
}

/// The pixel of a coordinate.
#[expect(clippy::cast_possible_truncation, reason = "the cast clamps; what lies outside is not drawn")]
pub(super) fn at(x: f32) -> i64 {
    x.floor() as i64
}

fn signed(n: u32) -> i64 {
    i64::from(n)
}
