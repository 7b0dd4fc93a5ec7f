use glam::{Mat4, Vec3};

/// A view that the trade has a word for, seen in the setup frame: X to the right, Y away from the operator, Z up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StandardView {
    /// Down the spindle.
    Top,
    /// From where the operator stands.
    Front,
    /// From the right end of the table.
    RightEnd,
    /// From front, right and above, all three axes equally foreshortened.
    Corner,
}

impl StandardView {
    /// All of them, in the order in which a list shows them.
    pub const ALL: [StandardView; 4] =
        [StandardView::Top, StandardView::Front, StandardView::RightEnd, StandardView::Corner];

    /// Word for a list or a button.
    pub const fn word(self) -> &'static str {
        match self {
            StandardView::Top => "top",
            StandardView::Front => "front",
            StandardView::RightEnd => "right end",
            StandardView::Corner => "corner",
        }
    }

    /// Unit vector from the part towards the eye.
    fn towards_eye(self) -> Vec3 {
        match self {
            StandardView::Top => Vec3::Z,
            StandardView::Front => Vec3::NEG_Y,
            StandardView::RightEnd => Vec3::X,
            StandardView::Corner => Vec3::new(1.0, -1.0, 1.0).normalize(),
        }
    }

    /// Direction that is up in the picture.
    fn up(self) -> Vec3 {
        if self == StandardView::Top { Vec3::Y } else { Vec3::Z }
    }
}

/// A parallel projection that fits a box. Lengths in millimetres, setup frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// From the setup frame to the frame of the eye: X right, Y up, Z towards the eye, origin at the box's middle.
    pub eye_from_setup: Mat4,
    /// Half of the width and half of the height that the picture must show, millimetres.
    pub half_size: (f32, f32),
}

impl View {
    /// The standard view that just shows all of the box between two corners.
    pub fn fitting(view: StandardView, min: Vec3, max: Vec3) -> Self {
        let middle = (min + max) * 0.5;
        let back = view.towards_eye();
        let right = view.up().cross(back).normalize();
        let up = back.cross(right);
        let turn =
            Mat4::from_cols(right.extend(0.0), up.extend(0.0), back.extend(0.0), glam::Vec4::W).transpose();
        let half = (max - min) * 0.5;
        let reach = |axis: Vec3| axis.abs().dot(half.abs());
        Self { eye_from_setup: turn * Mat4::from_translation(-middle), half_size: (reach(right), reach(up)) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every corner of the box lands inside the picture, and at least one touches each border.
    #[test]
    fn every_standard_view_just_fits_the_box() {
        let (min, max) = (Vec3::new(-1.0, 2.0, 0.0), Vec3::new(5.0, 3.0, 0.5));
        for view in StandardView::ALL {
            let fitted = View::fitting(view, min, max);
            let mut widest = 0.0_f32;
            for x in [min.x, max.x] {
                for y in [min.y, max.y] {
                    for z in [min.z, max.z] {
                        let p = fitted.eye_from_setup.transform_point3(Vec3::new(x, y, z));
                        assert!(p.x.abs() <= fitted.half_size.0 + 1e-5, "{}", view.word());
                        assert!(p.y.abs() <= fitted.half_size.1 + 1e-5, "{}", view.word());
                        widest = widest.max(p.x.abs());
                    }
                }
            }
            assert!((widest - fitted.half_size.0).abs() < 1e-5, "{}", view.word());
        }
    }

    #[test]
    fn from_the_front_x_runs_right_and_z_up() {
        let fitted = View::fitting(StandardView::Front, Vec3::ZERO, Vec3::ONE);
        assert!(fitted.eye_from_setup.transform_vector3(Vec3::X).distance(Vec3::X) < 1e-6);
        assert!(fitted.eye_from_setup.transform_vector3(Vec3::Z).distance(Vec3::Y) < 1e-6);
    }
}
