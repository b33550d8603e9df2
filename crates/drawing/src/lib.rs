//! The circuit as a picture: symbols, automatic layout, cutaways of valves, SVG. Pure geometry: a face draws it and adds colour.

mod compose;
mod cutaway;
mod cutaway_sheet;
mod fill;
mod flow;
mod geometry;
mod glyph;
mod glyph_parts;
mod glyph_rig;
mod lettering;
mod markup;
mod network;
mod order;
mod path;
mod place;
mod regions;
mod rig;
mod room;
mod route;
mod scene;
mod sheet;
mod style;
mod symbol;

pub use compose::{Options, RigShown};
pub use cutaway::{
    Callout, Cutaway, Fixture, Opening, Passage, Piece, Stuff, cutaway, cutaway_at, position_at, turns_at,
};
pub use cutaway_sheet::cutaway_svg;
pub use fill::Fill;
pub use geometry::{Point, Pose, Rect};
pub use glyph::{Ink, Setting, Stroke, glyph, position_words};
pub use lettering::{LETTERS, LINE, width, wrap};
pub use scene::{Align, Arrow, Element, Label, LineKind, Lit, Pipe, Region, Scene, Sheet, Thing};
pub use sheet::{Painted, picture, svg};
pub use symbol::Symbol;
