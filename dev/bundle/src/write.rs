//! Writes a bundle: the module with its glue, the static files, the worker's list of what to keep offline.

use std::collections::BTreeMap;
use std::path::Path;

use anyhow::{Context, Result, bail};
use brotli::enc::BrotliEncoderParams;
use wasm_bindgen_cli_support::Bindgen;

use crate::build;
use crate::list::{LIST, Made, hash, sources};

const STATIC: &str = "crates/app/static";
/// What computes; by far the largest.
const MODULE: &str = "app_bg.wasm";
/// The books with which the core speaks another language; the app fetches the one that it needs.
const BOOKS: [(&str, &str); 1] = [("es", "data/phrases/es.toml")];
/// The worker that keeps the app for use without a network; it needs the list of the other files.
const OFFLINE: &str = "offline.js";

/// Writes a bundle into a folder, which must be empty or an older bundle. `quality`: how hard the module is packed, 0 to 11.
///
/// # Errors
/// Where the folder is something else, or a file can't be read or written.
pub(crate) fn bundle(root: &Path, module: &Path, folder: &Path, quality: i32) -> Result<()> {
    clear(folder)?;
    glue(module, folder)?;
    let from = root.join(STATIC);
    for entry in std::fs::read_dir(&from).with_context(|| format!("can't read {}", from.display()))? {
        let entry = entry?;
        std::fs::copy(entry.path(), folder.join(entry.file_name()))?;
    }
    for (language, book) in BOOKS {
        std::fs::copy(root.join(book), folder.join(format!("{language}.toml")))?;
    }
    pack(&folder.join(MODULE), quality)?;
    let kept = files(folder)?;
    let version = hash(serde_json::to_string(&kept)?.as_bytes());
    let names: Vec<&str> =
        kept.keys().map(|name| name.trim_end_matches(".br")).filter(|name| *name != OFFLINE).collect();
    let offline = std::fs::read_to_string(folder.join(OFFLINE))?
        .replace("\"VERSION\"", &serde_json::to_string(&version[..16])?)
        .replace("[\"FILES\"]", &serde_json::to_string(&names)?);
    std::fs::write(folder.join(OFFLINE), offline)?;
    let made = Made { toolchain: build::toolchain()?, sources: sources(root)?, files: files(folder)? };
    std::fs::write(folder.join(LIST), serde_json::to_string_pretty(&made)? + "\n")?;
    println!("wrote {} files to {}", made.files.len(), folder.display());
    Ok(())
}

/// Packs a file (RFC 7932) and leaves the packed one in its place.
fn pack(path: &Path, quality: i32) -> Result<()> {
    let bytes = std::fs::read(path).with_context(|| format!("can't read {}", path.display()))?;
    let ask = BrotliEncoderParams { quality, lgwin: 24, size_hint: bytes.len(), ..Default::default() };
    let mut packed = Vec::new();
    brotli::BrotliCompress(&mut bytes.as_slice(), &mut packed, &ask)?;
    std::fs::write(path.with_extension("wasm.br"), packed)?;
    Ok(std::fs::remove_file(path)?)
}

/// Empties a folder that holds a bundle; anything else there is somebody's.
fn clear(folder: &Path) -> Result<()> {
    if folder.exists() && std::fs::read_dir(folder)?.next().is_some() && !folder.join(LIST).exists() {
        bail!("{} is not empty and no bundle", folder.display());
    }
    if folder.exists() {
        std::fs::remove_dir_all(folder)?;
    }
    Ok(std::fs::create_dir_all(folder)?)
}

fn glue(module: &Path, folder: &Path) -> Result<()> {
    let mut bindgen = Bindgen::new();
    bindgen.input_path(module).out_name("app").web(true)?.typescript(false);
    // As a library it would leave the path out, and the page could not find the module.
    bindgen.omit_default_module_path(false).remove_name_section(true).remove_producers_section(true);
    bindgen.generate(folder)
}

fn files(folder: &Path) -> Result<BTreeMap<String, String>> {
    let mut found = BTreeMap::new();
    for entry in std::fs::read_dir(folder)? {
        let entry = entry?;
        let name = entry.file_name().into_string().ok().context("a file name is not UTF-8")?;
        if !entry.file_type()?.is_file() {
            bail!("{name} is no plain file; the bundle is flat");
        }
        if name != LIST {
            found.insert(name, hash(&std::fs::read(entry.path())?));
        }
    }
    Ok(found)
}
