//! Values that know where they come from: entered, or estimated by a stated rule with a range.

/// Where a value comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Basis {
    /// Someone entered it in the circuit file.
    Entered,
    /// Computed from something entered (a tube's volume from its size and length).
    Computed {
        /// The rule, as shown to the user.
        rule: &'static str,
    },
    /// A guess by a stated rule; the range is part of the answer.
    Estimated {
        /// The rule, as shown to the user.
        rule: &'static str,
    },
}

/// A value with its likely range and its origin; `low <= value <= high`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Known<T> {
    /// The value to reckon with.
    pub value: T,
    /// The lower end of the range.
    pub low: T,
    /// The upper end of the range.
    pub high: T,
    /// Where it comes from.
    pub basis: Basis,
}

impl<T: Copy> Known<T> {
    /// A value that was entered: no range.
    pub const fn entered(value: T) -> Self {
        Self { value, low: value, high: value, basis: Basis::Entered }
    }
    /// A value that follows from entered ones: no range.
    pub const fn computed(value: T, rule: &'static str) -> Self {
        Self { value, low: value, high: value, basis: Basis::Computed { rule } }
    }
    /// A guess and its range.
    pub const fn estimated(value: T, low: T, high: T, rule: &'static str) -> Self {
        Self { value, low, high, basis: Basis::Estimated { rule } }
    }
    /// Whether the value is a guess.
    pub const fn is_estimate(&self) -> bool {
        matches!(self.basis, Basis::Estimated { .. })
    }
}
