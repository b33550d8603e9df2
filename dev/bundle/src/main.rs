//! Builds the app for the browser and writes the bundle that the server embeds.
//!
//! `cargo run -p stemwise-bundle` builds and writes; `-- --check` builds beside and says whether the bytes are the same; `-- --draft FOLDER`
//! builds quickly, unoptimised, for a look.

#![allow(clippy::print_stdout, reason = "what it says is for who runs it")]

mod build;
mod list;
mod write;

use std::path::PathBuf;

use anyhow::{Result, bail};

/// What is asked for.
enum Ask {
    Write,
    Check,
    Draft(PathBuf),
}

fn ask() -> Result<Ask> {
    let mut given = std::env::args().skip(1);
    Ok(match (given.next().as_deref(), given.next()) {
        (None, None) => Ask::Write,
        (Some("--check"), None) => Ask::Check,
        (Some("--draft"), Some(folder)) => Ask::Draft(folder.into()),
        _ => bail!("use it as: stemwise-bundle [--check | --draft FOLDER]"),
    })
}

/// The module packed as hard as it goes.
const SMALLEST: i32 = 11;
/// Packed in a second.
const QUICK: i32 = 2;

fn main() -> Result<()> {
    let root = list::root()?;
    let committed = root.join(list::BUNDLE);
    match ask()? {
        Ask::Write => write::bundle(&root, &build::module(&root, build::Profile::App)?, &committed, SMALLEST),
        Ask::Draft(folder) => {
            write::bundle(&root, &build::module(&root, build::Profile::Dev)?, &folder, QUICK)
        }
        Ask::Check => check(&root, &committed),
    }
}

/// Builds beside and compares byte by byte, where the toolchain is the one that made the committed bundle.
fn check(root: &std::path::Path, committed: &std::path::Path) -> Result<()> {
    let fresh = build::target_dir()?.join("fresh-bundle");
    write::bundle(root, &build::module(root, build::Profile::App)?, &fresh, SMALLEST)?;
    let (was, is) = (list::Made::read(committed)?, list::Made::read(&fresh)?);
    if was.toolchain != is.toolchain {
        println!("the bundle was made by {}, this is {}: bytes not compared", was.toolchain, is.toolchain);
        return Ok(());
    }
    let differ: Vec<&String> =
        is.files.iter().filter(|(name, hash)| was.files.get(*name) != Some(*hash)).map(|(n, _)| n).collect();
    if !differ.is_empty() || was.files.len() != is.files.len() {
        bail!(
            "the committed bundle is not what these sources give: {differ:?}; run `cargo run -p stemwise-bundle`"
        );
    }
    println!("the committed bundle is what these sources give, byte by byte: {} files", is.files.len());
    Ok(())
}
