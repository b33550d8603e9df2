//! ARCHITECTURE.md and the workspace say the same.

use std::collections::{BTreeMap, BTreeSet};

use stemwise_architecture::{Manifest, Page, Row, Workspace, code_only, paths_in};
use toml::{Table, Value};

/// What may not be written in a core crate; the page lists the same with reasons.
const FORBIDDEN: [&str; 23] = [
    "std::fs",
    "std::io",
    "std::net",
    "std::env",
    "std::process",
    "std::thread",
    "thread_local!",
    "Instant",
    "SystemTime",
    "RandomState",
    "std::collections::HashMap",
    "std::collections::HashSet",
    "rand",
    "getrandom",
    "println!",
    "print!",
    "eprintln!",
    "eprint!",
    "dbg!",
    "unsafe",
    "todo!",
    "unimplemented!",
    "panic!",
];

fn workspace() -> Workspace {
    Workspace::read().expect("the workspace can be read")
}

fn page(workspace: &Workspace) -> Page {
    Page::new(workspace.text("ARCHITECTURE.md").expect("the page can be read").expect("it is text"))
}

fn table(heading: &str) -> Vec<Row> {
    page(&workspace()).table(heading).expect("the page has the table")
}

#[track_caller]
fn none(problems: &[String]) {
    assert!(problems.is_empty(), "\n{}", problems.join("\n"));
}

/// The first name in a row.
fn named(row: &Row) -> &str {
    row.names(0).first().copied().unwrap_or_default()
}

fn sorted<'a>(names: impl IntoIterator<Item = &'a str>) -> Vec<&'a str> {
    names.into_iter().collect::<BTreeSet<_>>().into_iter().collect()
}

#[test]
fn crates_are_the_workspace_members() {
    let (workspace, rows) = (workspace(), table("Crates"));
    let members = sorted(workspace.members.iter().map(Manifest::name));
    assert_eq!(sorted(rows.iter().map(named)), members, "page (left) against workspace members (right)");
    assert_eq!(rows.len(), members.len(), "a crate is listed twice");
}

#[test]
fn arrows_are_the_manifests_and_point_up_the_table() {
    let (workspace, rows) = (workspace(), table("Crates"));
    let mut problems = Vec::new();
    let mut above: Vec<&str> = Vec::new();
    let mut arrows = 0;
    for row in &rows {
        let used = sorted(row.names(2));
        let manifest = workspace.members.iter().find(|member| member.name() == named(row));
        if manifest.is_none_or(|manifest| manifest.arrows() != used) {
            let has = manifest.map(Manifest::arrows);
            problems.push(format!("{}: the page says {used:?}, the manifest {has:?}", named(row)));
        }
        let missing = used.iter().filter(|used| !above.contains(*used));
        problems.extend(missing.map(|used| format!("{} uses {used}, which is not above it", named(row))));
        arrows += used.len();
        above.push(named(row));
    }
    none(&problems);
    assert!(arrows > 0, "no arrow to check");
}

#[test]
fn third_party_dependencies_have_their_reasons() {
    let workspace = workspace();
    let mut used: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    for member in &workspace.members {
        for dependency in member.third_party() {
            let by = if dependency.dev { "tests" } else { member.name() };
            used.entry(&dependency.name).or_default().insert(by);
        }
    }
    let rows = table("Dependencies");
    let listed: BTreeMap<&str, BTreeSet<&str>> =
        rows.iter().map(|row| (named(row), row.names(1).into_iter().collect())).collect();
    assert!(!used.is_empty(), "no dependency to check");
    let mut problems = Vec::new();
    for name in used.keys().chain(listed.keys()).collect::<BTreeSet<_>>() {
        if used.get(name) != listed.get(name) {
            let (page, manifests) = (listed.get(name), used.get(name));
            problems.push(format!("{name}: the page says {page:?}, the manifests {manifests:?}"));
        }
    }
    problems.extend(
        rows.iter().filter(|row| row.cell(2).len() < 10).map(|row| format!("{}: no reason", named(row))),
    );
    none(&problems);
}

fn string_table<'a>(table: &'a Table, path: &[&str]) -> Option<&'a Value> {
    let (first, rest) = path.split_first()?;
    rest.iter().try_fold(table.get(*first)?, |value, key| value.get(*key))
}

#[test]
fn manifests_keep_the_common_rules() {
    let workspace = workspace();
    let forbid = string_table(&workspace.manifest, &["workspace", "lints", "rust", "unsafe_code"]);
    assert_eq!(forbid.and_then(Value::as_str), Some("forbid"), "unsafe code is forbidden in the workspace");
    let mut problems = Vec::new();
    for member in &workspace.members {
        let inherits =
            string_table(&member.table, &["lints", "workspace"]).and_then(Value::as_bool) == Some(true);
        if !inherits && member.name() != "smoke" {
            problems.push(format!("{}: [lints] workspace = true is missing", member.folder));
        }
        let own = member.dependencies.iter().filter(|dependency| !dependency.inherited);
        problems.extend(own.map(|own| format!("{}: {} names a version of its own", member.folder, own.name)));
    }
    let shared = string_table(&workspace.manifest, &["workspace", "dependencies"]).and_then(Value::as_table);
    for name in shared.expect("the root manifest lists dependencies").keys() {
        let used =
            workspace.members.iter().flat_map(|member| &member.dependencies).any(|used| used.name == *name);
        if !used && name != "insta" {
            problems.push(format!("Cargo.toml: nobody uses {name}"));
        }
    }
    none(&problems);
}

/// The sources of the core crates: folder and text.
fn core_sources(workspace: &Workspace) -> Vec<(String, String)> {
    let core: Vec<String> = table("Crates")
        .iter()
        .filter(|row| row.cell(1) == "core")
        .map(|row| format!("crates/{}/src/", named(row)))
        .collect();
    assert!(core.len() >= 7, "only {} core crates", core.len());
    let mut sources = Vec::new();
    for path in workspace.tracked().expect("git lists the files") {
        if path.ends_with(".rs") && core.iter().any(|folder| path.starts_with(folder)) {
            let text = workspace.text(&path).expect("it can be read").expect("Rust is UTF-8");
            sources.push((path, text));
        }
    }
    for folder in core {
        assert!(sources.iter().any(|(path, _)| path.starts_with(&folder)), "{folder}: no source to check");
    }
    sources
}

/// Whether a path names what is forbidden, as a whole or as some of its segments.
fn names(path: &str, forbidden: &str) -> bool {
    path == forbidden || format!("::{path}::").contains(&format!("::{forbidden}::"))
}

fn forbidden_in(source: &str) -> Vec<&'static str> {
    let paths = paths_in(source);
    FORBIDDEN.into_iter().filter(|forbidden| paths.iter().any(|path| names(path, forbidden))).collect()
}

#[test]
fn the_page_lists_what_is_forbidden() {
    let rows = table("Never in the core");
    assert_eq!(
        sorted(rows.iter().flat_map(|row| row.names(0))),
        sorted(FORBIDDEN),
        "page (left) against test (right)"
    );
}

#[test]
fn nothing_forbidden_is_in_the_core() {
    let mut problems = Vec::new();
    for (path, text) in core_sources(&workspace()) {
        // A unit test may panic; what it tests may not.
        let code = text.split("#[cfg(test)]\nmod tests {").next().unwrap_or_default();
        problems.extend(forbidden_in(code).iter().map(|found| format!("{path}: {found}")));
    }
    none(&problems);
}

#[test]
fn each_forbidden_thing_would_be_found() {
    for forbidden in FORBIDDEN {
        assert_eq!(forbidden_in(&format!("fn f() {{ {forbidden}::x(); }}")), [forbidden]);
        assert!(
            forbidden_in(&format!("// {forbidden}\nlet said = \"{forbidden}\";")).is_empty(),
            "{forbidden}"
        );
    }
    assert_eq!(
        forbidden_in("use std::{collections::{BTreeMap, HashMap}, fs::File, time::{Duration, Instant}};"),
        ["std::fs", "Instant", "std::collections::HashMap",]
    );
    assert!(forbidden_in("use std::fmt; use std::time::Duration; format!(\"x\");").is_empty());
}

/// A crate that offers something must be run on wasm too.
#[test]
fn the_wasm_run_covers_the_core() {
    let workspace = workspace();
    let offers = |text: &str| code_only(text).contains("pub fn ");
    let sources = core_sources(&workspace);
    let wanted =
        sources.iter().filter(|(_, text)| offers(text)).filter_map(|(path, _)| path.split('/').nth(1));
    let smoke = workspace.members.iter().find(|member| member.name() == "smoke").expect("there is dev/smoke");
    let missing: Vec<String> = sorted(wanted)
        .into_iter()
        .filter(|name| !smoke.arrows().contains(name))
        .map(|name| format!("dev/smoke doesn't run {name}"))
        .collect();
    none(&missing);
}

#[test]
fn data_is_on_the_page_and_names_its_sources() {
    let workspace = workspace();
    let rows = table("Data");
    let tracked = workspace.tracked().expect("git lists the files");
    let data: Vec<&String> =
        tracked.iter().filter(|path| path.starts_with("data/") || path.starts_with("examples/")).collect();
    let mut problems = Vec::new();
    for row in &rows {
        if !data.iter().any(|path| path.starts_with(named(row))) {
            problems.push(format!("{} is on the page and holds nothing", named(row)));
        }
    }
    for path in data {
        if !rows.iter().any(|row| path.starts_with(named(row))) {
            problems.push(format!("{path} is not on the page"));
        }
        let text = workspace.text(path).expect("it can be read").unwrap_or_default();
        if path.ends_with(".toml") && !sourced(&text) {
            problems.push(format!("{path}: an entry has no source, and nothing says that it is invented"));
        }
    }
    none(&problems);
}

/// Whether a data file names its source, or each of its entries does, or it says that it is invented.
fn sourced(text: &str) -> bool {
    let Ok(table) = text.parse::<Table>() else { return false };
    let has =
        |value: &Value| value.get("source").and_then(Value::as_str).is_some_and(|source| source.len() > 5);
    let entries: Vec<&Value> =
        table.values().filter_map(Value::as_array).flatten().filter(|v| v.is_table()).collect();
    let each = !entries.is_empty() && entries.iter().all(|entry| has(entry));
    each || has(&Value::Table(table.clone())) || text.to_lowercase().contains("invented")
}
