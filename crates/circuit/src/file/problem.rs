//! Problems in a file: where, what, and what to do.

use std::ops::Range;

/// How bad a problem is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// The file can't be used.
    Error,
    /// It can be used, but look at this.
    Warning,
}

/// One problem.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// How bad it is.
    pub severity: Severity,
    /// The kind, stable, kebab-case.
    pub id: &'static str,
    /// The line, from 1.
    pub line: usize,
    /// The column in characters, from 1.
    pub column: usize,
    /// The line itself, shortened to what a terminal shows.
    pub excerpt: String,
    /// Where in the excerpt, in characters from 0, and how many characters.
    pub mark: (usize, usize),
    /// What is wrong.
    pub say: String,
    /// What to do.
    pub hint: String,
}

/// Longer lines are cut around the place.
const WIDTH: usize = 100;
/// More problems than this are counted, not listed.
const MOST: usize = 200;

/// Collects problems of a text and finds their places: for the readers of every file that people write.
#[derive(Debug)]
pub struct Problems<'t> {
    text: &'t str,
    starts: Vec<usize>,
    found: Vec<(Range<usize>, Problem)>,
    left_out: usize,
}

impl<'t> Problems<'t> {
    /// For a text.
    pub fn new(text: &'t str) -> Self {
        let starts = core::iter::once(0).chain(text.match_indices('\n').map(|(at, _)| at + 1)).collect();
        Self { text, starts, found: Vec::new(), left_out: 0 }
    }

    /// Something that makes the file unusable, at a range of bytes of the text.
    pub fn error(
        &mut self,
        at: &Range<usize>,
        id: &'static str,
        say: impl Into<String>,
        hint: impl Into<String>,
    ) {
        self.add(Severity::Error, at, id, say.into(), hint.into());
    }

    /// Something to look at.
    pub fn warning(
        &mut self,
        at: &Range<usize>,
        id: &'static str,
        say: impl Into<String>,
        hint: impl Into<String>,
    ) {
        self.add(Severity::Warning, at, id, say.into(), hint.into());
    }

    /// Whether no more problems are listed, so that hints need not be looked for.
    pub(crate) const fn is_full(&self) -> bool {
        self.found.len() >= MOST
    }

    /// Whether there is an error among them.
    pub fn any_error(&self) -> bool {
        self.found.iter().any(|(_, problem)| problem.severity == Severity::Error)
    }

    fn add(&mut self, severity: Severity, at: &Range<usize>, id: &'static str, say: String, hint: String) {
        if self.found.len() >= MOST {
            self.left_out += 1;
            return;
        }
        let line = self.starts.partition_point(|&start| start <= at.start).max(1);
        let begin = self.starts.get(line - 1).copied().unwrap_or(0);
        let end = self.starts.get(line).map_or(self.text.len(), |next| next - 1).max(begin);
        let whole = self.text.get(begin..end).unwrap_or("").trim_end_matches('\r');
        let column = self.text.get(begin..at.start.max(begin)).map_or(0, |before| before.chars().count());
        let marked =
            self.text.get(at.start..at.end.min(end).max(at.start)).map_or(0, |marked| marked.chars().count());
        let (excerpt, offset) = cut(whole, column);
        let problem = Problem {
            severity,
            id,
            line,
            column: column + 1,
            excerpt,
            mark: (column - offset, marked.clamp(1, WIDTH)),
            say,
            hint,
        };
        self.found.push((at.clone(), problem));
    }

    /// All problems in the order of the file.
    pub fn finish(mut self) -> Vec<Problem> {
        self.found.sort_by_key(|(at, problem)| (at.start, problem.severity));
        let mut problems: Vec<Problem> = self.found.into_iter().map(|(_, problem)| problem).collect();
        if self.left_out > 0 {
            problems.push(Problem {
                severity: Severity::Error,
                id: "many-problems",
                line: 1,
                column: 1,
                excerpt: String::new(),
                mark: (0, 1),
                say: format!("there are {} more problems", self.left_out),
                hint: "mend these first and check again".into(),
            });
        }
        problems
    }
}

/// A window of a long line around a column; returns what was cut off before it, in characters.
fn cut(line: &str, column: usize) -> (String, usize) {
    let clean = |text: &str| text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect::<String>();
    if line.chars().count() <= WIDTH {
        return (clean(line), 0);
    }
    let offset = column.saturating_sub(WIDTH / 2);
    let window: String = line.chars().skip(offset).take(WIDTH).collect();
    (clean(&window), offset)
}
