//! Numbers as people type them: decimal point or comma, fractions, mixed numbers, signs.

use crate::ParseError;

/// The longest text that is looked at.
pub(crate) const LONGEST: usize = 80;

/// Splits a number off the front of a text; returns it with the rest.
pub(crate) fn split_number(text: &str) -> Result<(f64, &str), ParseError> {
    let trimmed = text.trim();
    if trimmed.is_empty() {
        return Err(ParseError::Empty);
    }
    if trimmed.chars().count() > LONGEST {
        return Err(ParseError::TooLong { starts: trimmed.chars().take(20).collect() });
    }
    let (negative, body) = match trimmed.chars().next() {
        Some('-' | '\u{2212}') => (true, skip_char(trimmed)),
        Some('+') => (false, skip_char(trimmed)),
        _ => (false, trimmed),
    };
    let body = body.trim_start();
    let (first, rest) = plain_number(body)?;
    let (value, rest) = with_fraction(first, body, rest)?;
    Ok((if negative { -value } else { value }, rest.trim_start()))
}

fn skip_char(text: &str) -> &str {
    text.char_indices().nth(1).map_or("", |(at, _)| text.get(at..).unwrap_or(""))
}

/// Digits with one decimal sign and an exponent.
fn plain_number(text: &str) -> Result<(f64, &str), ParseError> {
    let end = number_end(text);
    let digits = text.get(..end).unwrap_or("");
    let rest = text.get(end..).unwrap_or("");
    let not_a_number = || ParseError::NotANumber { found: text.chars().take(20).collect() };
    if !digits.contains(|c: char| c.is_ascii_digit()) {
        return Err(not_a_number());
    }
    let value: f64 = decimal(digits)?.parse().map_err(|_| not_a_number())?;
    if value.is_finite() { Ok((value, rest)) } else { Err(ParseError::NotFinite) }
}

fn number_end(text: &str) -> usize {
    let bytes = text.as_bytes();
    let digit = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
    let mut end = 0;
    while bytes.get(end).is_some_and(|b| b.is_ascii_digit() || *b == b'.' || *b == b',') {
        end += 1;
    }
    if end > 0 && matches!(bytes.get(end), Some(b'e' | b'E')) {
        let sign = usize::from(matches!(bytes.get(end + 1), Some(b'-' | b'+')));
        if digit(end + 1 + sign) {
            end += 1 + sign;
            while digit(end) {
                end += 1;
            }
        }
    }
    end
}

/// With a decimal point whatever was typed. One comma before exactly three digits could be either and is refused.
fn decimal(digits: &str) -> Result<String, ParseError> {
    let (points, commas) = (digits.matches('.').count(), digits.matches(',').count());
    let ambiguous = || ParseError::AmbiguousNumber {
        typed: digits.to_owned(),
        as_decimal: digits.replace(',', "."),
        as_thousands: digits.replace(',', ""),
    };
    match (points, commas) {
        (0 | 1, 0) => Ok(digits.to_owned()),
        (0, 1) => {
            let (whole, after) = digits.split_once(',').unwrap_or((digits, ""));
            let three = after.len() == 3 && after.bytes().all(|b| b.is_ascii_digit());
            if three && whole != "0" && !whole.is_empty() {
                Err(ambiguous())
            } else {
                Ok(digits.replace(',', "."))
            }
        }
        (0, _) if grouped(digits) => Ok(digits.replace(',', "")),
        (1, _) if digits.rfind(',') < digits.find('.') && grouped(digits.split('.').next().unwrap_or("")) => {
            Ok(digits.replace(',', ""))
        }
        _ => Err(ParseError::NotANumber { found: digits.to_owned() }),
    }
}

/// "1,234,567": groups of three after the first.
fn grouped(digits: &str) -> bool {
    let mut groups = digits.split(',');
    groups.next().is_some_and(|first| (1..=3).contains(&first.len())) && groups.all(|group| group.len() == 3)
}

/// "1/2", "1 1/8": a fraction after, or made of, the first number.
fn with_fraction<'a>(first: f64, body: &'a str, rest: &'a str) -> Result<(f64, &'a str), ParseError> {
    if let Some(after) = rest.trim_start().strip_prefix(['/', '\u{2044}']) {
        let (below, rest) = plain_number(after.trim_start())?;
        return divide(first, below, body).map(|value| (value, rest));
    }
    let spaced = rest.starts_with([' ', '-', '\u{a0}']);
    let next = rest.trim_start_matches([' ', '-', '\u{a0}']);
    if spaced
        && next.starts_with(|c: char| c.is_ascii_digit())
        && let Ok((above, tail)) = plain_number(next)
        && let Some(after) = tail.strip_prefix(['/', '\u{2044}'])
    {
        let (below, rest) = plain_number(after)?;
        return divide(above, below, body).map(|value| (first + value, rest));
    }
    Ok((first, rest))
}

fn divide(above: f64, below: f64, typed: &str) -> Result<f64, ParseError> {
    if below > 0.0 {
        Ok(above / below)
    } else {
        Err(ParseError::NotANumber { found: typed.chars().take(20).collect() })
    }
}
