/// Reads one line byte by byte; never past its end, always on character borders when a byte is ASCII.
#[derive(Clone, Copy, Debug)]
pub(super) struct Cursor<'a> {
    text: &'a [u8],
    /// Byte offset in the file.
    pub(super) at: usize,
    /// One past the line's last byte.
    pub(super) end: usize,
}

impl<'a> Cursor<'a> {
    pub(super) fn new(text: &'a [u8], at: usize, end: usize) -> Self {
        Self { text, at, end: end.min(text.len()) }
    }

    /// The byte here, blanks not skipped.
    pub(super) fn byte(&self) -> Option<u8> {
        if self.at < self.end { self.text.get(self.at).copied() } else { None }
    }

    /// The next byte that is not a blank, without taking it.
    pub(super) fn peek(&mut self) -> Option<u8> {
        loop {
            match self.byte() {
                Some(b' ' | b'\t' | b'\r') => self.at += 1,
                other => return other,
            }
        }
    }

    /// Takes the byte here, which must have been seen.
    pub(super) fn advance(&mut self) {
        self.at = (self.at + 1).min(self.end);
    }

    /// Takes the next byte that is not a blank if it is `wanted`.
    pub(super) fn take(&mut self, wanted: u8) -> bool {
        let found = self.peek() == Some(wanted);
        if found {
            self.advance();
        }
        found
    }

    /// Takes a name of upper-case letters in either case, with blanks between them allowed; takes nothing if it does not
    /// stand here.
    pub(super) fn take_name(&mut self, name: &[u8]) -> bool {
        let mut ahead = *self;
        for wanted in name {
            if ahead.peek().map(|b| b.to_ascii_uppercase()) != Some(*wanted) {
                return false;
            }
            ahead.advance();
        }
        *self = ahead;
        true
    }

    /// Moves past the character here, whatever its length in bytes.
    pub(super) fn skip_character(&mut self) {
        self.advance();
        while self.byte().is_some_and(|b| (0x80..0xC0).contains(&b)) {
            self.at += 1;
        }
    }
}
