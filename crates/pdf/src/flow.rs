//! Elements of a page into pieces that follow one another down the sheets.

use std::rc::Rc;

use roxmltree::Node;

use crate::Error;
use crate::chart::chart;
use crate::face::Faces;
use crate::ink::{BLACK, Colour, GREEN, GREY, Ink, PALE, Pen, RED};
use crate::set::{Lines, Look, Run, Side, aligned, is_of, lines, paragraphs, runs, widths};

/// What stays together on one sheet.
#[derive(Clone, Debug, Default)]
pub(crate) struct Piece {
    /// What is drawn, from the top left corner.
    pub(crate) inks: Vec<Ink>,
    /// How high it is.
    pub(crate) height: f32,
    /// The room above it, except at the top of a sheet.
    pub(crate) above: f32,
    /// Whether it stays with what follows.
    pub(crate) keeps: bool,
    /// What stands above it again where a sheet begins with it: the head of its table.
    pub(crate) head: Option<Rc<Piece>>,
}

impl Piece {
    fn of(lines: Lines, above: f32) -> Self {
        Self { inks: lines.inks, height: lines.height, above, ..Self::default() }
    }

    fn moved(mut self, dx: f32, dy: f32) -> Self {
        self.inks = self.inks.iter().map(|ink| ink.moved(dx, dy)).collect();
        self
    }

    /// One below the other, as one.
    fn stacked(pieces: Vec<Self>) -> Self {
        let mut whole = Self { above: pieces.first().map_or(0.0, |first| first.above), ..Self::default() };
        for (index, piece) in pieces.into_iter().enumerate() {
            whole.height += if index == 0 { 0.0 } else { piece.above };
            whole.inks.extend(piece.inks.iter().map(|ink| ink.moved(0.0, whole.height)));
            whole.height += piece.height;
        }
        whole
    }

    /// Side by side, as one: each from so far to the right.
    fn beside(pieces: Vec<(f32, Self)>) -> Self {
        let mut whole = Self::default();
        for (x, piece) in pieces {
            whole.above = whole.above.max(piece.above);
            whole.height = whole.height.max(piece.height);
            whole.inks.extend(piece.moved(x, 0.0).inks);
        }
        whole
    }

    /// A line along its lower edge.
    fn ruled(mut self, width: f32, pen: Pen) -> Self {
        self.inks.push(Ink::straight((0.0, self.height), (width, self.height), pen));
        self
    }
}

/// A cell of a table.
struct Cell {
    words: Vec<Vec<Run>>,
    /// Over how many columns it goes.
    spans: usize,
    side: Side,
    /// Whether it stays on one line.
    whole: bool,
}

/// Sets a page in letters of a size.
pub(crate) struct Flow<'a> {
    pub(crate) faces: &'a Faces,
    /// The size of its plain letters, in points.
    pub(crate) size: f32,
    /// The height of a sheet's room, in points: nothing that stays together is higher.
    pub(crate) height: f32,
}

type Found = Result<Vec<Piece>, Error>;

fn elements<'a, 'input>(node: Node<'a, 'input>) -> impl Iterator<Item = Node<'a, 'input>> {
    node.children().filter(Node::is_element)
}

fn tagged<'a, 'input>(node: Node<'a, 'input>, name: &'static str) -> impl Iterator<Item = Node<'a, 'input>> {
    node.descendants().filter(move |it| it.has_tag_name(name))
}

impl Flow<'_> {
    const fn plain(&self) -> Look {
        Look::plain(self.size)
    }

    /// The pieces of a whole page.
    pub(crate) fn body(&self, body: Node<'_, '_>, room: f32) -> Found {
        self.each(body, room)
    }

    fn each(&self, node: Node<'_, '_>, room: f32) -> Found {
        let mut all = Vec::new();
        for child in elements(node) {
            all.extend(self.block(child, room)?);
        }
        Ok(all)
    }

    fn block(&self, node: Node<'_, '_>, room: f32) -> Found {
        let size = self.size;
        match node.tag_name().name() {
            "h1" => self.titled(node, room, self.plain().times(1.6).bold(), 0.2 * size),
            "h2" => {
                let mut title = self.titled(node, room, self.plain().times(1.08).bold(), 0.9 * size)?;
                if let Some(last) = title.last_mut() {
                    last.height += 0.12 * size;
                    *last = core::mem::take(last).ruled(room, Pen::plain(BLACK, 1.1));
                    last.height += 0.2 * size;
                }
                Ok(title)
            }
            "p" => self.paragraph(node, room),
            "dl" => self.facts(node, room),
            "table" => self.table(node, room),
            "ul" => self.list(node, room),
            "article" => self.entry(node, room),
            "svg" => Ok(vec![self.drawing(node, room)?]),
            "footer" if tagged(node, "span").next().is_some() => self.form(node, room),
            "footer" => {
                let small = Flow { size: 0.88 * size, ..*self };
                let mut notes = small.each(node, room)?;
                notes.first_mut().into_iter().for_each(|first| first.above = 1.4 * size);
                Ok(notes)
            }
            "section" if is_of(node, "notes") => Flow { size: 0.82 * size, ..*self }.each(node, room),
            "section" if is_of(node, "gauge") => {
                let mut all = self.each(node, room)?;
                let last = all.len().saturating_sub(1);
                all.iter_mut().take(last).for_each(|piece| piece.keeps = true);
                Ok(all)
            }
            "div" if is_of(node, "columns") => self.columns(node, room),
            "div" if is_of(node, "strips") => self.strips(node, room),
            "div" if is_of(node, "sign") => self.sign(node, room),
            "header" | "main" | "section" | "div" => self.each(node, room),
            other => Err(Error::Unknown(other.to_owned())),
        }
    }

    /// A heading; it stays with what follows.
    fn titled(&self, node: Node<'_, '_>, room: f32, look: Look, above: f32) -> Found {
        let lines = paragraphs(self.faces, &runs(node, look)?, room);
        Ok(vec![Piece { keeps: true, ..Piece::of(lines, above) }])
    }

    fn paragraph(&self, node: Node<'_, '_>, room: f32) -> Found {
        let above = 0.25 * self.size;
        if is_of(node, "warning") || is_of(node, "estimate") {
            return self.warning(node, room).map(|piece| vec![piece]);
        }
        if is_of(node, "verdict") {
            return self.verdict(node, room).map(|piece| vec![piece]);
        }
        if is_of(node, "boxes") {
            return Ok(vec![self.boxes(node, room)]);
        }
        if is_of(node, "boxed") {
            return Ok(vec![self.boxed(node, room)]);
        }
        let look = match node.attribute("class") {
            Some("heading") => self.plain().bold().coloured(GREY),
            Some("class") => self.plain().bold(),
            _ => self.plain(),
        };
        let mut all = Vec::new();
        for (index, line) in
            runs(node, look)?.iter().flat_map(|runs| lines(self.faces, runs, room)).enumerate()
        {
            all.push(Piece::of(line, if index == 0 { above } else { 0.0 }));
        }
        // The first two lines stay together.
        if all.len() > 1 {
            all[0].keeps = true;
        }
        Ok(all)
    }

    fn warning(&self, node: Node<'_, '_>, room: f32) -> Result<Piece, Error> {
        let inset = 0.9 * self.size;
        let words = runs(node, self.plain().bold().coloured(RED))?;
        let piece =
            Piece::of(paragraphs(self.faces, &words, room - inset), 0.3 * self.size).moved(inset, 0.0);
        let bar = Ink::straight((1.5, 0.0), (1.5, piece.height), Pen::plain(RED, 3.0));
        Ok(Piece { inks: [vec![bar], piece.inks].concat(), ..piece })
    }

    fn verdict(&self, node: Node<'_, '_>, room: f32) -> Result<Piece, Error> {
        let inset = 0.6 * self.size;
        let colour = mark_colour(node);
        let words = runs(node, self.plain().times(1.05).bold().coloured(colour))?;
        let lines = paragraphs(self.faces, &words, room - 2.0 * inset);
        let mut piece = Piece::of(lines, 0.5 * self.size).moved(inset, 0.6 * inset);
        piece.height += 1.2 * inset;
        piece.inks.push(Ink::frame((0.0, 0.0), (room, piece.height), Pen::plain(colour, 1.5)));
        Ok(piece)
    }

    /// Words in frames, one after the other.
    fn boxed(&self, node: Node<'_, '_>, room: f32) -> Piece {
        let look = self.plain().bold();
        let run =
            |word: Node<'_, '_>| Run { text: word.text().unwrap_or_default().into(), look, boxed: true };
        let runs: Vec<Run> = tagged(node, "span").map(run).collect();
        Piece::of(paragraphs(self.faces, &[runs], room), 0.4 * self.size)
    }

    fn facts(&self, node: Node<'_, '_>, room: f32) -> Found {
        let look = self.plain().coloured(GREY);
        let mut named = Vec::new();
        for name in tagged(node, "dt") {
            named.push(runs(name, look)?);
        }
        let widest = named.iter().fold(9.0 * self.size, |most, name| most.max(widths(self.faces, name).0));
        let left = widest.min(0.4 * room);
        let gap = 1.2 * self.size;
        let mut rows = Vec::new();
        for (name, what) in named.iter().zip(tagged(node, "dd")) {
            let name = Piece::of(paragraphs(self.faces, name, left), 0.15 * self.size);
            let what = runs(what, self.plain().bold())?;
            let what = Piece::of(paragraphs(self.faces, &what, room - left - gap), 0.15 * self.size);
            rows.push(Piece::beside(vec![(0.0, name), (left + gap, what)]));
        }
        Ok(rows)
    }

    fn list(&self, node: Node<'_, '_>, room: f32) -> Found {
        let mut items = Vec::new();
        for item in elements(node) {
            items.push(self.dotted(item, room)?);
        }
        Ok(items)
    }

    /// A paragraph with a dot before it.
    fn dotted(&self, node: Node<'_, '_>, room: f32) -> Result<Piece, Error> {
        let inset = 1.1 * self.size;
        let words = paragraphs(self.faces, &runs(node, self.plain())?, room - inset);
        let mut piece = Piece::of(words, 0.12 * self.size).moved(inset, 0.0);
        piece.inks.push(Ink::Disc {
            at: (0.4 * inset, 0.62 * self.size),
            radius: 0.13 * self.size,
            colour: BLACK,
        });
        Ok(piece)
    }

    fn entry(&self, node: Node<'_, '_>, room: f32) -> Found {
        let inset = 2.6 * self.size;
        let mut parts = elements(node);
        let (Some(mark), Some(words)) = (parts.next(), parts.next()) else { return Ok(Vec::new()) };
        let mut pieces = Vec::new();
        for line in elements(words) {
            if is_of(line, "under") {
                pieces.push(self.dotted(line, room - inset)?);
            } else {
                pieces.extend(self.paragraph(line, room - inset)?);
            }
        }
        let mark = runs(mark, self.plain().times(1.15).bold())?;
        let mark = Piece::of(paragraphs(self.faces, &mark, inset), 0.0);
        let height: f32 = pieces.iter().map(|piece| piece.above + piece.height).sum();
        let close = |piece: Piece| {
            let piece = Piece { height: piece.height + 0.45 * self.size, ..piece };
            piece.ruled(room, Pen::plain(PALE, 0.6))
        };
        // Higher than half a sheet, it goes on overleaf; the mark stands at its beginning.
        if height < 0.5 * self.height {
            let words = Piece::stacked(pieces);
            let both = Piece::beside(vec![(0.0, mark), (inset, words)]);
            return Ok(vec![Piece { above: 0.45 * self.size, ..close(both) }]);
        }
        let mut all: Vec<Piece> = pieces.into_iter().map(|piece| piece.moved(inset, 0.0)).collect();
        if let Some(first) = all.first_mut() {
            first.inks.extend(mark.inks);
            first.height = first.height.max(mark.height);
            first.above = 0.45 * self.size;
        }
        if let Some(last) = all.pop() {
            all.push(close(last));
        }
        Ok(all)
    }

    /// Boxes to fill in by hand, each with what it is for.
    fn boxes(&self, node: Node<'_, '_>, room: f32) -> Piece {
        let look = self.plain().times(0.85).coloured(GREY);
        let named: Vec<&str> = tagged(node, "span").filter_map(|it| it.text()).collect();
        let (gap, height) = (0.8 * self.size, 2.4 * self.size);
        // One alone is no wider than a hand needs.
        let many = named.len().max(2) as f32;
        let width = (room - gap * (many - 1.0)) / many;
        let mut piece = Piece { height, above: 0.4 * self.size, ..Piece::default() };
        for (index, name) in named.into_iter().enumerate() {
            let x = index as f32 * (width + gap);
            piece.inks.push(Ink::frame((x, 0.0), (width, height), Pen::plain(GREY, 0.6)));
            let at = (x + 0.3 * self.size, 0.95 * look.size);
            piece.inks.push(Ink::Text {
                at,
                text: name.into(),
                size: look.size,
                bold: false,
                colour: look.colour,
            });
        }
        piece
    }

    /// Sections beside each other where they are no higher than half a sheet; what comes third stands below.
    fn columns(&self, node: Node<'_, '_>, room: f32) -> Found {
        let sections: Vec<Node<'_, '_>> = elements(node).collect();
        let gap = 1.6 * self.size;
        let left = 0.4 * (room - gap);
        let mut all = Vec::new();
        let mut rest = sections.as_slice();
        if let [one, other, more @ ..] = sections.as_slice() {
            let sides =
                [(0.0, self.block(*one, left)?), (left + gap, self.block(*other, room - left - gap)?)];
            let sides: Vec<(f32, Piece)> = sides.map(|(x, pieces)| (x, Piece::stacked(pieces))).into();
            if sides.iter().all(|(_, side)| side.height < 0.5 * self.height) {
                all.push(Piece::beside(sides));
                rest = more;
            }
        }
        for section in rest {
            all.extend(self.block(*section, room)?);
        }
        Ok(all)
    }

    /// Lines to sign on.
    fn sign(&self, node: Node<'_, '_>, room: f32) -> Found {
        let small = self.plain().times(0.85).coloured(GREY);
        let width = (room - 2.0 * self.size) / 2.0;
        let mut pieces = Vec::new();
        for line in elements(node) {
            let lines = paragraphs(self.faces, &runs(line, small)?, width);
            let mut piece = Piece::of(lines, 3.2 * self.size);
            piece.inks.push(Ink::straight((0.0, 0.0), (width, 0.0), Pen::plain(BLACK, 0.8)));
            pieces.push(piece);
        }
        Ok(self.in_pairs(pieces, width))
    }

    /// What a line is for, and the line.
    fn form(&self, node: Node<'_, '_>, room: f32) -> Found {
        let width = (room - 2.0 * self.size) / 2.0;
        let mut pieces = Vec::new();
        for line in elements(node) {
            let words = runs(line, self.plain())?;
            let begins = widths(self.faces, &words).0 + 0.5 * self.size;
            let mut piece = Piece::of(paragraphs(self.faces, &words, width), 1.1 * self.size);
            let (from, to) = ((begins, piece.height), (width, piece.height));
            piece.inks.push(Ink::straight(from, to, Pen::plain(BLACK, 0.8)));
            pieces.push(piece);
        }
        Ok(self.in_pairs(pieces, width))
    }

    fn in_pairs(&self, pieces: Vec<Piece>, width: f32) -> Vec<Piece> {
        let pair = |pair: &[Piece]| {
            let each = pair.iter().cloned().enumerate();
            Piece::beside(
                each.map(|(index, piece)| (index as f32 * (width + 2.0 * self.size), piece)).collect(),
            )
        };
        pieces.chunks(2).map(pair).collect()
    }

    fn drawing(&self, node: Node<'_, '_>, room: f32) -> Result<Piece, Error> {
        let (inks, (wide, high)) = chart(self.faces, node, room, 0.26 * self.height)?;
        Ok(Piece { inks, height: high, above: 0.4 * self.size, ..Piece::default() }
            .moved((room - wide) / 2.0, 0.0))
    }

    fn table(&self, node: Node<'_, '_>, room: f32) -> Found {
        // Tables of numbers stand at the right of their columns.
        let numbers = node.ancestors().any(|it| is_of(it, "full") || is_of(it, "strips"));
        let mut head = Vec::new();
        let mut rows = Vec::new();
        for row in tagged(node, "tr") {
            let in_head = row.ancestors().any(|it| it.has_tag_name("thead"));
            let mut cells = Vec::new();
            for cell in elements(row) {
                let spans = cell.attribute("colspan").and_then(|it| it.parse().ok()).unwrap_or(1);
                let side = match (numbers, spans) {
                    (false, _) => Side::Left,
                    (true, 1) => Side::Right,
                    (true, _) => Side::Middle,
                };
                let words = runs(cell, self.cell(cell, in_head))?;
                cells.push(Cell { words, spans, side, whole: is_mark(cell) });
            }
            if in_head { head.push(cells) } else { rows.push(cells) }
        }
        let widths = self.column_widths(head.iter().chain(&rows), room);
        let head = head.iter().map(|cells| self.row(cells, &widths)).collect::<Vec<_>>();
        let head = (!head.is_empty()).then(|| {
            Rc::new(Piece { keeps: true, ..Piece::stacked(head).ruled(room, Pen::plain(BLACK, 1.0)) })
        });
        let mut all: Vec<Piece> = head.iter().map(|head| (**head).clone()).collect();
        for cells in &rows {
            let row = self.row(cells, &widths).ruled(room, Pen::plain(PALE, 0.6));
            all.push(Piece { head: head.clone(), ..row });
        }
        Ok(all)
    }

    /// Tables side by side, where none is higher than a sheet.
    fn strips(&self, node: Node<'_, '_>, room: f32) -> Found {
        let gap = 1.6 * self.size;
        let count = elements(node).count().max(1) as f32;
        let width = (room - gap * (count - 1.0)) / count;
        let small = Flow { size: 0.86 * self.size, ..*self };
        let mut strips = Vec::new();
        for (index, strip) in elements(node).enumerate() {
            strips.push((index as f32 * (width + gap), Piece::stacked(small.block(strip, width)?)));
        }
        if strips.iter().all(|(_, strip)| strip.height < self.height) {
            return Ok(vec![Piece::beside(strips)]);
        }
        self.each(node, room)
    }

    fn cell(&self, cell: Node<'_, '_>, in_head: bool) -> Look {
        let look = self.plain();
        if in_head {
            return look.times(0.9).coloured(GREY);
        }
        if is_mark(cell) {
            return look.bold().coloured(mark_colour(cell));
        }
        if cell.has_tag_name("th") { look.coloured(GREY) } else { look }
    }

    /// Each column gets its widest word, and of what is left as much as it would need more for one line.
    fn column_widths<'r>(&self, rows: impl Iterator<Item = &'r Vec<Cell>>, room: f32) -> Vec<f32> {
        let mut needs: Vec<(f32, f32)> = Vec::new();
        for row in rows {
            let mut column = 0;
            for cell in row {
                let (whole, least) =
                    if cell.spans == 1 { widths(self.faces, &cell.words) } else { (0.0, 0.0) };
                needs.resize(needs.len().max(column + cell.spans), (0.0, 0.0));
                let least = if cell.whole { whole } else { least };
                needs[column] = (needs[column].0.max(whole), needs[column].1.max(least));
                column += cell.spans;
            }
        }
        let inner = room - self.gap() * needs.len().saturating_sub(1) as f32;
        let whole: f32 = needs.iter().map(|need| need.0).sum();
        let least: f32 = needs.iter().map(|need| need.1).sum();
        let share = |(most, word): &(f32, f32)| {
            if whole <= inner {
                most + (inner - whole) * most / whole.max(1.0)
            } else if least < inner {
                word + (inner - least) * (most - word) / (whole - least).max(1.0)
            } else {
                inner * word / least
            }
        };
        needs.iter().map(share).collect()
    }

    fn gap(&self) -> f32 {
        0.8 * self.size
    }

    fn row(&self, cells: &[Cell], widths: &[f32]) -> Piece {
        let (mut x, mut column) = (0.0, 0);
        let mut pieces = Vec::new();
        for cell in cells {
            let own = widths.iter().skip(column).take(cell.spans);
            let width = own.sum::<f32>() + self.gap() * cell.spans.saturating_sub(1) as f32;
            let lines = aligned(self.faces, &cell.words, width, cell.side);
            pieces.push((x, Piece::of(lines, 0.0).moved(0.0, 0.12 * self.size)));
            x += width + self.gap();
            column += cell.spans;
        }
        let row = Piece::beside(pieces);
        Piece { height: row.height + 0.2 * self.size, ..row }
    }
}

/// Whether it says how something came out.
fn is_mark(node: Node<'_, '_>) -> bool {
    ["good", "bad", "open"].iter().any(|mark| is_of(node, mark))
}

fn mark_colour(node: Node<'_, '_>) -> Colour {
    if is_of(node, "good") {
        GREEN
    } else if is_of(node, "bad") {
        RED
    } else {
        BLACK
    }
}
