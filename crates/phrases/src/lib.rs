//! A phrasebook: the core's English sentences in another language.
//!
//! The core speaks English. A face that speaks another language reads a book once ([`Phrasebook::read`]) and lets it [say](Phrasebook::say)
//! each sentence on its way to the screen. A book is data: pairs of phrases with gaps, names of things with their article, and a little
//! grammar. What a book does not know stays as it is, and [`Said`] tells which part that is.
//!
//! ```
//! use stemwise_phrases::{Phrasebook, SPANISH};
//!
//! let book = Phrasebook::read(SPANISH)?;
//! let said = book.say("Stop compressor 1. Something unheard of.");
//! assert_eq!(said.text(), "Pare el compresor 1. Something unheard of.");
//! assert!(!said.is_whole());
//! # Ok::<(), stemwise_phrases::BookError>(())
//! ```

mod book;
mod grammar;
mod pattern;
mod read;
mod render;
mod said;
mod text;

pub use book::{Entry, Phrasebook};
pub use read::{BookError, Fault};
pub use said::{Kept, Said};

/// The Spanish book, as shipped in `data/phrases/es.toml`. A face that fetches the file instead carries nothing of it.
pub const SPANISH: &str = include_str!("../../../data/phrases/es.toml");
