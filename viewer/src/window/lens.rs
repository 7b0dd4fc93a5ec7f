//! The lens of the window: asked for, taken in, drawn.

use super::NoWindow;
use super::shell::section;
use super::surface::{Room, Surface};
use crate::camera::{Camera, Projection};
use crate::render::View;
use crate::session::{LensMaker, LensStaged, LensWish, Session, Wake};

/// What the window keeps of a lens.
pub(super) struct LensView {
    maker: LensMaker,
    asked: Option<LensWish>,
    staged: Option<LensStaged>,
    /// What its image was drawn of; `None`: something else is to be drawn.
    drawn: Option<View>,
}

/// Height of the picture over the edge of the cube: its diagonal fits in.
const AROUND: f32 = 1.75;

impl LensView {
    pub(super) fn new(wake: Wake) -> Self {
        Self { maker: LensMaker::new(wake), asked: None, staged: None, drawn: None }
    }

    /// Takes in what was made.
    pub(super) fn take(&mut self, session: &mut Session) {
        if let Some(staged) = self.maker.newest() {
            (self.staged, self.drawn) = (Some(staged), None);
        }
        if session.lens().is_none() {
            (self.staged, self.drawn) = (None, None);
        }
        session.note_lens(self.staged.as_ref());
    }

    /// Asks for another lens when another is to be shown.
    pub(super) fn ask(&mut self, session: &Session) {
        let wish = session.lens_wish();
        if wish != self.asked {
            if let Some(wish) = &wish {
                self.maker.wish(wish.clone());
            }
            self.asked = wish;
        }
    }

    /// Draws it anew where something about it is another; gives its room when there is something to show there.
    pub(super) fn draw(
        &mut self,
        surface: &mut Surface,
        session: &Session,
        room: Option<Room>,
        points: f32,
    ) -> Result<Option<Room>, NoWindow> {
        let (Some(staged), Some((left, top, width, height))) = (&self.staged, room) else { return Ok(None) };
        let Ok(scene) = &staged.scene else { return Ok(None) };
        let frame = staged.wish.proved.checked.job.setups.get(staged.wish.setup).map(|s| s.frame);
        let Some(frame) = frame.filter(|_| width > 0 && height > 0) else { return Ok(None) };
        let camera = Camera {
            focus: crate::scene::small(&frame.setup_from_part(&staged.wish.spot.at_part)),
            height: AROUND * edge(staged.wish.spot.size),
            projection: Projection::Parallel,
            ..session.looks.camera
        };
        let theme = *session.looks.theme();
        // What is cut away is looked at whole.
        let cut = section(session).filter(|s| s.plane().dot(camera.focus.extend(1.0)) <= 1.0e-3);
        let view = View { camera, size: (width, height), scale: points, theme, section: cut };
        if self.drawn != Some(view) {
            surface.draw_lens(scene, &view).map_err(NoWindow::new)?;
            self.drawn = Some(view);
        }
        Ok(Some((left, top, width, height)))
    }
}

#[expect(clippy::cast_possible_truncation, reason = "pictures need no more than seven digits")]
const fn edge(size: f64) -> f32 {
    size as f32
}
