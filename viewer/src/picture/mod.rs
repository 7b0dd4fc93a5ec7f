//! An image with its labels, legends and caption, for files and sheets.
//!
//! *Invariant*: what is not proved says so in the picture itself.

mod paper;
mod text;

pub use paper::legend_width;

use crate::colour::Theme;
use crate::render::View;
use crate::scene::Scene;
use image::RgbaImage;
use paper::Paper;

/// Words around a picture.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Caption {
    /// What is seen, at the foot.
    pub foot: String,
    /// What must not be overlooked, such as `NOT PROVED`, at the head; empty for none.
    pub warning: String,
}

/// Writes labels, legends and words onto a picture of a scene.
pub fn write_on(image: &mut RgbaImage, scene: &Scene, view: &View, caption: &Caption) {
    let theme: Theme = view.theme;
    let mut paper = Paper::new(image, &theme, view.scale);
    paper.labels(&scene.labels, view);
    paper.legends(&scene.legends);
    paper.caption(caption);
}

/// Lays a square picture into the lower right of another, framed, with words below it.
pub fn inset(image: &mut RgbaImage, lens: &RgbaImage, words: &str, view: &View) {
    let theme: Theme = view.theme;
    Paper::new(image, &theme, view.scale).inset(lens, words);
}
