//! The little grammar that a book brings along: articles, contractions, "and" and "or".

/// The gender and number of a name.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Form {
    pub(crate) feminine: bool,
    pub(crate) plural: bool,
}

impl Form {
    /// Where in a list of four (masculine, feminine, and both in the plural).
    const fn place(self) -> usize {
        self.feminine as usize + 2 * self.plural as usize
    }

    const ALL: [Self; 4] = [
        Self { feminine: false, plural: false },
        Self { feminine: true, plural: false },
        Self { feminine: false, plural: true },
        Self { feminine: true, plural: true },
    ];
}

/// A word with another one before certain beginnings ("y", but "e" before "i").
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Joiner {
    pub(crate) usual: String,
    pub(crate) other: String,
    pub(crate) before: Vec<String>,
    pub(crate) not_before: Vec<String>,
}

impl Joiner {
    pub(crate) fn before(&self, next: &str) -> &str {
        let next = next.to_lowercase();
        let begins = |with: &String| next.starts_with(with.as_str());
        let other = self.before.iter().any(begins) && !self.not_before.iter().any(begins);
        if other { &self.other } else { &self.usual }
    }
}

/// The grammar of a book.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Grammar {
    /// Masculine, feminine, and both in the plural.
    pub(crate) definite: [String; 4],
    /// The same for "a".
    pub(crate) indefinite: [String; 4],
    /// Two words and what they become.
    pub(crate) contractions: Vec<(String, String, String)>,
    pub(crate) and: Joiner,
    pub(crate) or: Joiner,
}

impl Grammar {
    /// The form of a name by its definite article, and how many bytes that takes with the space behind it.
    pub(crate) fn by_article(&self, name: &str) -> Option<(Form, usize)> {
        let (first, _) = name.split_once(' ')?;
        let found = Form::ALL.into_iter().find(|form| self.definite[form.place()] == first)?;
        Some((found, first.len() + 1))
    }

    pub(crate) fn definite(&self, form: Form) -> &str {
        &self.definite[form.place()]
    }

    pub(crate) fn indefinite(&self, form: Form) -> &str {
        &self.indefinite[form.place()]
    }

    /// What the last word of `before` and the first of `after` become together, with how many bytes of each that replaces.
    pub(crate) fn contraction(&self, before: &str, after: &str) -> Option<(usize, usize, &str)> {
        self.contractions.iter().find_map(|(first, second, both)| {
            let head = before.strip_suffix(' ')?.strip_suffix(first.as_str())?;
            let tail = after.strip_prefix(second.as_str())?;
            let whole =
                (head.is_empty() || head.ends_with(|c: char| !c.is_alphanumeric())) && tail.starts_with(' ');
            whole.then_some((first.len() + 1, second.len(), both.as_str()))
        })
    }
}
