//! The tables of ARCHITECTURE.md, found by the heading above them.

/// The text of the page.
#[derive(Clone, Debug)]
pub struct Page(String);

/// A table's row: its cells, trimmed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row(Vec<String>);

impl Page {
    /// A page with this text (Markdown).
    pub fn new(text: impl Into<String>) -> Self {
        Self(text.into())
    }

    /// The rows of the first table below a `## ` heading, without its head.
    ///
    /// # Errors
    /// Says so where the heading or a table below it is missing or the table is empty.
    pub fn table(&self, heading: &str) -> Result<Vec<Row>, String> {
        let wanted = format!("## {heading}");
        let mut lines = self.0.lines().skip_while(|line| *line != wanted);
        lines.next().ok_or_else(|| format!("the page has no heading {wanted:?}"))?;
        let section = lines.take_while(|line| !line.starts_with("## "));
        let table =
            section.skip_while(|line| !line.starts_with('|')).take_while(|line| line.starts_with('|'));
        let rows: Vec<Row> = table.skip(2).map(Row::read).collect();
        if rows.is_empty() { Err(format!("no table below {wanted:?}, or an empty one")) } else { Ok(rows) }
    }
}

impl Row {
    fn read(line: &str) -> Self {
        Self(line.trim().trim_matches('|').split('|').map(|cell| cell.trim().to_owned()).collect())
    }

    /// The text of a cell, counted from 0; empty where the row has no such cell.
    pub fn cell(&self, column: usize) -> &str {
        self.0.get(column).map_or("", String::as_str)
    }

    /// What stands between backticks in a cell.
    pub fn names(&self, column: usize) -> Vec<&str> {
        self.cell(column).split('`').skip(1).step_by(2).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_below_its_heading() {
        let page =
            Page::new("## One\n\ntext\n\n| a | b |\n| --- | --- |\n| `x` | `y`, `z` |\n\n## Two\n\ntext\n");
        let rows = page.table("One").unwrap();
        assert_eq!(rows.len(), 1);
        assert_eq!((rows[0].names(0), rows[0].names(1)), (vec!["x"], vec!["y", "z"]));
        assert!(page.table("Two").unwrap_err().contains("no table"));
        assert!(page.table("Three").unwrap_err().contains("no heading"));
    }
}
