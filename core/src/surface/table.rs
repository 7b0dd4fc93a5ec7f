//! What the eight signs of a cell say about the sheets of surface in it.
//!
//! Corner `x + 2 y + 4 z`; edge `4 axis + u + 2 v` with `(u, v)` its place on `axis.others()`; face `2 axis + side`. On a
//! face two of whose edges are crossed the surface runs from one to the other. On a face of which all four are crossed it
//! cuts off either the two corners that are outside, so that material holds together, or the two that are inside; both
//! cells that share the face must see it the same way. Edges joined in this way, from face to face, bound one sheet.

#![expect(
    clippy::indexing_slicing,
    reason = "worked out while compiling: an index out of range stops the build"
)]

/// Sheets of one pattern of signs.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sheets {
    /// Number of sheets, at most 4.
    pub(super) count: u8,
    /// Sheet of each edge; [`NONE`] where the surface does not cross.
    pub(super) of_edge: [u8; 12],
    /// Edges of each sheet, one bit each.
    pub(super) edges: [u16; 4],
    /// Faces all four edges of which are crossed, one bit each.
    pub(super) doubtful: u8,
}

impl Sheets {
    /// The edges that are crossed, one bit each.
    pub(super) const fn crossed(&self) -> u16 {
        let [a, b, c, d] = self.edges;
        a | b | c | d
    }
}

/// No sheet.
pub(super) const NONE: u8 = u8::MAX;

/// Sheets by the signs of the corners (bit `c`: corner `c` is inside), material holding together everywhere.
pub(super) static SHEETS: [Sheets; 256] = all();

/// The other two axes, as `Axis::others` has them.
pub(super) const fn others(axis: usize) -> (usize, usize) {
    ((axis + 1) % 3, (axis + 2) % 3)
}

/// The edge along an axis that starts at a corner.
pub(super) const fn edge_from(axis: usize, corner: usize) -> usize {
    let (u, v) = others(axis);
    4 * axis + ((corner >> u) & 1) + 2 * ((corner >> v) & 1)
}

/// The corners of a face in a ring.
pub(super) const fn ring(axis: usize, side: usize) -> [usize; 4] {
    let (u, v) = others(axis);
    let base = side << axis;
    [base, base | (1 << u), base | (1 << u) | (1 << v), base | (1 << v)]
}

/// The edge between two corners of a ring that follow each other.
pub(super) const fn edge_between(a: usize, b: usize) -> usize {
    let axis = (a ^ b).trailing_zeros() as usize;
    edge_from(axis, if a < b { a } else { b })
}

const fn all() -> [Sheets; 256] {
    let mut table = [Sheets { count: 0, of_edge: [NONE; 12], edges: [0; 4], doubtful: 0 }; 256];
    let mut mask = 0;
    while mask < 256 {
        table[mask] = sheets(mask, 0);
        mask += 1;
    }
    table
}

/// Sheets where on the faces in `apart` (one bit each) it is the inner corners that are cut off.
pub(super) const fn sheets(mask: usize, apart: u8) -> Sheets {
    // Each edge begins as a sheet of its own.
    let mut sheet = [0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11];
    let mut crossed = 0_u16;
    let mut doubtful = 0;
    let mut face = 0;
    while face < 6 {
        let corners = ring(face / 2, face % 2);
        let mut edges = [0; 4];
        let mut count = 0;
        let mut i = 0;
        while i < 4 {
            let (a, b) = (corners[i], corners[(i + 1) % 4]);
            if ((mask >> a) ^ (mask >> b)) & 1 == 1 {
                edges[count] = edge_between(a, b);
                crossed |= 1 << edges[count];
                count += 1;
            }
            i += 1;
        }
        if count == 2 {
            sheet = join(sheet, edges[0], edges[1]);
        } else if count == 4 {
            doubtful |= 1 << face;
            let mut i = 0;
            while i < 4 {
                if (mask >> corners[i]) & 1 == (apart as usize >> face) & 1 {
                    let before = edge_between(corners[(i + 3) % 4], corners[i]);
                    sheet = join(sheet, before, edge_between(corners[i], corners[(i + 1) % 4]));
                }
                i += 1;
            }
        }
        face += 1;
    }
    numbered(sheet, crossed, doubtful)
}

const fn join(mut sheet: [u8; 12], a: usize, b: usize) -> [u8; 12] {
    let (keep, drop) = (sheet[a], sheet[b]);
    let mut i = 0;
    while i < 12 {
        if sheet[i] == drop {
            sheet[i] = keep;
        }
        i += 1;
    }
    sheet
}

const fn numbered(sheet: [u8; 12], crossed: u16, doubtful: u8) -> Sheets {
    let mut out = Sheets { count: 0, of_edge: [NONE; 12], edges: [0; 4], doubtful };
    let mut i = 0;
    while i < 12 {
        if (crossed >> i) & 1 == 1 {
            let mut number = out.count;
            let mut j = 0;
            while j < i {
                if (crossed >> j) & 1 == 1 && sheet[j] == sheet[i] {
                    number = out.of_edge[j];
                }
                j += 1;
            }
            if number == out.count {
                out.count += 1;
            }
            out.of_edge[i] = number;
            out.edges[number as usize] |= 1 << i;
        }
        i += 1;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn known_patterns() {
        assert_eq!(SHEETS[0].count + SHEETS[255].count, 0);
        assert_eq!((SHEETS[1].count, SHEETS[1].edges[0].count_ones()), (1, 3));
        assert_eq!((SHEETS[0x0f].count, SHEETS[0x0f].edges[0].count_ones()), (1, 4), "a level floor");
        assert_eq!(SHEETS[0b1000_0001].count, 2, "two opposite corners");
        assert_eq!(SHEETS[0b0110_1001].count, 4, "every other corner inside: one sheet round each outer one");
        assert_eq!(SHEETS[0b0000_1001].count, 1, "material holds together across a face");
        assert_eq!(SHEETS[0b1111_0110].count, 2, "outside does not");
        assert_eq!((sheets(0b0000_1001, 1 << 4).count, sheets(0b1111_0110, 1 << 4).count), (2, 1));
    }

    #[test]
    fn every_sheet_is_one_ring_of_edges() {
        let every = (0..256).flat_map(|mask| (0..64).map(move |apart| sheets(mask, apart)));
        for s in every {
            for e in s.edges.iter().take(s.count as usize) {
                assert!(e.count_ones() >= 3, "{s:?}");
            }
            let all = s.edges.iter().fold(0, |a, b| a ^ b);
            let named = (0..12).filter(|e| s.of_edge[*e] != NONE).fold(0, |a, e| a | 1 << e);
            assert_eq!(all, named);
        }
    }
}
