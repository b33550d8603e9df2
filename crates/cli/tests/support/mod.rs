//! Runs the command and looks at what comes out.
#![allow(dead_code, reason = "each test file uses a part of it")]

use std::io::Write;
use std::process::{Command, Stdio};

/// What a run gave.
pub(crate) struct Ran {
    pub(crate) code: i32,
    pub(crate) out: String,
    pub(crate) err: String,
}

/// The command with no settings of whoever runs the tests.
pub(crate) fn command(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_stemwise"));
    command.args(arguments).env_remove("STEMWISE_UNITS").env_remove("STEMWISE_SETTINGS");
    command.env("XDG_CONFIG_HOME", env!("CARGO_TARGET_TMPDIR")).env("HOME", env!("CARGO_TARGET_TMPDIR"));
    command
}

pub(crate) fn run_command(mut command: Command, input: &[u8]) -> Ran {
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().unwrap();
    let mut stdin = child.stdin.take().unwrap();
    let input = input.to_vec();
    let writer = std::thread::spawn(move || {
        // A command that does not read its input may have ended already.
        let _ = stdin.write_all(&input);
    });
    let output = child.wait_with_output().unwrap();
    writer.join().unwrap();
    Ran {
        code: output.status.code().unwrap(),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

pub(crate) fn run(arguments: &[&str]) -> Ran {
    run_command(command(arguments), b"")
}

pub(crate) fn run_with(arguments: &[&str], input: &[u8]) -> Ran {
    run_command(command(arguments), input)
}

/// Runs, expects an exit code, and finds all of these in what was printed; nothing is on the other stream.
pub(crate) fn check(arguments: &[&str], code: i32, says: &[&str]) -> Ran {
    let ran = run(arguments);
    let (said, other) =
        if code == 0 || ran.err.is_empty() { (&ran.out, &ran.err) } else { (&ran.err, &ran.out) };
    assert_eq!(ran.code, code, "{arguments:?}: {} {}", ran.out, ran.err);
    assert!(other.is_empty(), "{arguments:?}: {other}");
    let plain = said.split_whitespace().collect::<Vec<_>>().join(" ");
    for part in says {
        assert!(plain.contains(part), "{arguments:?} does not say {part:?}: {said}");
    }
    ran
}

/// The JSON that a run printed, which must be of a shape: read and written again it is the same.
pub(crate) fn shape<T: serde::de::DeserializeOwned + serde::Serialize>(ran: &Ran) -> T {
    assert_eq!(ran.out.lines().count(), 1, "{}", ran.out);
    let value: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    let answer: T = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(serde_json::to_value(&answer).unwrap(), value, "a field is not in the shape");
    answer
}
