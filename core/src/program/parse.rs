use super::block::{Block, Comment, Piece, Program, Setting, Statement, Value, Word};
use super::cursor::Cursor;
use super::expression::operand;
use super::fault::{Fault, FaultKind};
use super::number::number;
use crate::source::{SourceText, Span};

/// Reads a program. Takes memory in proportion to the text and time linear in it; cannot fail.
pub fn parse(source: &SourceText) -> Program {
    let program = Program {
        source: source.clone(),
        blocks: Vec::new(),
        comments: Vec::new(),
        end_mark: None,
        words: Vec::new(),
        settings: Vec::new(),
        faults: Vec::new(),
        steps: Vec::new(),
        statements: Vec::new(),
    };
    let mut reader = Reader { program, text: source.text().as_bytes(), opened: false };
    reader.read();
    reader.program
}

struct Reader<'a> {
    program: Program,
    text: &'a [u8],
    /// The program began with a `%`.
    opened: bool,
}

/// What a line turned out to be.
enum Line {
    Blocks,
    EndMark,
}

impl Reader<'_> {
    fn read(&mut self) {
        if u32::try_from(self.text.len()).is_err() {
            let block = self.begin(1, Span::new(0, 0));
            self.fault(FaultKind::TextTooLong, Span::new(0, 0));
            self.finish(block);
            return;
        }
        let (mut start, mut line) = (0, 1_u32);
        for piece in self.text.split(|b| *b == b'\n') {
            let end = start + piece.len();
            if let Line::EndMark = self.line(line, start, end) {
                self.program.end_mark = Some(line);
                return;
            }
            start = end + 1;
            line = line.saturating_add(1);
        }
    }

    fn line(&mut self, line: u32, start: usize, end: usize) -> Line {
        let mut cursor = Cursor::new(self.text, start, end);
        let Some(first) = cursor.peek() else { return Line::Blocks };
        let body = Span::new(cursor.at, self.last_ink(cursor.at, end));
        if first == b'%' {
            return self.percent(line, body);
        }
        let mut block = self.begin(line, body);
        if first == b'/' {
            cursor.advance();
            block.delete = Some(match cursor.peek() {
                Some(digit @ b'1'..=b'9') => {
                    cursor.advance();
                    digit - b'0'
                }
                _ => 1,
            });
        }
        while let Some(byte) = cursor.peek() {
            let from = cursor.at;
            if let Err(kind) = self.item(byte, &mut cursor, &mut block) {
                // The words that follow could belong to anything: the rest of the line is left unread, and said so.
                let to = if kind == FaultKind::UnexpectedCharacter { cursor.at } else { body.end };
                self.fault(kind, Span::new(from, to.max(from)));
                break;
            }
        }
        self.finish(block);
        Line::Blocks
    }

    /// One past the last byte of a line that is not a blank.
    fn last_ink(&self, start: usize, end: usize) -> usize {
        let body = self.text.get(start..end).unwrap_or(&[]);
        let blanks = body.iter().rev().take_while(|b| matches!(b, b' ' | b'\t' | b'\r')).count();
        end - blanks
    }

    fn percent(&mut self, line: u32, body: Span) -> Line {
        if self.program.blocks.is_empty() && !self.opened {
            self.opened = true;
            return Line::Blocks;
        }
        let rest = self.text.get(body.end..).unwrap_or(&[]);
        if !self.opened && rest.iter().any(|b| !b.is_ascii_whitespace()) {
            let block = self.begin(line, body);
            self.fault(FaultKind::StrayPercent, body);
            self.finish(block);
        }
        Line::EndMark
    }

    fn item(&mut self, byte: u8, cursor: &mut Cursor, block: &mut Block) -> Result<(), FaultKind> {
        match byte {
            b'(' => self.comment(cursor, block.line),
            b';' => {
                cursor.advance();
                self.program
                    .comments
                    .push(Comment { line: block.line, span: Span::new(cursor.at, cursor.end) });
                cursor.at = cursor.end;
                Ok(())
            }
            b'#' => self.setting(cursor),
            b'I' | b'i' | b'G' | b'g' | b'W' | b'w' | b'D' | b'd' | b'E' | b'e'
                if block.statement == u32::MAX && self.statement(cursor, block)? =>
            {
                Ok(())
            }
            b'N' | b'n' if block.number.is_none() => {
                cursor.advance();
                block.number = Some(line_number(cursor)?);
                Ok(())
            }
            b'A'..=b'Z' | b'a'..=b'z' | b':' => self.word(byte, cursor),
            _ => {
                while cursor.byte().is_some_and(|b| !b.is_ascii()) {
                    cursor.skip_character();
                }
                if cursor.byte() == Some(byte) {
                    cursor.advance();
                }
                Err(FaultKind::UnexpectedCharacter)
            }
        }
    }

    fn comment(&mut self, cursor: &mut Cursor, line: u32) -> Result<(), FaultKind> {
        cursor.advance();
        let start = cursor.at;
        loop {
            match cursor.byte() {
                None => return Err(FaultKind::UnclosedComment),
                Some(b'(') => return Err(FaultKind::CommentInComment),
                Some(b')') => break,
                Some(_) => cursor.at += 1,
            }
        }
        self.program.comments.push(Comment { line, span: Span::new(start, cursor.at) });
        cursor.advance();
        Ok(())
    }

    fn setting(&mut self, cursor: &mut Cursor) -> Result<(), FaultKind> {
        let from = cursor.at;
        cursor.advance();
        let (index, _) = self.value(cursor)?;
        if !cursor.take(b'=') {
            return Err(FaultKind::BadSetting);
        }
        let (value, _) = self.value(cursor)?;
        self.program.settings.push(Setting { index, value, span: Span::new(from, cursor.at) });
        Ok(())
    }

    /// Reads `IF`, `GOTO`, `WHILE`, `DO` or `END`; false, and nothing taken, where none stands here.
    fn statement(&mut self, cursor: &mut Cursor, block: &mut Block) -> Result<bool, FaultKind> {
        let from = cursor.at;
        let statement = if starts(cursor, b"IF[") {
            let (condition, _) = self.value(cursor)?;
            if cursor.take_name(b"THEN") {
                Statement::IfThen(condition)
            } else if cursor.take_name(b"GOTO") {
                Statement::IfGoto(condition, self.value(cursor)?.0)
            } else {
                return Err(FaultKind::BadStatement);
            }
        } else if cursor.take_name(b"GOTO") {
            Statement::Goto(self.value(cursor)?.0)
        } else if starts(cursor, b"WHILE[") {
            let (condition, _) = self.value(cursor)?;
            if !cursor.take_name(b"DO") {
                return Err(FaultKind::BadStatement);
            }
            Statement::While(Some(condition), loop_number(cursor)?)
        } else if cursor.take_name(b"DO") {
            Statement::While(None, loop_number(cursor)?)
        } else if cursor.take_name(b"END") {
            Statement::End(loop_number(cursor)?)
        } else {
            return Ok(false);
        };
        block.statement = count(&self.program.statements);
        self.program.statements.push((statement, Span::new(from, cursor.at)));
        Ok(true)
    }

    fn word(&mut self, byte: u8, cursor: &mut Cursor) -> Result<(), FaultKind> {
        let from = cursor.at;
        cursor.advance();
        let (value, point) = self.value(cursor)?;
        let letter = if byte == b':' { b'O' } else { byte.to_ascii_uppercase() };
        let (Ok(from), Ok(to)) = (u32::try_from(from), u32::try_from(cursor.at)) else {
            return Err(FaultKind::TextTooLong);
        };
        self.program.words.push(Word::new(letter, value, point, from, to));
        Ok(())
    }

    /// A number as it stands, or the steps of an expression.
    fn value(&mut self, cursor: &mut Cursor) -> Result<(Value, bool), FaultKind> {
        let before = *cursor;
        let sign = matches!(cursor.peek(), Some(b'+' | b'-'));
        if sign {
            cursor.advance();
        }
        match cursor.peek() {
            Some(b'0'..=b'9' | b'.') => {
                *cursor = before;
                let read = number(cursor)?;
                Ok((Value::Number(read.value), read.point))
            }
            Some(b'#' | b'[' | b'A'..=b'Z' | b'a'..=b'z') => {
                *cursor = before;
                let start = count(&self.program.steps);
                match operand(cursor, &mut self.program.steps, 0) {
                    Ok(()) => Ok((Value::Expression { start, end: count(&self.program.steps) }, true)),
                    Err(FaultKind::BadExpression)
                        if self.text.get(before.at).is_some_and(u8::is_ascii_alphabetic) =>
                    {
                        Err(FaultKind::MissingNumber)
                    }
                    Err(kind) => Err(kind),
                }
            }
            _ => Err(FaultKind::MissingNumber),
        }
    }

    fn begin(&self, line: u32, span: Span) -> Block {
        let piece = |n: u32| Piece { start: n, end: n };
        Block {
            line,
            span,
            number: None,
            delete: None,
            words: piece(count(&self.program.words)),
            settings: piece(count(&self.program.settings)),
            faults: piece(count(&self.program.faults)),
            statement: u32::MAX,
        }
    }

    fn fault(&mut self, kind: FaultKind, span: Span) {
        self.program.faults.push(Fault { kind, span });
    }

    /// Closes a block; a line with nothing but comments is none.
    fn finish(&mut self, mut block: Block) {
        block.words.end = count(&self.program.words);
        block.settings.end = count(&self.program.settings);
        block.faults.end = count(&self.program.faults);
        let nothing = block.words.start == block.words.end
            && block.settings.start == block.settings.end
            && block.faults.start == block.faults.end
            && block.statement == u32::MAX
            && block.number.is_none()
            && block.delete.is_none();
        if !nothing {
            self.program.blocks.push(block);
        }
    }
}

/// Length of a list; every item takes at least one byte of a text that is shorter than 4 GiB.
fn count<T>(list: &[T]) -> u32 {
    u32::try_from(list.len()).unwrap_or(u32::MAX)
}

fn line_number(cursor: &mut Cursor) -> Result<u32, FaultKind> {
    let read = number(cursor).map_err(|_| FaultKind::BadLineNumber)?;
    let fits = !read.point && (0.0..=99_999_999.0).contains(&read.value);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "whole and within 0 to 99,999,999"
    )]
    fits.then_some(read.value as u32).ok_or(FaultKind::BadLineNumber)
}

/// Takes a name whose last letter is an opening bracket, and leaves the bracket.
fn starts(cursor: &mut Cursor, name: &[u8]) -> bool {
    let mut ahead = *cursor;
    let found = ahead.take_name(name);
    if found {
        let letters = name.get(..name.len() - 1).unwrap_or(name);
        return cursor.take_name(letters);
    }
    false
}

/// Number of a loop, 1 to 9.
fn loop_number(cursor: &mut Cursor) -> Result<u8, FaultKind> {
    match cursor.peek() {
        Some(digit @ b'1'..=b'9') => {
            cursor.advance();
            Ok(digit - b'0')
        }
        _ => Err(FaultKind::BadStatement),
    }
}
