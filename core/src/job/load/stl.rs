//! STL files, text and binary, into triangles.

/// Bytes before the triangles of a binary file: a header and the count.
const HEAD: usize = 84;
/// Bytes of a triangle in a binary file: a normal, three corners, two bytes of no meaning.
const TRIANGLE: usize = 50;
/// No coordinate is greater.
const MOST: f64 = 1.0e5;

/// The corners of a triangle as they are written, in the file's own unit.
pub(super) type Corners = [[f64; 3]; 3];

/// Reads the triangles of a file. Normals are of no interest: the order of the corners says which side is outside.
///
/// # Errors
/// What is wrong, in words, with the line where the file is text.
pub(super) fn triangles(bytes: &[u8]) -> Result<Vec<Corners>, String> {
    // Some binary files begin with the word that marks a text file, so the length decides first.
    let triangles = if is_binary(bytes) {
        bytes.get(HEAD..).unwrap_or(&[]).chunks_exact(TRIANGLE).filter_map(binary_triangle).collect()
    } else if bytes.trim_ascii_start().get(..5).is_some_and(|word| word.eq_ignore_ascii_case(b"solid")) {
        text_triangles(bytes)?
    } else {
        return Err("it is neither text nor binary of the right length".to_owned());
    };
    let sound = triangles.iter().flatten().flatten().all(|c| c.abs() <= MOST);
    if sound { Ok(triangles) } else { Err("a coordinate is not a number, or is beyond 100000".to_owned()) }
}

fn is_binary(bytes: &[u8]) -> bool {
    let count = bytes.get(80..HEAD).and_then(|b| <[u8; 4]>::try_from(b).ok()).map(u32::from_le_bytes);
    let length = count.and_then(|n| usize::try_from(n).ok()).and_then(|n| n.checked_mul(TRIANGLE));
    length.and_then(|n| n.checked_add(HEAD)) == Some(bytes.len())
}

fn binary_triangle(bytes: &[u8]) -> Option<Corners> {
    let mut corners = [[0.0; 3]; 3];
    let numbers = bytes.get(12..48)?.chunks_exact(4);
    for (slot, number) in corners.iter_mut().flatten().zip(numbers) {
        *slot = as_meant(f32::from_le_bytes(number.try_into().ok()?));
    }
    Some(corners)
}

/// The decimal number that a single-precision number stands for: 0.9, where its exact value is 0.899999976. Both
/// lie within its rounding; the decimal is the one that was meant.
fn as_meant(v: f32) -> f64 {
    v.to_string().parse().unwrap_or_else(|_| f64::from(v))
}

/// The words of one triangle; `*` stands for a number of the normal, `#` for a coordinate.
const GRAMMAR: [&str; 21] = [
    "facet", "normal", "*", "*", "*", "outer", "loop", "vertex", "#", "#", "#", "vertex", "#", "#", "#",
    "vertex", "#", "#", "#", "endloop", "endfacet",
];

fn text_triangles(bytes: &[u8]) -> Result<Vec<Corners>, String> {
    let mut triangles = Vec::new();
    let mut coordinates = Vec::with_capacity(9);
    let mut expected = GRAMMAR.iter();
    for (index, line) in bytes.split(|b| *b == b'\n').enumerate() {
        let line = String::from_utf8_lossy(line);
        let is_frame =
            |word: &str| word.eq_ignore_ascii_case("solid") || word.eq_ignore_ascii_case("endsolid");
        if line.split_whitespace().next().is_some_and(is_frame) {
            // The rest of such a line is a name of any words.
            continue;
        }
        for word in line.split_whitespace() {
            let wanted = expected.next().copied().unwrap_or("facet");
            match (wanted, word.parse::<f64>()) {
                ("#", Ok(number)) => coordinates.push(number),
                ("*", _) => {}
                _ if word.eq_ignore_ascii_case(wanted) => {}
                _ => {
                    let wanted = if wanted == "#" { "a number" } else { wanted };
                    let word: String = word.chars().take(20).collect();
                    return Err(format!("line {} has {word:?} in place of {wanted}", index + 1));
                }
            }
            if expected.len() == 0 {
                triangles.extend(corners(&coordinates));
                coordinates.clear();
                expected = GRAMMAR.iter();
            }
        }
    }
    match (expected.len() == GRAMMAR.len(), triangles.is_empty()) {
        (false, _) => Err("it ends within a triangle".to_owned()),
        (true, true) => Err("it holds no triangle".to_owned()),
        (true, false) => Ok(triangles),
    }
}

fn corners(coordinates: &[f64]) -> Option<Corners> {
    match *coordinates {
        [a, b, c, d, e, f, g, h, i] => Some([[a, b, c], [d, e, f], [g, h, i]]),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "solid\n facet normal nan 0 1\n OUTER LOOP\nvertex 0 0 0.1\r\n vertex 1 0 0\nvertex 0 1e0 0\n\
                        endloop endfacet\nendsolid any words at all\n";

    #[test]
    fn text_is_read_to_the_last_decimal() {
        let read = triangles(TEXT.as_bytes()).unwrap();
        assert_eq!(format!("{read:?}"), "[[[0.0, 0.0, 0.1], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]]]");
    }

    #[test]
    fn binary_is_read_even_if_it_calls_itself_solid() {
        let mut bytes = b"solid of some kind".to_vec();
        bytes.resize(80, b' ');
        bytes.extend(1_u32.to_le_bytes());
        bytes.extend(
            [0.0_f32, 0.0, 1.0, 0.9, -0.1, 0.0, 1.0, 0.0, 0.0, 0.0, 1.0, 0.0]
                .iter()
                .flat_map(|v| v.to_le_bytes()),
        );
        bytes.extend([0, 0]);
        let read = triangles(&bytes).unwrap();
        assert_eq!(format!("{:?}", read[0][0]), "[0.9, -0.1, 0.0]");
        bytes.pop();
        assert!(triangles(&bytes).is_err());
    }

    #[test]
    fn what_is_wrong_is_said_with_its_line() {
        let error = |text: &str| triangles(text.as_bytes()).unwrap_err();
        assert_eq!(error(&TEXT.replace("0.1", "x")), "line 4 has \"x\" in place of a number");
        assert_eq!(error(&TEXT.replace("vertex 1", "1")), "line 5 has \"1\" in place of vertex");
        assert_eq!(error(&TEXT.replace("endloop endfacet", "")), "it ends within a triangle");
        assert!(error(&TEXT.replace("0.1", "inf")).contains("not a number"));
        assert!(error("").contains("neither"));
    }
}
