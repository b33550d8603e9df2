//! The files of the app, built in.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::io::Write as _;
use std::path::Path;
use std::sync::OnceLock;

use brotli_decompressor::BrotliDecompress;
use flate2::Compression;
use flate2::write::GzEncoder;
use rust_embed::RustEmbed;

use crate::Error;

#[derive(RustEmbed)]
#[folder = "bundle/"]
struct Bundle;

/// What the name of a file ends in that lies packed in the bundle (RFC 7932).
const PACKED: &str = ".br";

fn stored(name: &str) -> Option<Vec<u8>> {
    Bundle::get(name).map(|file| match file.data {
        Cow::Borrowed(bytes) => bytes.to_vec(),
        Cow::Owned(bytes) => bytes,
    })
}

/// A file by its name.
pub(crate) fn get(name: &str) -> Option<Vec<u8>> {
    stored(name).or_else(|| {
        let mut unpacked = Vec::new();
        // The bundle's own check has compared the packed bytes with their hash.
        BrotliDecompress(&mut stored(&format!("{name}{PACKED}"))?.as_slice(), &mut unpacked).ok()?;
        Some(unpacked)
    })
}

/// A file made smaller, and by which coding, for a browser that unpacks it; none where that gains little.
pub(crate) fn packed(name: &str, takes: impl Fn(&str) -> bool) -> Option<(&'static str, Vec<u8>)> {
    if takes("br")
        && let Some(packed) = stored(&format!("{name}{PACKED}"))
    {
        return Some(("br", packed));
    }
    if takes("gzip") { Some(("gzip", gzipped(name)?)) } else { None }
}

/// Made once: browsers take no other coding over plain http.
fn gzipped(name: &str) -> Option<Vec<u8>> {
    static GZIPPED: OnceLock<BTreeMap<String, Vec<u8>>> = OnceLock::new();
    let pack = || {
        let all = names().into_iter().filter_map(|name| {
            let bytes = get(&name)?;
            let mut packer = GzEncoder::new(Vec::new(), Compression::best());
            packer.write_all(&bytes).ok()?;
            let packed = packer.finish().ok()?;
            (packed.len() * 10 < bytes.len() * 9).then_some((name, packed))
        });
        all.collect()
    };
    GZIPPED.get_or_init(pack).get(name).cloned()
}

/// The names of all of them.
pub fn names() -> Vec<String> {
    Bundle::iter().map(|name| name.strip_suffix(PACKED).unwrap_or(&name).to_owned()).collect()
}

/// The media type of a file, by the end of its name.
pub(crate) fn kind(name: &str) -> &'static str {
    match name.rsplit('.').next() {
        Some("html") => "text/html; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        Some("js") => "text/javascript; charset=utf-8",
        Some("json") => "application/json",
        Some("png") => "image/png",
        Some("svg") => "image/svg+xml",
        Some("wasm") => "application/wasm",
        Some("toml") => "text/plain; charset=utf-8",
        Some("webmanifest") => "application/manifest+json",
        _ => "application/octet-stream",
    }
}

/// Writes the app into a folder, for any host that serves files over https.
///
/// # Errors
/// [`Error::NotEmpty`] where the folder holds something else, [`Error::Write`].
pub fn export(folder: &Path) -> Result<usize, Error> {
    let write = |path: &Path, why| Error::Write { path: path.display().to_string(), why };
    let is_ours = folder.join("offline.js").exists() && folder.join("index.html").exists();
    let holds_something = std::fs::read_dir(folder).is_ok_and(|mut entries| entries.next().is_some());
    if holds_something && !is_ours {
        return Err(Error::NotEmpty { path: folder.display().to_string() });
    }
    std::fs::create_dir_all(folder).map_err(|why| write(folder, why))?;
    let names = names();
    for name in &names {
        let path = folder.join(name);
        std::fs::write(&path, get(name).unwrap_or_default()).map_err(|why| write(&path, why))?;
    }
    Ok(names.len())
}
