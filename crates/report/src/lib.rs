//! What leaves the program on paper: the pressure-enthalpy diagram and the saturation tables of any refrigerant, documents made of facts,
//! tables and numbered entries, charts of series over time, and sheets of evidence of a test.
//!
//! All are whole files that need nothing else (SVG, HTML): no font, script or picture from elsewhere. The same input gives the same
//! bytes natively and on wasm.

mod chart;
mod cycle;
mod diagram;
mod document;
mod error;
mod evidence;
mod geometry;
mod ink;
mod label;
mod lettering;
mod lines;
mod markup;
mod options;
mod page;
mod scale;
mod sheet;
mod tables;
mod trace;
mod view;
mod words;

pub use chart::{Chart, Series, SeriesKind, chart};
pub use cycle::{Cycle, CycleAsk, Level, Outlet, cycle};
pub use document::{Block, Document, Entry, Section, document};
pub use error::Error;
pub use evidence::{EvidenceSheet, Mark, evidence_sheet};
pub use options::{Options, PressureAxis, Sheet};
pub use page::{PageOptions, Paper, saturation_page};
pub use sheet::pressure_enthalpy;
pub use words::CAUTION;
