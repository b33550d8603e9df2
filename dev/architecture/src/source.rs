//! Which paths a Rust source names, comments and literals apart: enough of the grammar to catch `use std::{fs, io}`.

/// The source with comments and the insides of literals blanked out.
pub fn code_only(source: &str) -> String {
    let mut code = String::with_capacity(source.len());
    let mut rest = source;
    while let Some(first) = rest.chars().next() {
        let blanked = blank_length(rest);
        if blanked > 0 {
            code.push(' ');
            rest = rest.get(blanked..).unwrap_or_default();
        } else {
            // A whole word at once, so that the `r` of `bar"…"` is not taken for a raw string's.
            let word = rest.find(|c: char| !is_word(c)).unwrap_or(rest.len()).max(first.len_utf8());
            code.push_str(rest.get(..word).unwrap_or_default());
            rest = rest.get(word..).unwrap_or_default();
        }
    }
    code
}

fn is_word(c: char) -> bool {
    c.is_alphanumeric() || c == '_'
}

/// How long the comment or literal is that the text begins with; 0 where it begins with code.
fn blank_length(text: &str) -> usize {
    if text.starts_with("//") {
        return text.find('\n').unwrap_or(text.len());
    }
    if text.starts_with("/*") {
        return block_comment(text);
    }
    if text.starts_with('\'') {
        return char_literal(text);
    }
    let body = text.strip_prefix(['b', 'c']).unwrap_or(text);
    let prefix = text.len() - body.len();
    if let Some(after) = body.strip_prefix('r') {
        let hashes = after.len() - after.trim_start_matches('#').len();
        if after.trim_start_matches('#').starts_with('"') {
            let end = format!("\"{}", "#".repeat(hashes));
            let open = prefix + 1 + hashes + 1;
            let inside = text.get(open..).unwrap_or_default();
            return inside.find(&end).map_or(text.len(), |at| open + at + end.len());
        }
    }
    if body.starts_with('"') { prefix + quoted(body) } else { 0 }
}

fn block_comment(text: &str) -> usize {
    let (mut depth, mut at) = (0_u32, 0);
    while let Some(rest) = text.get(at..).filter(|rest| !rest.is_empty()) {
        if rest.starts_with("/*") {
            (depth, at) = (depth + 1, at + 2);
        } else if rest.starts_with("*/") {
            (depth, at) = (depth - 1, at + 2);
            if depth == 0 {
                return at;
            }
        } else {
            at += rest.chars().next().map_or(1, char::len_utf8);
        }
    }
    text.len()
}

/// A char literal's length; a lifetime is code.
fn char_literal(text: &str) -> usize {
    let mut chars = text.char_indices().skip(1);
    match (chars.next(), chars.next()) {
        (Some((_, '\\')), Some((at, escaped))) => {
            let from = at + escaped.len_utf8();
            text.get(from..).and_then(|rest| rest.find('\'')).map_or(text.len(), |end| from + end + 1)
        }
        (Some(_), Some((at, '\''))) => at + 1,
        _ => 0,
    }
}

fn quoted(text: &str) -> usize {
    let mut escaped = false;
    for (at, c) in text.char_indices().skip(1) {
        match c {
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            '"' => return at + 1,
            _ => {}
        }
    }
    text.len()
}

/// Every path that a source names, groups written out: `use std::{fs, io::Read};` gives `std::fs` and `std::io::Read`.
/// Macros keep their mark: `println!`.
pub fn paths_in(source: &str) -> Vec<String> {
    let code = code_only(source);
    let mut tokens = tokens(&code);
    tokens.reverse();
    let mut found = Vec::new();
    while let Some(token) = tokens.pop() {
        if token.starts_with(is_word) {
            path(token.to_owned(), &mut tokens, &mut found);
        }
    }
    found
}

fn tokens(code: &str) -> Vec<&str> {
    let mut tokens = Vec::new();
    let mut rest = code.trim_start();
    while let Some(first) = rest.chars().next() {
        let length = if rest.starts_with("::") {
            2
        } else {
            rest.find(|c: char| !is_word(c)).unwrap_or(rest.len()).max(first.len_utf8())
        };
        let (token, after) = rest.split_at(length);
        tokens.push(token);
        rest = after.trim_start();
    }
    tokens
}

/// Goes on with a path; `tokens` holds what follows, the next one last.
fn path(mut so_far: String, tokens: &mut Vec<&str>, found: &mut Vec<String>) {
    loop {
        match tokens.as_slice() {
            [.., next, "::"] if next.starts_with(is_word) => {
                so_far = format!("{so_far}::{next}");
                tokens.truncate(tokens.len() - 2);
            }
            [.., "{", "::"] => {
                tokens.truncate(tokens.len() - 2);
                return group(&so_far, tokens, found);
            }
            [.., "!"] => {
                tokens.pop();
                return found.push(so_far + "!");
            }
            _ => return found.push(so_far),
        }
    }
}

fn group(prefix: &str, tokens: &mut Vec<&str>, found: &mut Vec<String>) {
    while let Some(token) = tokens.pop() {
        match token {
            "}" => return,
            word if word.starts_with(is_word) => path(format!("{prefix}::{word}"), tokens, found),
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(source: &str, expected: &[&str]) {
        assert_eq!(paths_in(source), expected, "{source}");
    }

    #[test]
    fn comments_and_literals_are_no_code() {
        check("a // std::fs\nb", &["a", "b"]);
        check("a /* std::fs /* nested */ still */ b", &["a", "b"]);
        check("a(\"std::fs \\\" // \") ; b", &["a", "b"]);
        check("a(r#\"std::fs \" \"#); b(b\"x\"); bar", &["a", "b", "bar"]);
        check("a('\"'); b('\\''); c::<'static>", &["a", "b", "c", "static"]);
        check("match x { '/' => a, '*' => b }", &["match", "x", "a", "b"]);
    }

    #[test]
    fn groups_are_written_out() {
        check("use std::fs;", &["use", "std::fs"]);
        check(
            "use std::{fs, io::{Read, self}, time::Duration};",
            &["use", "std::fs", "std::io::Read", "std::io::self", "std::time::Duration"],
        );
        check("std :: env :: var(x)", &["std::env::var", "x"]);
        check("println!(\"x\"); x != y", &["println!", "x!", "y"]);
    }
}
