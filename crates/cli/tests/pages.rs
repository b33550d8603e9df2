//! The page about the command line says what the command does, both ways.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod support;

use std::collections::BTreeSet;

use support::run;

const PAGE: &str = include_str!("../../../docs/command-line.md");

/// The commands that --help lists.
fn commands() -> Vec<String> {
    let help = run(&["--help"]).out;
    let list = help.split("Commands:\n").nth(1).unwrap().split("\n\n").next().unwrap();
    let names = list.lines().filter(|line| line.starts_with("  ") && !line.starts_with("   "));
    names.map(|line| line.split_whitespace().next().unwrap().to_owned()).collect()
}

/// The long options in a text, from "--name".
fn options(text: &str) -> BTreeSet<String> {
    let names = text
        .split("--")
        .skip(1)
        .map(|rest| rest.chars().take_while(|c| c.is_ascii_lowercase() || *c == '-').collect::<String>());
    names.filter(|name| name.len() > 1 && !name.starts_with('-')).collect()
}

/// The options that a command's --help lists.
fn helped(command: &str) -> BTreeSet<String> {
    let help = run(&[command, "--help"]).out;
    let list = help.split("Options:\n").nth(1).unwrap().split("\n\n").next().unwrap().to_owned();
    let own = list.lines().filter(|line| line.trim_start().starts_with('-'));
    own.flat_map(|line| options(line.split("  ").find(|part| part.contains("--")).unwrap_or(""))).collect()
}

#[test]
fn every_command_and_option_is_on_the_page() {
    let commands = commands();
    assert!(commands.len() >= 9, "{commands:?}");
    let written: Vec<&str> = PAGE.split("\n### ").skip(1).map(|part| part.lines().next().unwrap()).collect();
    assert_eq!(written, commands);
    for (command, part) in commands.iter().zip(PAGE.split("\n### ").skip(1)) {
        let part = part.split("\n## ").next().unwrap();
        let common: BTreeSet<String> = ["json", "units", "help"].map(str::to_owned).into();
        let own: BTreeSet<String> = helped(command).difference(&common).cloned().collect();
        let rows = part.lines().filter(|line| line.starts_with("| `--"));
        let on_page: BTreeSet<String> =
            rows.flat_map(|row| options(row.split(" | ").next().unwrap())).collect();
        assert_eq!(on_page, own, "{command}");
    }
}

#[test]
fn exit_codes_settings_and_variables_are_on_the_page_and_in_the_help() {
    let help = run(&["--help"]).out;
    for (code, words) in [("0", "fine"), ("1", "no safe way"), ("2", "could not be read")] {
        let row = PAGE.lines().find(|line| line.starts_with(&format!("| {code} |"))).unwrap();
        assert!(row.contains(words), "{row}");
        assert!(
            help.lines().any(|line| line.trim_start().starts_with(code) && line.contains(words)),
            "{code}"
        );
    }
    for word in
        ["STEMWISE_UNITS", "STEMWISE_SETTINGS", "XDG_CONFIG_HOME", "settings.toml", "altitude", "barometer"]
    {
        assert!(PAGE.contains(word) && help.contains(word), "{word}");
    }
}

#[test]
fn every_help_teaches_by_example() {
    for command in commands() {
        let help = run(&[&command, "--help"]).out;
        assert!(help.contains("Examples:") && help.contains(&format!("stemwise {command}")), "{command}");
        for line in help.lines() {
            assert!(line.chars().count() <= 100, "{command}: {line}");
        }
    }
}

/// What the first page shows was really printed: each excerpt line by line, in order, from the command it names.
#[test]
fn what_the_first_page_shows_is_what_is_printed() {
    let readme = include_str!("../../../README.md");
    let mut excerpts = 0;
    for block in readme.split("```text\n").skip(1) {
        let block = block.split("```").next().unwrap();
        let command = block.strip_prefix("$ stemwise ").map(|rest| rest.lines().next().unwrap());
        let ran = run(&command.map_or_else(Vec::new, |command| command.split_whitespace().collect()));
        let mut printed = ran.out.lines();
        let shown = block.lines().skip(usize::from(command.is_some()));
        for line in shown.filter(|line| !line.is_empty() && *line != "[…]") {
            assert!(printed.any(|found| found == line), "not printed, or not in this order: {line}");
        }
        excerpts += 1;
    }
    assert_eq!(excerpts, 2);
}

#[test]
fn the_first_pages_diagram_is_what_is_drawn() {
    let drawn = "diagram R-410A --evaporating 5C --condensing 45C --superheat 5K --subcooling 5K --json";
    let ran = run(&drawn.split_whitespace().collect::<Vec<_>>());
    let answer: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    assert!(
        answer["svg"].as_str().unwrap() == include_str!("../../../docs/r-410a.svg"),
        "draw docs/r-410a.svg anew"
    );
}
