//! Expressions of NISTIR 6556, 3.3.2.3 and 3.3.2.4, kept as steps in the order in which they are done (operands first),
//! so that reading and working them out need no tree and little stack.

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
    chain(cursor, steps, depth + 1, 1)?;
    if cursor.take(b']') { Ok(()) } else { Err(FaultKind::BadExpression) }
}

/// Operands joined by operators that bind at least as tightly as `least`; equal ones from left to right.
fn chain(cursor: &mut Cursor, steps: &mut Vec<Step>, depth: usize, least: u8) -> Result<(), FaultKind> {
    operand(cursor, steps, depth)?;
    loop {
        let mut ahead = *cursor;
        let Some((operator, binds)) = operator(&mut ahead) else { return Ok(()) };
        if binds < least {
            return Ok(());
        }
        *cursor = ahead;
        chain(cursor, steps, depth, binds + 1)?;
        steps.push(Step::Operator(operator));
    }
}

fn operator(cursor: &mut Cursor) -> Option<(Operator, u8)> {
    const SIGNS: [(&[u8], Operator, u8); 9] = [
        (b"**", Operator::Power, 3),
        (b"*", Operator::Times, 2),
        (b"/", Operator::Divide, 2),
        (b"MOD", Operator::Mod, 2),
        (b"+", Operator::Plus, 1),
        (b"-", Operator::Minus, 1),
        (b"OR", Operator::Or, 1),
        (b"XOR", Operator::Xor, 1),
        (b"AND", Operator::And, 1),
    ];
    SIGNS.into_iter().find(|(name, ..)| cursor.take_name(name)).map(|(_, operator, binds)| (operator, binds))
}

/// The number that steps stand for.
pub(super) fn evaluate(
    steps: &[Step],
    parameter: &dyn Fn(u32) -> Option<f64>,
) -> Result<f64, EvaluationFault> {
    let mut stack: SmallVec<[f64; 16]> = SmallVec::new();
    for step in steps {
        let value = match step {
            Step::Number(number) => *number,
            Step::Parameter => look_up(pop(&mut stack)?, parameter)?,
            Step::Negate => -pop(&mut stack)?,
            Step::Function(function) => apply(*function, pop(&mut stack)?),
            Step::Operator(operator) => {
                let right = pop(&mut stack)?;
                join(*operator, pop(&mut stack)?, right)
            }
        };
        if !value.is_finite() {
            return Err(EvaluationFault::NoResult);
        }
        stack.push(value);
    }
    pop(&mut stack)
}

fn pop(stack: &mut SmallVec<[f64; 16]>) -> Result<f64, EvaluationFault> {
    stack.pop().ok_or(EvaluationFault::NoResult)
}

/// A parameter number: whole within the report's tolerance, 1 to [`HIGHEST_PARAMETER`].
pub(crate) fn parameter_number(index: f64) -> Option<u32> {
    let whole = libm::round(index);
    let fits = (index - whole).abs() <= NEAR_INTEGER && 1.0 <= whole && whole <= HIGHEST_PARAMETER;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "whole and within 1 to 9999")]
    fits.then_some(whole as u32)
}

fn look_up(index: f64, parameter: &dyn Fn(u32) -> Option<f64>) -> Result<f64, EvaluationFault> {
    let number = parameter_number(index).ok_or(EvaluationFault::BadParameter(index))?;
    parameter(number).ok_or(EvaluationFault::ParameterNotSet(number))
}

fn apply(function: Function, x: f64) -> f64 {
    match function {
        Function::Abs => x.abs(),
        Function::Acos => libm::acos(x).to_degrees(),
        Function::Asin => libm::asin(x).to_degrees(),
        Function::Cos => libm::cos(x.to_radians()),
        Function::Exp => libm::exp(x),
        Function::Fix => x.floor(),
        Function::Fup => x.ceil(),
        Function::Ln => libm::log(x),
        Function::Round => libm::round(x),
        Function::Sin => libm::sin(x.to_radians()),
        Function::Sqrt => x.sqrt(),
        Function::Tan => libm::tan(x.to_radians()),
    }
}

fn join(operator: Operator, a: f64, b: f64) -> f64 {
    let truth = |t: bool| f64::from(u8::from(t));
    let (is_a, is_b) = (a.abs() > 0.0, b.abs() > 0.0);
    match operator {
        Operator::Power => libm::pow(a, b),
        Operator::Times => a * b,
        Operator::Divide => a / b,
        Operator::Mod => a.rem_euclid(b),
        Operator::Plus => a + b,
        Operator::Minus => a - b,
        Operator::Or => truth(is_a || is_b),
        Operator::Xor => truth(is_a != is_b),
        Operator::And => truth(is_a && is_b),
        Operator::Atan => libm::atan2(a, b).to_degrees(),
    }
}
