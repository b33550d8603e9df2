//! What a bundle is made from and what is in it.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, bail};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

/// Where the committed bundle lies.
pub(crate) const BUNDLE: &str = "crates/serve/bundle";
/// Its list of contents.
pub(crate) const LIST: &str = "bundle.json";

/// The list that lies in a bundle.
#[derive(Serialize, Deserialize)]
pub(crate) struct Made {
    /// The compiler.
    pub(crate) toolchain: String,
    /// One hash over everything that it was made from.
    pub(crate) sources: String,
    /// Each file and its hash.
    pub(crate) files: BTreeMap<String, String>,
}

impl Made {
    /// Reads the list of a bundle.
    ///
    /// # Errors
    /// Where there is none.
    pub(crate) fn read(folder: &Path) -> Result<Self> {
        let path = folder.join(LIST);
        let text =
            std::fs::read_to_string(&path).with_context(|| format!("can't read {}", path.display()))?;
        Ok(serde_json::from_str(&text)?)
    }
}

/// The workspace's folder.
///
/// # Errors
/// Where this is no workspace.
pub(crate) fn root() -> Result<PathBuf> {
    Ok(Path::new(env!("CARGO_MANIFEST_DIR"))
        .ancestors()
        .nth(2)
        .context("no workspace around this")?
        .to_owned())
}

/// A hash in hexadecimal digits.
pub(crate) fn hash(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

/// What the app is made from: every tracked file of the crates, their data, and the manifests.
const FROM: [&str; 7] =
    ["crates", "data", "examples", "dev/bundle/src", "Cargo.toml", "Cargo.lock", ".cargo/config.toml"];

/// Of the crates these files do not go into the app.
fn is_left_out(path: &str) -> bool {
    let beside = ["/tests/", "/benches/", "/examples/", "/bundle/"];
    let faces = ["crates/cli/", "crates/serve/"];
    (path.starts_with("crates/") && beside.iter().any(|part| path.contains(part)))
        || faces.iter().any(|face| path.starts_with(face))
}

/// One hash over everything that the bundle is made from.
///
/// # Errors
/// Where git can't list the files or one can't be read.
pub(crate) fn sources(root: &Path) -> Result<String> {
    let mut git = Command::new("git");
    git.current_dir(root)
        .args(["ls-files", "--cached", "--others", "--exclude-standard", "-z", "--"])
        .args(FROM);
    let out = git.output().context("can't run git")?;
    if !out.status.success() {
        bail!("git: {}", String::from_utf8_lossy(&out.stderr));
    }
    let listed = String::from_utf8(out.stdout).context("a file name is not UTF-8")?;
    let mut names: Vec<&str> =
        listed.split('\0').filter(|name| !name.is_empty() && !is_left_out(name)).collect();
    names.sort_unstable();
    names.dedup();
    let mut all = Sha256::new();
    let mut counted = 0;
    for name in names {
        // A file that was removed and not yet committed is listed all the same.
        let Ok(bytes) = std::fs::read(root.join(name)) else { continue };
        all.update(format!("{name}\n{}\n", hash(&bytes)));
        counted += 1;
    }
    if counted < 50 {
        bail!("only {counted} files go into the bundle: something is missing");
    }
    Ok(all.finalize().iter().map(|byte| format!("{byte:02x}")).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn committed() -> (PathBuf, Made) {
        let root = root().expect("there is a workspace");
        let made = Made::read(&root.join(BUNDLE)).expect("a bundle is committed");
        (root, made)
    }

    #[test]
    fn the_committed_bundle_is_made_from_the_committed_sources() {
        let (root, made) = committed();
        let now = sources(&root).expect("git lists the sources");
        assert_eq!(made.sources, now, "the app has changed: run `cargo run -p stemwise-bundle`");
    }

    #[test]
    fn nobody_has_changed_a_file_of_the_bundle_by_hand() {
        let (root, made) = committed();
        assert!(made.files.len() >= 8, "only {} files", made.files.len());
        for (name, wanted) in &made.files {
            let bytes = std::fs::read(root.join(BUNDLE).join(name)).expect("a listed file is there");
            assert_eq!(&hash(&bytes), wanted, "{name}");
        }
        let there = std::fs::read_dir(root.join(BUNDLE)).expect("the folder can be read").count();
        assert_eq!(there, made.files.len() + 1, "a file that is not on the list");
    }
}
