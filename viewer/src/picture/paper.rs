//! Where words stand in a picture.

use super::Caption;
use super::text::{Type, at, blend};
use crate::colour::{Colour, Theme};
use crate::render::View;
use crate::scene::{Entry, Label, Legend, Pattern, Swatch};
use image::RgbaImage;

/// Sizes in points: text, titles, line feed, border of the picture, inside of a panel.
const TEXT: f32 = 15.0;
const TITLE: f32 = 16.0;
const FEED: f32 = 21.0;
const BORDER: f32 = 14.0;
const INSIDE: f32 = 10.0;
/// Width of a swatch with the gap behind it.
const SWATCH: f32 = 30.0;

/// Width that legends take at the left of a picture, pixels, border included; 0 without legends.
pub fn legend_width(legends: &[Legend], scale: f32) -> f32 {
    let letters = Type::new();
    let widest = legends.iter().map(|l| panel_width(&letters, l, scale)).fold(0.0, f32::max);
    if widest > 0.0 { widest + 2.0 * BORDER * scale } else { 0.0 }
}

fn panel_width(letters: &Type, legend: &Legend, scale: f32) -> f32 {
    let rows = legend.entries.iter().map(|e| letters.width(&e.text, TEXT * scale) + SWATCH * scale);
    rows.fold(letters.width(&legend.title, TITLE * scale), f32::max) + 2.0 * INSIDE * scale
}

/// An image that is written on.
pub(super) struct Paper<'a> {
    image: &'a mut RgbaImage,
    theme: &'a Theme,
    scale: f32,
    letters: Type,
}

impl<'a> Paper<'a> {
    pub(super) fn new(image: &'a mut RgbaImage, theme: &'a Theme, scale: f32) -> Self {
        Self { image, theme, scale, letters: Type::new() }
    }

    fn size(&self) -> (f32, f32) {
        let pixels = |n: u32| f32::from(u16::try_from(n).unwrap_or(u16::MAX));
        (pixels(self.image.width()), pixels(self.image.height()))
    }

    /// Words at places of the scene; of two that would lie over each other the later one moves down.
    pub(super) fn labels(&mut self, labels: &[Label], view: &View) {
        let (width, height) = self.size();
        let size = TEXT * self.scale;
        let mut taken: Vec<[f32; 4]> = Vec::new();
        for label in labels {
            let Some(place) = view.camera.place_in_picture(label.at, width / height.max(1.0)) else {
                continue;
            };
            let long = self.letters.width(&label.text, size);
            let (x, mut y) = ((0.5 + 0.5 * place.x) * width, (0.5 - 0.5 * place.y) * height);
            let left = if label.on_paper { x + 8.0 * self.scale } else { x - 0.5 * long };
            y -= 0.5 * size;
            let room = 3.0 * self.scale;
            let meets = |y: f32, t: &[f32; 4]| {
                left - room < t[2] && t[0] < left + long + room && y - room < t[3] && t[1] < y + size + room
            };
            for _ in 0..taken.len() {
                if let Some(t) = taken.iter().find(|t| label.on_paper && meets(y, t)) {
                    y = t[3] + room;
                }
            }
            let sheet = [left - room, y - room, left + long + room, y + size + room];
            if label.on_paper {
                self.fill(sheet, self.theme.paper);
                taken.push(sheet);
            }
            self.letters.write(self.image, (left, y), size, self.theme.ink, &label.text);
        }
    }

    /// Legends one below the other at the left.
    pub(super) fn legends(&mut self, legends: &[Legend]) {
        let s = self.scale;
        let mut y = BORDER * s;
        for legend in legends.iter().filter(|l| !l.entries.is_empty()) {
            let width = panel_width(&self.letters, legend, s);
            let rows = f32::from(u16::try_from(legend.entries.len()).unwrap_or(u16::MAX));
            let height = (2.0 * INSIDE + (rows + 1.15) * FEED) * s;
            let left = BORDER * s;
            self.fill([left, y, left + width, y + height], self.theme.paper);
            let x = left + INSIDE * s;
            let mut row = y + INSIDE * s;
            self.letters.write(self.image, (x, row), TITLE * s, self.theme.ink, &legend.title);
            row += 1.15 * FEED * s;
            for entry in &legend.entries {
                self.entry(entry, x, row);
                row += FEED * s;
            }
            y += height + BORDER * s;
        }
    }

    fn entry(&mut self, entry: &Entry, x: f32, y: f32) {
        let s = self.scale;
        let middle = y + 0.5 * TEXT * s;
        match entry.swatch {
            Swatch::Patch(colour) => {
                let half = 0.5 * (FEED - 4.0) * s;
                let around = [x, middle - half, x + 20.0 * s, middle + half];
                self.fill(around, self.theme.faint);
                let line = s.max(1.0);
                self.fill([around[0] + line, around[1] + line, around[2] - line, around[3] - line], colour);
            }
            Swatch::Line(colour, pattern) => self.stroke(colour, pattern, x, middle),
            Swatch::None => {}
        }
        let at = (x + SWATCH * s, y);
        self.letters.write(self.image, at, TEXT * s, self.theme.ink, &entry.text);
    }

    fn stroke(&mut self, colour: Colour, pattern: Pattern, x: f32, y: f32) {
        let s = self.scale;
        let mut piece = |from: f32, to: f32, dy: f32, thick: f32| {
            self.fill(
                [x + from * s, y + (dy - 0.5 * thick) * s, x + to * s, y + (dy + 0.5 * thick) * s],
                colour,
            );
        };
        match pattern {
            Pattern::Full => piece(0.0, 22.0, 0.0, 2.0),
            Pattern::Dashed => {
                piece(0.0, 6.0, 0.0, 2.0);
                piece(8.0, 14.0, 0.0, 2.0);
                piece(16.0, 22.0, 0.0, 2.0);
            }
            Pattern::Double => {
                piece(0.0, 22.0, -1.8, 1.2);
                piece(0.0, 22.0, 1.8, 1.2);
            }
        }
    }

    /// What is seen, at the foot; what must not be overlooked, at the head.
    pub(super) fn caption(&mut self, caption: &Caption) {
        let s = self.scale;
        let (width, height) = self.size();
        let y = height - (BORDER + TEXT) * s;
        let long = self.letters.width(&caption.foot, TEXT * s);
        let left = (width - BORDER * s - long).max(BORDER * s);
        let sheet = [left - 6.0 * s, y - 4.0 * s, left + long + 6.0 * s, y + (TEXT + 4.0) * s];
        self.fill(sheet, self.theme.paper);
        self.letters.write(self.image, (left, y), TEXT * s, self.theme.ink, &caption.foot);
        if !caption.warning.is_empty() {
            let size = 1.2 * TITLE * s;
            let long = self.letters.width(&caption.warning, size);
            let left = (width - BORDER * s - long).max(BORDER * s);
            let top = BORDER * s;
            // Vermilion with white letters stands out by lightness as well as by hue.
            let alarm = Colour::hex(0xB3_40_00);
            self.fill([left - 10.0 * s, top - 6.0 * s, left + long + 10.0 * s, top + size + 6.0 * s], alarm);
            let white = Colour::hex(0xFF_FF_FF);
            self.letters.write(self.image, (left, top), size, white, &caption.warning);
        }
    }

    /// A picture within the picture, at the lower right above the caption: frame and words.
    pub(super) fn inset(&mut self, lens: &RgbaImage, words: &str) {
        let s = self.scale;
        let (width, height) = self.size();
        let side = |n: u32| f32::from(u16::try_from(n).unwrap_or(u16::MAX));
        let (wide, high) = (side(lens.width()), side(lens.height()));
        let left = (width - wide - (BORDER + 2.0) * s).max(0.0).floor();
        let top = (height - high - (BORDER + 2.0 * FEED + 12.0) * s).max(0.0).floor();
        let line = 2.0 * s;
        self.fill([left - line, top - line, left + wide + line, top + high + line], self.theme.rapid);
        image::imageops::replace(self.image, lens, at(left), at(top));
        let long = self.letters.width(words, TEXT * s);
        let (x, y) = (left + wide - long, top + high + 5.0 * s);
        self.fill([x - 6.0 * s, y - 2.0 * s, x + long + 6.0 * s, y + (TEXT + 4.0) * s], self.theme.paper);
        self.letters.write(self.image, (x, y), TEXT * s, self.theme.ink, words);
    }

    /// Fills a rectangle (left, top, right, bottom, pixels), borders smoothed.
    fn fill(&mut self, [left, top, right, bottom]: [f32; 4], colour: Colour) {
        let (width, height) = self.size();
        let cover = |p: i64, low: f32, high: f32| {
            let p = f32::from(u16::try_from(p).unwrap_or(u16::MAX));
            (high.min(p + 1.0) - low.max(p)).clamp(0.0, 1.0)
        };
        for y in at(top.max(0.0))..=at(bottom.min(height)) {
            for x in at(left.max(0.0))..=at(right.min(width)) {
                blend(self.image, x, y, colour, cover(x, left, right) * cover(y, top, bottom));
            }
        }
    }
}
