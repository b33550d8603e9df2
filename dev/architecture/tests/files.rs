//! Rules for every file under version control.

use stemwise_architecture::Workspace;

const LONGEST: usize = 800;

/// Where a path on somebody's machine begins, in two parts so that this file passes its own check.
const MACHINE_PATHS: [&str; 7] = [
    concat!("/wor", "k/"),
    concat!("/roo", "t/"),
    concat!("/hom", "e/"),
    concat!("/tm", "p/"),
    concat!("/User", "s/"),
    concat!("C:\\", "Users"),
    concat!("../sha", "red"),
];

/// Hosts of package registries: a build must not be tied to one.
const REGISTRY_HOSTS: [&str; 9] = [
    concat!("crates", ".io"),
    concat!("pypi", ".org"),
    concat!("python", "hosted.org"),
    concat!("npm", "js.org"),
    concat!("npm", "js.com"),
    concat!("debian", ".org"),
    concat!("rust-", "lang.org"),
    concat!("proxy.golang", ".org"),
    concat!("unpkg", ".com"),
];

/// Every tracked text file: path and text.
fn texts() -> Vec<(String, String)> {
    let workspace = Workspace::read().expect("the workspace can be read");
    let paths = workspace.tracked().expect("git lists the files");
    let read = |path: String| Some((workspace.text(&path).expect("it can be read")?, path));
    let texts: Vec<_> = paths.into_iter().filter_map(read).map(|(text, path)| (path, text)).collect();
    assert!(texts.len() > 50, "only {} files to check", texts.len());
    texts
}

fn rust() -> Vec<(String, String)> {
    texts().into_iter().filter(|(path, _)| path.ends_with(".rs")).collect()
}

#[track_caller]
fn none(problems: &[String]) {
    assert!(problems.is_empty(), "\n{}", problems.join("\n"));
}

/// Whether a line holds a path that begins so; "a/b/" is no path that begins with "/b/".
fn has_path(line: &str, start: &str) -> bool {
    line.match_indices(start).any(|(at, _)| {
        let before = line.get(..at).and_then(|text| text.chars().next_back());
        !before.is_some_and(|c| c.is_alphanumeric() || "._-/}".contains(c))
    })
}

fn machine_paths(text: &str) -> impl Iterator<Item = usize> + '_ {
    let bad = |line: &str| MACHINE_PATHS.iter().any(|start| has_path(line, start));
    text.lines().enumerate().filter(move |(_, line)| bad(line)).map(|(at, _)| at + 1)
}

fn registry_hosts(text: &str) -> impl Iterator<Item = usize> + '_ {
    let bad = |line: &str| REGISTRY_HOSTS.iter().any(|host| line.contains(host));
    text.lines().enumerate().filter(move |(_, line)| bad(line)).map(|(at, _)| at + 1)
}

#[test]
fn no_machine_paths() {
    let lines = texts();
    let found =
        lines.iter().flat_map(|(path, text)| machine_paths(text).map(move |line| format!("{path}:{line}")));
    none(&found.collect::<Vec<_>>());
}

#[test]
fn no_registry_hosts() {
    // Cargo writes its registry's address into the lock file.
    let lines: Vec<_> = texts().into_iter().filter(|(path, _)| !path.ends_with("Cargo.lock")).collect();
    let found =
        lines.iter().flat_map(|(path, text)| registry_hosts(text).map(move |line| format!("{path}:{line}")));
    none(&found.collect::<Vec<_>>());
}

#[test]
fn both_would_be_found() {
    for start in MACHINE_PATHS {
        assert_eq!(machine_paths(&format!("fine\nopen(\"{start}x\")\n")).collect::<Vec<_>>(), [2], "{start}");
    }
    for host in REGISTRY_HOSTS {
        assert_eq!(registry_hosts(&format!("https://{host}/x\n")).collect::<Vec<_>>(), [1], "{host}");
    }
    assert_eq!(machine_paths(concat!("the net", "/wor", "k/ of pipes")).count(), 0);
}

#[test]
fn no_rust_file_is_too_long() {
    let long = rust()
        .into_iter()
        .map(|(path, text)| (path, text.lines().count()))
        .filter(|(_, lines)| *lines > LONGEST);
    none(&long.map(|(path, lines)| format!("{path}: {lines} lines, over {LONGEST}")).collect::<Vec<_>>());
}

#[test]
fn every_rust_file_says_what_it_is_for() {
    let silent = rust().into_iter().filter(|(_, text)| !text.starts_with("//! "));
    none(&silent.map(|(path, _)| format!("{path} doesn't open with a //! line")).collect::<Vec<_>>());
}
