use crate::colour::{Colour, OKABE_ITO};
use egui::{Color32, Context, FontFamily, FontId, RichText, TextStyle};
use proofcut_core::source::Severity;

/// Sizes of text for a screen at arm's length, points.
const SIZES: [(TextStyle, f32); 5] = [
    (TextStyle::Small, 13.0),
    (TextStyle::Body, 15.0),
    (TextStyle::Button, 15.0),
    (TextStyle::Monospace, 14.0),
    (TextStyle::Heading, 19.0),
];

/// Sets sizes of text and of things to click on.
pub fn dress(ctx: &Context) {
    ctx.all_styles_mut(|style| {
        for (name, size) in SIZES {
            let family =
                if name == TextStyle::Monospace { FontFamily::Monospace } else { FontFamily::Proportional };
            style.text_styles.insert(name, FontId::new(size, family));
        }
        style.spacing.item_spacing = egui::vec2(7.0, 5.0);
        style.spacing.button_padding = egui::vec2(7.0, 3.0);
        style.visuals.button_frame = true;
    });
}

pub(super) fn colour(colour: Colour) -> Color32 {
    let [r, g, b, a] = colour.rgba;
    Color32::from_rgba_unmultiplied(r, g, b, a)
}

/// The colour of a severity (Okabe-Ito), as a ground for dark words.
pub(super) fn severity_colour(severity: Severity) -> Color32 {
    let number = match severity {
        Severity::Note => 0,
        Severity::Warning => 1,
        Severity::Fault => 5,
        Severity::Unproven => 6,
    };
    OKABE_ITO.get(number).copied().map_or(Color32::GRAY, colour)
}

/// A word on a coloured ground.
pub(super) fn badge(word: &str, ground: Color32) -> RichText {
    RichText::new(format!(" {word} ")).color(Color32::BLACK).background_color(ground).strong()
}
