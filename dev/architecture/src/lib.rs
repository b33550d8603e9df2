//! Reads the workspace, its sources and ARCHITECTURE.md, so that tests can hold them against each other.

mod page;
mod source;
mod workspace;

pub use page::{Page, Row};
pub use source::{code_only, paths_in};
pub use workspace::{Dependency, Manifest, Workspace};
