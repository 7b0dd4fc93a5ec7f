//! The lens of `proofcut picture`: a spot cut again finely, in a frame of its own.

use crate::arguments::Picture;
use glam::Mat4;
use image::RgbaImage;
use proofcut_core::geom::Vec3;
use proofcut_core::job::Job;
use proofcut_core::proof::Moment;
use proofcut_core::solid::NominalPart;
use proofcut_core::stock::StockError;
use proofcut_core::units::Unit;
use proofcut_viewer::camera::{Camera, Projection};
use proofcut_viewer::colour::Theme;
use proofcut_viewer::gpu::Gpu;
use proofcut_viewer::picture::inset;
use proofcut_viewer::render::{Renderer, View};
use proofcut_viewer::scene::{
    Behind, Bounds, Categories, Kind, Lens, LineSet, Lines, Pattern, Scene, lens_scene, lens_words,
};
use std::sync::Arc;

/// Where the lens is.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Spot {
    /// Its middle, setup frame, millimetres.
    at: Vec3,
    /// Edge of its cube, millimetres.
    width: f64,
}

/// Side of the frame as a part of the picture's shorter side.
const PART: f32 = 0.42;
/// Height of its picture over the edge of the cube: the diagonal fits in.
const AROUND: f32 = 1.75;
/// Least and greatest width of the cube, millimetres.
const WIDTHS: (f64, f64) = (0.02, 50.0);

impl Spot {
    /// The spot that is asked for; `None`: none is.
    pub(crate) fn of(picture: &Picture, job: &Job) -> Result<Option<Self>, String> {
        let Some(words) = &picture.lens else { return Ok(None) };
        let at = place(words, job.unit).ok_or_else(|| {
            format!("--lens takes X, Y and Z, each with a number, such as `X1.5 Y0 Z-0.1`, not `{words}`")
        })?;
        let usual = match job.unit {
            Unit::Inch => 0.08,
            Unit::Millimetre => 2.0,
        };
        let width = job.unit.to_mm(picture.lens_width.unwrap_or(usual));
        if !(WIDTHS.0 <= width && width <= WIDTHS.1) {
            let [least, most] = [WIDTHS.0, WIDTHS.1].map(|w| job.unit.write(w));
            return Err(format!("--lens-width takes {least} to {most}"));
        }
        Ok(Some(Self { at, width }))
    }

    /// Draws the lens into the lower right of a picture, seen as the picture is.
    pub(crate) fn draw(
        &self,
        image: &mut RgbaImage,
        gpu: &Gpu,
        lens: &Scene,
        view: &View,
        job: &Job,
    ) -> Result<(), String> {
        let side = pixels(PART * whole(image.width().min(image.height())));
        let camera = Camera {
            focus: small(&self.at),
            height: AROUND * narrow(self.width),
            projection: Projection::Parallel,
            ..view.camera
        };
        // What is cut away is looked at whole.
        let section = view.section.filter(|s| s.plane().dot(camera.focus.extend(1.0)) <= 1.0e-3);
        let own = View { camera, size: (side, side), section, ..*view };
        let seen = Renderer::new(gpu, true).picture(gpu, lens, &own).map_err(|e| e.to_string())?;
        inset(image, &seen, &lens_words(self.width, job.unit), view);
        Ok(())
    }
}

/// `X1.5 Y0 Z-0.1`, each letter once, in any order; millimetres.
fn place(words: &str, unit: Unit) -> Option<Vec3> {
    let mut found = [None; 3];
    let words = words.to_uppercase();
    let starts: Vec<usize> = words.match_indices(['X', 'Y', 'Z']).map(|(i, _)| i).collect();
    if words.get(..*starts.first()?)?.trim() != "" {
        return None;
    }
    for (n, start) in starts.iter().enumerate() {
        let piece = words.get(*start..starts.get(n + 1).copied().unwrap_or(words.len()))?;
        let (letter, number) = piece.split_at_checked(1)?;
        let slot = found.get_mut("XYZ".find(letter)?)?;
        let value: f64 = number.trim().parse().ok().filter(|v: &f64| v.is_finite())?;
        if slot.replace(unit.to_mm(value)).is_some() {
            return None;
        }
    }
    let [x, y, z] = found;
    Some(Vec3::new(x?, y?, z?))
}

/// The scene of the lens, and the edges of its cube for the picture around it.
pub(crate) fn scene(
    job: &Job,
    at: &Moment,
    spot: &Spot,
    picture: &Picture,
    theme: &Theme,
) -> Result<(Scene, Lines), String> {
    let setup = job.setups.get(at.setup).ok_or("--lens: the job has no such setup")?;
    let nominal = job.drawing.as_ref().map(NominalPart::from_drawing).filter(|p| !p.is_empty());
    let lens = Lens {
        frame: &setup.frame,
        history: &at.history,
        before: at.history.first_cut(at.setup, at.made),
        at: setup.frame.part_from_setup(&spot.at),
        size: spot.width,
        unit: job.unit,
        categories: &Categories::of(&at.history, &at.runs),
        tint: crate::picture::tint(picture.tint),
        nominal: nominal.as_ref(),
        theme,
    };
    let nothing = "--lens: nothing of the stock lies there; places count from the setup's origin".to_owned();
    let scene = lens_scene(&lens).map_err(|why| match why {
        StockError::Empty => nothing.clone(),
        why @ (StockError::TooFar { .. }
        | StockError::TooFine { .. }
        | StockError::Overfull { .. }
        | StockError::Mesh(_)) => {
            format!("--lens: {why}")
        }
    })?;
    if scene.triangles() == 0 {
        return Err(nothing);
    }
    let corners = Bounds::from(&setup.frame.setup_box(&lens.cube())).corners();
    let mut set = LineSet::default();
    for (i, a) in (0_u8..).zip(corners) {
        for (_, b) in (0_u8..).zip(corners).filter(|(j, _)| i < *j && (i ^ *j).is_power_of_two()) {
            set.push(a, b, theme.rapid, 1.6, Pattern::Full);
        }
    }
    let around = Lines {
        kind: Kind::Mark,
        set: Arc::new(set),
        world_from_lines: Mat4::IDENTITY,
        behind: Behind::Full,
        sectioned: false,
    };
    Ok((scene, around))
}

#[expect(clippy::cast_possible_truncation, reason = "pictures need no more than seven digits")]
fn small(v: &Vec3) -> glam::Vec3 {
    glam::Vec3::new(v.x as f32, v.y as f32, v.z as f32)
}

#[expect(clippy::cast_possible_truncation, reason = "pictures need no more than seven digits")]
const fn narrow(x: f64) -> f32 {
    x as f32
}

fn whole(n: u32) -> f32 {
    f32::from(u16::try_from(n).unwrap_or(u16::MAX))
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a number of pixels; the cast clamps"
)]
const fn pixels(x: f32) -> u32 {
    x as u32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_read_as_they_are_written() {
        let of = |words| place(words, Unit::Millimetre).map(|v| [v.x, v.y, v.z]);
        assert_eq!(of("X1.5 Y0 Z-0.1"), Some([1.5, 0.0, -0.1]));
        assert_eq!(of(" z-.5x+2 y3"), Some([2.0, 3.0, -0.5]));
        for wrong in
            ["", "X1 Y2", "X1 Y2 Z", "X1 X2 Z3", "1 X1 Y2 Z3", "X1 Y2 Z3 Z4", "XYZ", "X1,Y2,Z3", "Xinf Y0 Z0"]
        {
            assert_eq!(of(wrong), None, "{wrong}");
        }
        assert!((place("X1Y1Z1", Unit::Inch).unwrap().x - 25.4).abs() < 1e-12);
    }
}
