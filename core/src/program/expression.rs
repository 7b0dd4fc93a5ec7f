//! Expressions of NISTIR 6556, 3.3.2.3 and 3.3.2.4, kept as steps in the order in which they are done (operands first),
//! so that reading and working them out need no tree and little stack.

#![expect(
    clippy::wildcard_enum_match_arm,
    reason = "the logical operators are told apart from all others in two places"
)]

use super::cursor::Cursor;
use super::fault::FaultKind;
use super::number::number;
use smallvec::SmallVec;

/// Nesting that is read; controls stop far below.
const DEEPEST: usize = 40;

/// Highest parameter number that is known (the report ends at 5399; controls have some beyond).
const HIGHEST_PARAMETER: f64 = 9999.0;

/// How far a parameter number may be from a whole number (NISTIR 6556, 3.3.2.1).
const NEAR_INTEGER: f64 = 1e-4;

/// One step of an expression.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Step {
    /// A number.
    Number(f64),
    /// Replaces a number by the parameter of that number.
    Parameter,
    /// Changes the sign.
    Negate,
    /// A function of one number.
    Function(Function),
    /// Joins two numbers.
    Operator(Operator),
    /// The bracket just worked out mixes AND, OR or XOR with other operators: controls differ on which binds tighter.
    Doubtful,
}

/// How expressions are worked out where the report and shop controls differ.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reading {
    /// NISTIR 6556: FIX goes down and FUP up, ATAN gives -180 to 180 degrees, AND OR XOR ask for zero or not zero.
    Report,
    /// Shop controls: FIX goes towards zero and FUP away from it, ATAN gives 0 to 360 degrees, AND OR XOR join bits.
    Shop,
}

/// What is known of a parameter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Parameter {
    /// It holds a number.
    Number(f64),
    /// It is known to hold nothing: a word with it counts as not written, arithmetic takes it as 0.
    Empty,
    /// Not known.
    Unknown,
}

/// Functions of one number; angles in degrees.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(missing_docs, reason = "the names are those of the language")]
pub enum Function {
    Abs,
    Acos,
    Asin,
    Cos,
    Exp,
    /// Down to a whole number.
    Fix,
    /// Up to a whole number.
    Fup,
    Ln,
    /// To the nearest whole number, halves away from zero (the report leaves halves open).
    Round,
    Sin,
    Sqrt,
    Tan,
}

/// Operators between two numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(missing_docs, reason = "the names are those of the language")]
pub enum Operator {
    Power,
    Times,
    Divide,
    /// Remainder, never negative (the report leaves its sign open).
    Mod,
    Plus,
    Minus,
    Or,
    Xor,
    And,
    /// `ATAN[a]/[b]` in degrees, over all four quadrants.
    Atan,
    /// 1 when equal, else 0. Comparisons are not in the report.
    Equal,
    NotEqual,
    Greater,
    GreaterOrEqual,
    Less,
    LessOrEqual,
}

/// Why an expression has no value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum EvaluationFault {
    /// The parameter's number is not known.
    ParameterNotSet(u32),
    /// A parameter number that is not whole or out of range.
    BadParameter(f64),
    /// Division by zero, root or logarithm of a negative number, or a number out of range.
    NoResult,
    /// The report and shop controls come to different numbers.
    TwoWays,
}

const FUNCTIONS: [(&[u8], Function); 12] = [
    (b"ABS", Function::Abs),
    (b"ACOS", Function::Acos),
    (b"ASIN", Function::Asin),
    (b"COS", Function::Cos),
    (b"EXP", Function::Exp),
    (b"FIX", Function::Fix),
    (b"FUP", Function::Fup),
    (b"LN", Function::Ln),
    (b"ROUND", Function::Round),
    (b"SIN", Function::Sin),
    (b"SQRT", Function::Sqrt),
    (b"TAN", Function::Tan),
];

/// Reads one value (number, parameter, bracket or function, with signs) and adds its steps.
pub(super) fn operand(cursor: &mut Cursor, steps: &mut Vec<Step>, depth: usize) -> Result<(), FaultKind> {
    if depth > DEEPEST {
        return Err(FaultKind::TooDeep);
    }
    let before = *cursor;
    match cursor.peek() {
        Some(b'0'..=b'9' | b'.') => steps.push(Step::Number(number(cursor)?.value)),
        Some(sign @ (b'+' | b'-')) => {
            cursor.advance();
            if cursor.peek().is_some_and(|b| b.is_ascii_digit() || b == b'.') {
                *cursor = before;
                steps.push(Step::Number(number(cursor)?.value));
            } else {
                operand(cursor, steps, depth + 1)?;
                if sign == b'-' {
                    steps.push(Step::Negate);
                }
            }
        }
        Some(b'#') => {
            cursor.advance();
            operand(cursor, steps, depth + 1)?;
            steps.push(Step::Parameter);
        }
        Some(b'[') => bracket(cursor, steps, depth)?,
        Some(byte) if byte.is_ascii_alphabetic() => function(cursor, steps, depth)?,
        _ => return Err(FaultKind::BadExpression),
    }
    Ok(())
}

fn function(cursor: &mut Cursor, steps: &mut Vec<Step>, depth: usize) -> Result<(), FaultKind> {
    if cursor.take_name(b"ATAN") {
        bracket(cursor, steps, depth)?;
        if !cursor.take(b'/') {
            return Err(FaultKind::BadExpression);
        }
        bracket(cursor, steps, depth)?;
        steps.push(Step::Operator(Operator::Atan));
        return Ok(());
    }
    let found = FUNCTIONS.into_iter().find(|(name, _)| cursor.take_name(name));
    let (_, function) = found.ok_or(FaultKind::BadExpression)?;
    bracket(cursor, steps, depth)?;
    steps.push(Step::Function(function));
    Ok(())
}

fn bracket(cursor: &mut Cursor, steps: &mut Vec<Step>, depth: usize) -> Result<(), FaultKind> {
    if !cursor.take(b'[') {
        return Err(FaultKind::BadExpression);
    }
    let mut seen = Seen::default();
    chain(cursor, steps, depth + 1, 1, &mut seen)?;
    if seen.logic && seen.other {
        steps.push(Step::Doubtful);
    }
    if cursor.take(b']') { Ok(()) } else { Err(FaultKind::BadExpression) }
}

/// Which operators one bracket holds.
#[derive(Default)]
struct Seen {
    logic: bool,
    other: bool,
}

/// Operands joined by operators that bind at least as tightly as `least`; equal ones from left to right.
fn chain(
    cursor: &mut Cursor,
    steps: &mut Vec<Step>,
    depth: usize,
    least: u8,
    seen: &mut Seen,
) -> Result<(), FaultKind> {
    operand(cursor, steps, depth)?;
    loop {
        let mut ahead = *cursor;
        let Some((operator, binds)) = operator(&mut ahead) else { return Ok(()) };
        if binds < least {
            return Ok(());
        }
        *cursor = ahead;
        match operator {
            Operator::Or | Operator::Xor | Operator::And => seen.logic = true,
            _ => seen.other = true,
        }
        chain(cursor, steps, depth, binds + 1, seen)?;
        steps.push(Step::Operator(operator));
    }
}

fn operator(cursor: &mut Cursor) -> Option<(Operator, u8)> {
    const SIGNS: [(&[u8], Operator, u8); 15] = [
        (b"**", Operator::Power, 4),
        (b"*", Operator::Times, 3),
        (b"/", Operator::Divide, 3),
        (b"MOD", Operator::Mod, 3),
        (b"+", Operator::Plus, 2),
        (b"-", Operator::Minus, 2),
        (b"OR", Operator::Or, 2),
        (b"XOR", Operator::Xor, 2),
        (b"AND", Operator::And, 2),
        (b"EQ", Operator::Equal, 1),
        (b"NE", Operator::NotEqual, 1),
        (b"GT", Operator::Greater, 1),
        (b"GE", Operator::GreaterOrEqual, 1),
        (b"LT", Operator::Less, 1),
        (b"LE", Operator::LessOrEqual, 1),
    ];
    SIGNS.into_iter().find(|(name, ..)| cursor.take_name(name)).map(|(_, operator, binds)| (operator, binds))
}

/// The number that steps stand for; `None`: that of a parameter which is known to hold nothing.
pub(super) fn evaluate(
    steps: &[Step],
    reading: Reading,
    parameter: &dyn Fn(u32) -> Parameter,
) -> Result<Option<f64>, EvaluationFault> {
    let mut stack: Stack = SmallVec::new();
    for step in steps {
        let value = match step {
            Step::Number(number) => Some(*number),
            Step::Parameter => look_up(number_of(pop(&mut stack)?), parameter)?,
            Step::Negate => Some(-number_of(pop(&mut stack)?)),
            Step::Function(function) => Some(apply(*function, number_of(pop(&mut stack)?), reading)),
            Step::Operator(operator) => {
                let right = pop(&mut stack)?;
                Some(join(*operator, pop(&mut stack)?, right, reading)?)
            }
            Step::Doubtful if reading == Reading::Shop => return Err(EvaluationFault::TwoWays),
            Step::Doubtful => continue,
        };
        if value.is_some_and(|v| !v.is_finite()) {
            return Err(EvaluationFault::NoResult);
        }
        stack.push(value);
    }
    pop(&mut stack)
}

type Stack = SmallVec<[Option<f64>; 16]>;

fn pop(stack: &mut Stack) -> Result<Option<f64>, EvaluationFault> {
    stack.pop().ok_or(EvaluationFault::NoResult)
}

/// Nothing counts as 0 in arithmetic.
fn number_of(value: Option<f64>) -> f64 {
    value.unwrap_or(0.0)
}

/// A parameter number: whole within the report's tolerance, 1 to [`HIGHEST_PARAMETER`].
pub(crate) fn parameter_number(index: f64) -> Option<u32> {
    let whole = libm::round(index);
    let fits = (index - whole).abs() <= NEAR_INTEGER && 1.0 <= whole && whole <= HIGHEST_PARAMETER;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "whole and within 1 to 9999")]
    fits.then_some(whole as u32)
}

fn look_up(index: f64, parameter: &dyn Fn(u32) -> Parameter) -> Result<Option<f64>, EvaluationFault> {
    // On shop controls #0 always holds nothing.
    if index.abs() <= NEAR_INTEGER {
        return Ok(None);
    }
    let number = parameter_number(index).ok_or(EvaluationFault::BadParameter(index))?;
    match parameter(number) {
        Parameter::Number(value) => Ok(Some(value)),
        Parameter::Empty => Ok(None),
        Parameter::Unknown => Err(EvaluationFault::ParameterNotSet(number)),
    }
}

fn apply(function: Function, x: f64, reading: Reading) -> f64 {
    let shop = reading == Reading::Shop;
    match function {
        Function::Abs => x.abs(),
        Function::Acos => libm::acos(x).to_degrees(),
        Function::Asin => libm::asin(x).to_degrees(),
        Function::Cos => libm::cos(x.to_radians()),
        Function::Exp => libm::exp(x),
        Function::Fix if shop => x.trunc(),
        Function::Fix => x.floor(),
        Function::Fup if shop && x < 0.0 => x.floor(),
        Function::Fup => x.ceil(),
        Function::Ln => libm::log(x),
        Function::Round => libm::round(x),
        Function::Sin => libm::sin(x.to_radians()),
        Function::Sqrt => x.sqrt(),
        Function::Tan => libm::tan(x.to_radians()),
    }
}

fn join(
    operator: Operator,
    left: Option<f64>,
    right: Option<f64>,
    reading: Reading,
) -> Result<f64, EvaluationFault> {
    let truth = |t: bool| f64::from(u8::from(t));
    let (a, b) = (number_of(left), number_of(right));
    // Nothing equals nothing, and no number.
    let equal = left.is_some() == right.is_some() && (a - b).abs() <= 0.0;
    Ok(match operator {
        Operator::Power => libm::pow(a, b),
        Operator::Times => a * b,
        Operator::Divide => a / b,
        Operator::Mod => a.rem_euclid(b),
        Operator::Plus => a + b,
        Operator::Minus => a - b,
        Operator::Or | Operator::Xor | Operator::And => return logic(operator, a, b, reading),
        Operator::Atan => {
            let angle = libm::atan2(a, b).to_degrees();
            if reading == Reading::Shop && angle < 0.0 { angle + 360.0 } else { angle }
        }
        Operator::Equal => truth(equal),
        Operator::NotEqual => truth(!equal),
        Operator::Greater => truth(a > b),
        Operator::GreaterOrEqual => truth(a >= b),
        Operator::Less => truth(a < b),
        Operator::LessOrEqual => truth(a <= b),
    })
}

/// Largest number that shop controls join bit by bit.
const MOST_BITS: f64 = 1_048_575.0;

fn logic(operator: Operator, a: f64, b: f64, reading: Reading) -> Result<f64, EvaluationFault> {
    if reading == Reading::Report {
        let (is_a, is_b) = (a.abs() > 0.0, b.abs() > 0.0);
        let result = match operator {
            Operator::Or => is_a || is_b,
            Operator::Xor => is_a != is_b,
            _ => is_a && is_b,
        };
        return Ok(f64::from(u8::from(result)));
    }
    let bits = |v: f64| {
        let whole = libm::round(v);
        let fits = (v - whole).abs() <= NEAR_INTEGER && (0.0..=MOST_BITS).contains(&whole);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "whole and below 2^20")]
        fits.then_some(whole as u32).ok_or(EvaluationFault::NoResult)
    };
    let (a, b) = (bits(a)?, bits(b)?);
    Ok(f64::from(match operator {
        Operator::Or => a | b,
        Operator::Xor => a ^ b,
        _ => a & b,
    }))
}
