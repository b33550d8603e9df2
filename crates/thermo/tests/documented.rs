//! Every public function shows how it is used.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::fs;
use std::path::{Path, PathBuf};

fn files(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    entries.flat_map(|path| if path.is_dir() { files(&path) } else { vec![path] }).collect()
}

#[test]
fn every_public_function_has_an_example() {
    let (mut all, mut bare) = (0, Vec::new());
    for file in files(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src")) {
        let text = fs::read_to_string(&file).unwrap();
        let (mut shown, mut documented) = (false, false);
        for line in text.lines().map(str::trim).take_while(|line| *line != "#[cfg(test)]") {
            if let Some(said) = line.strip_prefix("///") {
                // A comment begins anew after code.
                shown = (shown && documented) || said.trim() == "```";
                documented = true;
            } else if line.starts_with("pub fn ") || line.starts_with("pub const fn ") {
                all += 1;
                if !(shown && documented) {
                    bare.push(format!("{}: {line}", file.display()));
                }
                (shown, documented) = (false, false);
            } else if !line.starts_with("#[") {
                (shown, documented) = (false, false);
            }
        }
    }
    assert!(all > 150, "only {all} were found");
    assert!(bare.is_empty(), "without an example:\n{}", bare.join("\n"));
}
