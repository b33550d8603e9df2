//! Lines, wrapped paragraphs and tables.

/// No line is wider, unless one word is.
pub(super) const WIDTH: usize = 80;

/// Text that grows line by line.
#[derive(Debug, Default)]
pub(super) struct Text(String);

impl Text {
    pub(super) fn new() -> Self {
        Self::default()
    }

    pub(super) fn done(self) -> String {
        self.0
    }

    pub(super) fn blank(&mut self) {
        self.0.push('\n');
    }

    pub(super) fn heading(&mut self, text: &str) {
        self.line("", text);
        self.line("", &"-".repeat(text.chars().count()));
    }

    /// A line as it is.
    pub(super) fn line(&mut self, indent: &str, text: &str) {
        self.0.push_str(format!("{indent}{text}").trim_end());
        self.0.push('\n');
    }

    /// A paragraph: `first` before its first line, as many blanks before the others.
    pub(super) fn wrap(&mut self, first: &str, text: &str) {
        let indent = first.chars().count();
        let mut line = first.to_owned();
        let (mut width, mut empty) = (indent, true);
        for word in text.split_whitespace() {
            let length = word.chars().count();
            if !empty && width + 1 + length > WIDTH {
                self.line("", &line);
                line = " ".repeat(indent);
                (width, empty) = (indent, true);
            }
            if !empty {
                line.push(' ');
                width += 1;
            }
            line.push_str(word);
            width += length;
            empty = false;
        }
        self.line("", &line);
    }

    /// Rows in columns, two blanks apart; those named in `right` are set flush right.
    pub(super) fn table(&mut self, indent: &str, rows: &[Vec<String>], right: &[usize]) {
        let widths = widths(rows);
        for row in rows {
            let cells = row.iter().zip(&widths).enumerate().map(|(at, (cell, width))| {
                let pad = " ".repeat(width.saturating_sub(cell.chars().count()));
                if right.contains(&at) { format!("{pad}{cell}") } else { format!("{cell}{pad}") }
            });
            let line = cells.collect::<Vec<_>>().join("  ");
            self.line(indent, &line);
        }
    }

    /// The same, but the last cell of a row that would be too wide goes on lines of its own.
    pub(super) fn folding_table(&mut self, indent: &str, rows: &[Vec<String>]) {
        let mut left = Self::new();
        let short = |row: &Vec<String>| row.iter().take(row.len().saturating_sub(1)).cloned().collect();
        let shortened: Vec<Vec<String>> = rows.iter().map(short).collect();
        left.table(indent, &shortened, &[]);
        let start = indent.len() + widths(&shortened).iter().map(|width| width + 2).sum::<usize>();
        for (line, last) in left.0.lines().zip(rows.iter().map(|row| row.last().map_or("", String::as_str))) {
            if start + last.chars().count() <= WIDTH {
                let pad = " ".repeat(start.saturating_sub(line.chars().count()));
                self.line(line, &format!("{pad}{last}"));
            } else {
                self.line("", line);
                self.wrap(&format!("{indent}    "), last);
            }
        }
    }
}

fn widths(rows: &[Vec<String>]) -> Vec<usize> {
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let width = |at: usize| {
        rows.iter().filter_map(|row| row.get(at)).map(|cell| cell.chars().count()).max().unwrap_or(0)
    };
    (0..columns).map(width).collect()
}

/// A row of a table.
pub(super) fn row<const N: usize>(cells: [&str; N]) -> Vec<String> {
    cells.iter().map(|&cell| cell.to_owned()).collect()
}

/// "1 step", "3 steps".
pub(super) fn count(number: usize, one: &str, many: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { many })
}

/// "12 %".
pub(super) fn percent(part: f64) -> String {
    format!("{:.0} %", part * 100.0)
}
