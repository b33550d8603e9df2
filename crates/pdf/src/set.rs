//! Words into lines: runs of letters of one look, broken where they fill the room.

use roxmltree::Node;

use crate::Error;
use crate::face::Faces;
use crate::ink::{BLACK, Colour, GREY, Ink, Pen};

/// How letters look.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Look {
    pub(crate) size: f32,
    pub(crate) bold: bool,
    pub(crate) colour: Colour,
}

impl Look {
    pub(crate) const fn plain(size: f32) -> Self {
        Self { size, bold: false, colour: BLACK }
    }
    pub(crate) const fn bold(self) -> Self {
        Self { bold: true, ..self }
    }
    pub(crate) const fn coloured(self, colour: Colour) -> Self {
        Self { colour, ..self }
    }
    pub(crate) fn times(self, by: f32) -> Self {
        Self { size: self.size * by, ..self }
    }

    /// From one baseline to the next.
    pub(crate) fn lead(self) -> f32 {
        1.28 * self.size
    }
}

/// Letters of one look in a row.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Run {
    pub(crate) text: String,
    pub(crate) look: Look,
    /// Whether a frame stands around it.
    pub(crate) boxed: bool,
}

/// A word, or a framed run.
struct Word {
    text: String,
    look: Look,
    boxed: bool,
    width: f32,
    /// The space before it, where it is not the first of its line.
    space: f32,
}

/// Lines of words: what is drawn, from the top left corner, and how high they are together.
#[derive(Clone, Debug, Default)]
pub(crate) struct Lines {
    pub(crate) inks: Vec<Ink>,
    width: f32,
    pub(crate) height: f32,
}

pub(crate) fn is_of(node: Node<'_, '_>, class: &str) -> bool {
    node.attribute("class").is_some_and(|all| all.split_whitespace().any(|it| it == class))
}

/// The runs within a node, in paragraphs: small print stands below what it belongs to.
pub(crate) fn runs(node: Node<'_, '_>, look: Look) -> Result<Vec<Vec<Run>>, Error> {
    let mut all: Vec<Vec<Run>> = vec![Vec::new()];
    for child in node.children() {
        if let Some(text) = child.text().filter(|_| child.is_text()) {
            let run = Run { text: text.to_owned(), look, boxed: false };
            all.last_mut().into_iter().for_each(|last| last.push(run.clone()));
            continue;
        }
        match child.tag_name().name() {
            "small" => all.extend(runs(child, look.times(0.82).coloured(GREY))?),
            "br" => all.push(Vec::new()),
            "strong" | "b" => join(&mut all, runs(child, look.bold())?),
            "span" if is_of(child, "stands") => {
                let text = child.text().unwrap_or_default().trim().to_owned();
                if !text.is_empty() {
                    join(&mut all, vec![vec![Run { text, look: look.times(0.85), boxed: true }]]);
                }
            }
            "span" => join(&mut all, runs(child, look)?),
            other => return Err(Error::Unknown(other.to_owned())),
        }
    }
    all.retain(|runs| runs.iter().any(|run| !run.text.trim().is_empty()));
    Ok(all)
}

/// Goes on with the last paragraph.
fn join(all: &mut Vec<Vec<Run>>, more: Vec<Vec<Run>>) {
    for (index, runs) in more.into_iter().enumerate() {
        match all.last_mut().filter(|_| index == 0) {
            Some(last) => last.extend(runs),
            None => all.push(runs),
        }
    }
}

/// The room within a frame around a word, in parts of its size.
const PADDING: f32 = 0.4;

fn words(faces: &Faces, runs: &[Run]) -> Vec<Word> {
    let mut words = Vec::new();
    let mut spaced = false;
    for run in runs {
        let Look { size, bold, .. } = run.look;
        let space = faces.width(" ", size, bold);
        let mut put = |text: &str, spaced: bool| {
            let padding = if run.boxed { 2.0 * PADDING * size } else { 0.0 };
            let width = faces.width(text, size, bold) + padding;
            let space = if spaced { space } else { 0.0 };
            words.push(Word { text: text.to_owned(), look: run.look, boxed: run.boxed, width, space });
        };
        if run.boxed {
            put(&run.text, true);
            spaced = true;
            continue;
        }
        spaced |= run.text.starts_with(char::is_whitespace);
        for word in run.text.split_whitespace() {
            put(word, spaced);
            spaced = true;
        }
        spaced = run.text.ends_with(char::is_whitespace);
    }
    words
}

/// How wide runs are on one line, and how wide their widest word is.
pub(crate) fn widths(faces: &Faces, paragraphs: &[Vec<Run>]) -> (f32, f32) {
    let mut most = (0.0_f32, 0.0_f32);
    for paragraph in paragraphs {
        let words = words(faces, paragraph);
        let whole = words.iter().map(|word| word.width + word.space).sum();
        most = (most.0.max(whole), words.iter().fold(most.1, |most, word| most.max(word.width)));
    }
    most
}

/// A word that is wider than the room, in pieces that are not.
fn broken(faces: &Faces, word: Word, room: f32) -> Vec<Word> {
    if word.width <= room || word.boxed {
        return vec![word];
    }
    let mut pieces: Vec<Word> = Vec::new();
    for letter in word.text.chars() {
        let width = faces.width(letter.encode_utf8(&mut [0; 4]), word.look.size, word.look.bold);
        match pieces.last_mut() {
            Some(piece) if piece.width + width <= room => {
                piece.text.push(letter);
                piece.width += width;
            }
            _ => {
                let space = if pieces.is_empty() { word.space } else { 0.0 };
                pieces.push(Word { text: letter.into(), look: word.look, boxed: false, width, space });
            }
        }
    }
    pieces
}

/// A paragraph in lines no wider than the room.
pub(crate) fn lines(faces: &Faces, runs: &[Run], room: f32) -> Vec<Lines> {
    let mut rows: Vec<(Vec<Word>, f32)> = Vec::new();
    for word in words(faces, runs).into_iter().flat_map(|word| broken(faces, word, room)) {
        let whole = word.space + word.width;
        match rows.last_mut() {
            // What was broken within a word goes on at once; the rounding of widths must not break it anew.
            Some((row, filled)) if *filled + whole <= room + 0.01 => {
                row.push(word);
                *filled += whole;
            }
            _ => rows.push((vec![word], 0.0)),
        }
        if let Some((row, filled)) = rows.last_mut().filter(|(row, _)| row.len() == 1) {
            *filled = row[0].width;
        }
    }
    rows.into_iter().map(|(row, _)| line(&row)).collect()
}

fn line(row: &[Word]) -> Lines {
    let height = row.iter().fold(0.0_f32, |most, word| most.max(word.look.lead()));
    let size = row.iter().fold(0.0_f32, |most, word| most.max(word.look.size));
    // DejaVu's letters reach 0.93 of the size above the baseline and 0.24 below.
    let baseline = (height - 1.17 * size) / 2.0 + 0.93 * size;
    let (mut inks, mut x) = (Vec::new(), 0.0);
    for (index, word) in row.iter().enumerate() {
        let Look { size, bold, colour } = word.look;
        x += if index == 0 { 0.0 } else { word.space };
        let inset = if word.boxed { PADDING * size } else { 0.0 };
        if word.boxed {
            let (top, high) = (baseline - 0.98 * size, 1.28 * size);
            inks.push(Ink::frame((x, top), (word.width, high), Pen::plain(colour, 0.6)));
        }
        // Words of one look are one text, so that a reader finds them together.
        let goes_on = index > 0 && !word.boxed && !row[index - 1].boxed && row[index - 1].look == word.look;
        match inks.last_mut() {
            Some(Ink::Text { text, .. }) if goes_on => {
                text.push_str(if word.space > 0.0 { " " } else { "" });
                text.push_str(&word.text);
            }
            _ => inks.push(Ink::Text {
                at: (x + inset, baseline),
                text: word.text.clone(),
                size,
                bold,
                colour,
            }),
        }
        x += word.width;
    }
    Lines { inks, width: x, height }
}

/// Where lines stand in their room.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Side {
    Left,
    Middle,
    Right,
}

/// Paragraphs below one another.
pub(crate) fn paragraphs(faces: &Faces, paragraphs: &[Vec<Run>], room: f32) -> Lines {
    aligned(faces, paragraphs, room, Side::Left)
}

/// The same at any side of the room.
pub(crate) fn aligned(faces: &Faces, paragraphs: &[Vec<Run>], room: f32, side: Side) -> Lines {
    let mut whole = Lines::default();
    for next in paragraphs.iter().flat_map(|runs| lines(faces, runs, room)) {
        let x = match side {
            Side::Left => 0.0,
            Side::Middle => (room - next.width) / 2.0,
            Side::Right => room - next.width,
        };
        whole.inks.extend(next.inks.iter().map(|ink| ink.moved(x, whole.height)));
        whole.width = whole.width.max(next.width);
        whole.height += next.height;
    }
    whole
}
