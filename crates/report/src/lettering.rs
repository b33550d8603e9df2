//! How wide letters are, and where lines of text break.

/// Of the widest of the usual sans-serif faces (DejaVu Sans), in parts of the size, so that text fits in any of them.
fn letter(c: char) -> f64 {
    match c {
        'i' | 'j' | 'l' | '.' | ',' | ':' | ';' | '\'' | '|' | ' ' | 'I' => 0.34,
        'f' | 't' | 'r' | '(' | ')' | '/' | '-' | '[' | ']' => 0.42,
        's' | 'c' | 'z' | 'k' | 'x' | 'v' | 'y' | '°' | '³' | '²' | 'J' => 0.59,
        'm' | 'W' | '%' | 'M' | '@' => 1.0,
        'w' | '−' | '=' | '+' | '<' | '>' | '–' | '·' => 0.84,
        c if c.is_ascii_digit() || c.is_lowercase() => 0.64,
        _ => 0.77,
    }
}

/// The width of a text of a size.
pub(crate) fn width(text: &str, size: f64) -> f64 {
    text.chars().map(letter).sum::<f64>() * size
}

/// The same in bold letters.
pub(crate) fn bold_width(text: &str, size: f64) -> f64 {
    1.12 * width(text, size)
}

/// Lines no wider than the room, broken at spaces.
pub(crate) fn wrap(text: &str, size: f64, room: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if width(line, size) + width(word, size) + 0.34 * size <= room => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// A number with so many decimals and a real minus sign; no "−0".
pub(crate) fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|b| b == b'0' || b == b'.') => rest.to_owned(),
        Some(rest) => format!("\u{2212}{rest}"),
        None => text,
    }
}

/// A number with so many significant digits.
pub(crate) fn digits(value: f64, significant: usize) -> String {
    let size = if value.abs() > 0.0 { libm::floor(libm::log10(value.abs())) as i32 } else { 0 };
    let decimals = usize::try_from(i32::try_from(significant).unwrap_or(4) - 1 - size).unwrap_or(0);
    fixed(value, decimals)
}

/// A short number as it stands at a tick: no zeros after the decimal point.
pub(crate) fn short(value: f64) -> String {
    let text = fixed(value, 4);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}
