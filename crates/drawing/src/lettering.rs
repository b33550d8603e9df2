//! How wide letters are, and where a label breaks.

/// The size of every label, in pixels at the base scale.
pub const LETTERS: f64 = 14.0;
/// From one line of a label to the next.
pub const LINE: f64 = 17.0;

/// Of the widest of the usual sans-serif faces, in parts of the size, so that labels fit in any of them.
fn letter(c: char) -> f64 {
    match c {
        'i' | 'j' | 'l' | '.' | ',' | ':' | ';' | '\'' | '|' | ' ' | 'I' => 0.34,
        'f' | 't' | 'r' | '(' | ')' | '/' | '-' | '[' | ']' => 0.42,
        's' | 'c' | 'z' | 'k' | 'x' | 'v' | 'y' | 'J' => 0.59,
        'm' | 'W' | '%' | 'M' | '@' => 1.0,
        'w' | '+' | '=' | '…' => 0.84,
        c if c.is_ascii_digit() || c.is_lowercase() => 0.64,
        c if c.is_ascii() => 0.77,
        // Letters of scripts whose signs fill a square.
        _ => 1.0,
    }
}

/// The width of a text at the size of labels.
pub fn width(text: &str) -> f64 {
    text.chars().map(letter).sum::<f64>() * LETTERS
}

/// Lines no wider than the room, broken at spaces, inside words where one is too long; at most so many lines, the rest as "…".
pub fn wrap(text: &str, room: f64, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace().flat_map(|word| pieces(word, room)) {
        match lines.last_mut() {
            Some(line) if width(line) + width(&word) + 0.34 * LETTERS <= room => {
                line.push(' ');
                line.push_str(&word);
            }
            _ => lines.push(word),
        }
    }
    if lines.len() > most {
        lines.truncate(most);
        if let Some(last) = lines.last_mut() {
            while width(last) + 0.84 * LETTERS > room && last.pop().is_some() {}
            last.push('…');
        }
    }
    lines
}

/// A word, in as many pieces as the room asks for.
fn pieces(word: &str, room: f64) -> Vec<String> {
    let mut pieces = vec![String::new()];
    for c in word.chars() {
        let full = pieces
            .last()
            .is_some_and(|piece| !piece.is_empty() && width(piece) + (letter(c) + 0.42) * LETTERS > room);
        let splits = full && width(word) > room;
        if splits {
            if let Some(piece) = pieces.last_mut() {
                piece.push('-');
            }
            pieces.push(String::new());
        }
        if let Some(piece) = pieces.last_mut() {
            piece.push(c);
        }
    }
    pieces
}

/// How wide the widest line is.
pub(crate) fn widest(lines: &[String]) -> f64 {
    lines.iter().map(|line| width(line)).fold(0.0, f64::max)
}
