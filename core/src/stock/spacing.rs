//! How fine the grids are, and what that costs.

use super::error::StockError;
use super::nm::{float, index};
use crate::geom::Box3;

/// Spacing where memory allows it, mm: fine enough that no cutter over 0.15 mm can pass between rays unseen.
const USUAL: f64 = 0.1;
/// Small stock gets at least this many rays along its shortest edge.
const LEAST_RAYS: f64 = 100.0;
/// Finest spacing that is chosen unasked, mm.
const FINEST: f64 = 0.01;
/// Chosen spacings are whole multiples of this, mm.
const GRADE: f64 = 0.01;
/// Memory that a chosen spacing may take, bytes.
const BUDGET: u64 = 512 << 20;
/// Memory above which a spacing asked for is refused, and above which nothing more is cut, bytes.
pub(super) const LIMIT: u64 = 2048 << 20;
/// Bytes for a ray: 16 for each interval and its share of the packet's summary, and as much again for the
/// intervals that cutting adds (most rays of a milled part hold one or two).
const BYTES_PER_RAY: f64 = 36.0;

/// Bytes that the three grids over a box would take, about.
fn bytes(bounds: &Box3, spacing: f64) -> f64 {
    let rays = bounds.size().map(|edge| (edge / spacing).ceil().max(1.0));
    (rays.x * rays.y + rays.y * rays.z + rays.z * rays.x) * BYTES_PER_RAY
}

/// Spacing for a box, mm: 0.1 mm where that fits into 512 MB, otherwise the finest that does, in steps of 0.01 mm;
/// for small stock finer, a hundredth of its shortest edge, down to 0.01 mm.
pub(super) fn choose(bounds: &Box3) -> f64 {
    let shortest = bounds.size().min();
    let wish = (shortest / LEAST_RAYS).clamp(FINEST, USUAL);
    if bytes(bounds, wish) <= float(BUDGET.cast_signed()) { wish } else { finest_within(bounds, BUDGET) }
}

/// Finest spacing whose grids take at most `budget` bytes, rounded up to a multiple of 0.01 mm.
fn finest_within(bounds: &Box3, budget: u64) -> f64 {
    let size = bounds.size();
    let faces = size.x * size.y + size.y * size.z + size.z * size.x;
    let exact = (faces * BYTES_PER_RAY / float(budget.cast_signed())).sqrt();
    let mut grades = (exact / GRADE).ceil().max(1.0);
    // Rounding up the number of rays may cost a little more than the areas say.
    while bytes(bounds, grades * GRADE) > float(budget.cast_signed()) {
        grades += 1.0;
    }
    grades * GRADE
}

/// Refuses a spacing that would take too much memory.
pub(super) fn affordable(bounds: &Box3, spacing: f64) -> Result<(), StockError> {
    let bytes = bytes(bounds, spacing);
    if bytes <= float(LIMIT.cast_signed()) {
        return Ok(());
    }
    let megabytes = u64::from(index(bytes / 1_048_576.0, u32::MAX));
    Err(StockError::TooFine {
        spacing,
        bytes: megabytes << 20,
        limit: LIMIT,
        fits: finest_within(bounds, LIMIT),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Vec3;

    fn block(x: f64, y: f64, z: f64) -> Box3 {
        Box3::between(Vec3::zeros(), Vec3::new(x, y, z))
    }

    #[test]
    fn usual_small_and_big_stock() {
        assert!((choose(&block(100.0, 60.0, 20.0)) - 0.1).abs() < 1e-12);
        assert!((choose(&block(20.0, 10.0, 5.0)) - 0.05).abs() < 1e-12);
        let big = block(600.0, 400.0, 150.0);
        let spacing = choose(&big);
        assert!(spacing > 0.1 && bytes(&big, spacing) <= float(BUDGET.cast_signed()), "{spacing}");
        assert!(bytes(&big, spacing - GRADE) > float(BUDGET.cast_signed()));
    }

    #[test]
    fn too_fine_is_refused_and_says_what_fits() {
        let b = block(600.0, 400.0, 150.0);
        let Err(StockError::TooFine { fits, .. }) = affordable(&b, 0.01) else { panic!("must be refused") };
        assert!(affordable(&b, fits).is_ok());
        assert!(affordable(&b, 0.5).is_ok());
    }
}
