//! The workspace's manifests and the files under version control.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use toml::{Table, Value};

/// The workspace that this crate belongs to.
#[derive(Clone, Debug)]
pub struct Workspace {
    root: PathBuf,
    /// The root manifest.
    pub manifest: Table,
    /// The members' manifests, sorted by folder.
    pub members: Vec<Manifest>,
}

/// A member's manifest.
#[derive(Clone, Debug)]
pub struct Manifest {
    /// Its folder, relative to the root ("crates/units").
    pub folder: String,
    /// All of it.
    pub table: Table,
    /// What it depends on, in every section.
    pub dependencies: Vec<Dependency>,
}

/// One dependency.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Dependency {
    /// The name in the manifest.
    pub name: String,
    /// Only for tests.
    pub dev: bool,
    /// Version and features come from the root manifest.
    pub inherited: bool,
}

impl Workspace {
    /// Reads it from the disk.
    ///
    /// # Errors
    /// A file that can't be read or isn't TOML.
    pub fn read() -> Result<Self, String> {
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
        let manifest = read_toml(&root.join("Cargo.toml"))?;
        let members = manifest.get("workspace").and_then(|workspace| workspace.get("members")?.as_array());
        let mut folders = Vec::new();
        for member in members.into_iter().flatten().filter_map(Value::as_str) {
            folders.extend(expand(&root, member)?);
        }
        folders.sort();
        let members =
            folders.into_iter().map(|folder| Manifest::read(&root, folder)).collect::<Result<_, _>>()?;
        Ok(Self { root, manifest, members })
    }

    /// The paths of all files that are, or could be put, under version control (not ignored), relative to the root.
    ///
    /// # Errors
    /// `git` is not there, or this is no clone, or it holds nothing.
    pub fn tracked(&self) -> Result<Vec<String>, String> {
        let output = Command::new("git")
            .args(["ls-files", "-z", "--cached", "--others", "--exclude-standard"])
            .current_dir(&self.root)
            .output()
            .map_err(|error| format!("git can't be run: {error}"))?;
        let listed = String::from_utf8_lossy(&output.stdout);
        let paths: Vec<String> =
            listed.split('\0').filter(|path| self.root.join(path).is_file()).map(str::to_owned).collect();
        if paths.is_empty() {
            return Err(format!("git lists no file: {}", String::from_utf8_lossy(&output.stderr)));
        }
        Ok(paths)
    }

    /// A file's text; none where it isn't UTF-8.
    ///
    /// # Errors
    /// It can't be read.
    pub fn text(&self, path: &str) -> Result<Option<String>, String> {
        let bytes = fs::read(self.root.join(path)).map_err(|error| format!("{path}: {error}"))?;
        Ok(String::from_utf8(bytes).ok())
    }
}

impl Manifest {
    fn read(root: &Path, folder: String) -> Result<Self, String> {
        let table = read_toml(&root.join(&folder).join("Cargo.toml"))?;
        let mut dependencies = Vec::new();
        for (section, dev) in
            [("dependencies", false), ("build-dependencies", false), ("dev-dependencies", true)]
        {
            for (name, value) in table.get(section).and_then(Value::as_table).into_iter().flatten() {
                let inherited = value.get("workspace").and_then(Value::as_bool) == Some(true);
                dependencies.push(Dependency { name: name.clone(), dev, inherited });
            }
        }
        Ok(Self { folder, table, dependencies })
    }

    /// The name by which ARCHITECTURE.md calls it: its folder's.
    pub fn name(&self) -> &str {
        self.folder.rsplit('/').next().unwrap_or_default()
    }

    /// The workspace members that it is built on, by their folders' names, sorted.
    pub fn arrows(&self) -> Vec<&str> {
        let built = self.dependencies.iter().filter(|dependency| !dependency.dev);
        let mut arrows: Vec<&str> =
            built.filter_map(|dependency| dependency.name.strip_prefix("stemwise-")).collect();
        arrows.sort_unstable();
        arrows
    }

    /// What it uses from outside.
    pub fn third_party(&self) -> impl Iterator<Item = &Dependency> {
        self.dependencies.iter().filter(|dependency| !dependency.name.starts_with("stemwise"))
    }
}

fn read_toml(path: &Path) -> Result<Table, String> {
    let text = fs::read_to_string(path).map_err(|error| format!("{}: {error}", path.display()))?;
    text.parse().map_err(|error| format!("{}: {error}", path.display()))
}

/// The folders that a member's entry stands for: itself, or each subfolder with a manifest for "crates/*".
fn expand(root: &Path, member: &str) -> Result<Vec<String>, String> {
    let Some(parent) = member.strip_suffix("/*") else { return Ok(vec![member.to_owned()]) };
    let entries = fs::read_dir(root.join(parent)).map_err(|error| format!("{parent}: {error}"))?;
    let folders = entries.flatten().filter(|entry| entry.path().join("Cargo.toml").is_file());
    Ok(folders.map(|entry| format!("{parent}/{}", entry.file_name().to_string_lossy())).collect())
}
