//! What a space holds, as a drawing shows it: by pattern and word, never by colour alone.

/// What fills a passage or a pipe.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Fill {
    /// Liquid refrigerant.
    Liquid,
    /// Refrigerant vapour.
    Vapour,
    /// Liquid and vapour.
    Both,
    /// Next to nothing.
    Vacuum,
    /// Air.
    Air,
    /// Nitrogen.
    Nitrogen,
    /// Oil.
    Oil,
}

impl Fill {
    /// All of them.
    pub const ALL: [Self; 7] =
        [Self::Liquid, Self::Vapour, Self::Both, Self::Vacuum, Self::Air, Self::Nitrogen, Self::Oil];

    /// The word for it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Liquid => "liquid",
            Self::Vapour => "vapour",
            Self::Both => "liquid and vapour",
            Self::Vacuum => "vacuum",
            Self::Air => "air",
            Self::Nitrogen => "nitrogen",
            Self::Oil => "oil",
        }
    }

    /// The id of its pattern in an SVG's `defs`.
    pub const fn pattern(self) -> &'static str {
        match self {
            Self::Liquid => "fill-liquid",
            Self::Vapour => "fill-vapour",
            Self::Both => "fill-both",
            Self::Vacuum => "fill-vacuum",
            Self::Air => "fill-air",
            Self::Nitrogen => "fill-nitrogen",
            Self::Oil => "fill-oil",
        }
    }
}
