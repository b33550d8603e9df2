//! Builds the app for the browser and writes the bundle that the server embeds.
//!
//! `cargo run -p stemwise-bundle` builds and writes; `-- --check` builds beside and says whether the bytes are the same; `-- --draft FOLDER`
//! builds quickly, unoptimised, for a look; `-- --module PACKAGE` builds another package as the app is built and prints where its module lies.

#![allow(clippy::print_stdout, reason = "what it says is for who runs it")]

mod build;
mod list;
mod write;

use std::path::{Path, PathBuf};

use anyhow::{Result, bail};

/// What is asked for.
enum Ask {
    Write,
    Check,
    Draft(PathBuf),
    Module(String),
}

fn ask() -> Result<Ask> {
    let mut given = std::env::args().skip(1);
    Ok(match (given.next().as_deref(), given.next()) {
        (None, None) => Ask::Write,
        (Some("--check"), None) => Ask::Check,
        (Some("--draft"), Some(folder)) => Ask::Draft(folder.into()),
        (Some("--module"), Some(package)) => Ask::Module(package),
        _ => bail!("use it as: stemwise-bundle [--check | --draft FOLDER | --module PACKAGE]"),
    })
}

/// The module packed as hard as it goes.
const SMALLEST: i32 = 11;
/// Packed in a second.
const QUICK: i32 = 2;

fn main() -> Result<()> {
    let root = list::root()?;
    let committed = root.join(list::BUNDLE);
    let app = |profile| build::module(&root, build::APP, profile);
    match ask()? {
        Ask::Write => write::bundle(&root, &app(build::Profile::App)?, &committed, SMALLEST),
        Ask::Draft(folder) => write::bundle(&root, &app(build::Profile::Dev)?, &folder, QUICK),
        Ask::Check => check(&root, &app(build::Profile::App)?, &committed),
        Ask::Module(package) => {
            println!("{}", build::module(&root, &package, build::Profile::App)?.display());
            Ok(())
        }
    }
}

/// Builds beside and compares byte by byte, where the toolchain is the one that made the committed bundle.
fn check(root: &Path, module: &Path, committed: &Path) -> Result<()> {
    let fresh = build::target_dir()?.join("fresh-bundle");
    write::bundle(root, module, &fresh, SMALLEST)?;
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
