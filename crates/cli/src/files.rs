//! Reading circuits and writing answers.

use std::fs::File;
use std::io::{self, ErrorKind, Read, Write};
use std::path::Path;

use stemwise_answer::{Error, example};
use stemwise_pdf::{Sheet, pdf};

/// Nothing larger is read; the reader of circuit files says what is too large long before.
const MOST: u64 = 64 << 20;

/// The bytes of a circuit: a path, "-" for standard input, or example:NAME.
pub(crate) fn circuit(named: &str) -> Result<Vec<u8>, Error> {
    if let Some(name) = named.strip_prefix("example:") {
        return example(name).map(|text| text.as_bytes().to_vec());
    }
    file(named).map_err(|error| match error {
        Error::Unreadable { what, why } => Error::NoCircuit { what, why },
        other => other,
    })
}

/// The bytes of a file: a path, or "-" for standard input.
pub(crate) fn file(named: &str) -> Result<Vec<u8>, Error> {
    let (what, read) = match named {
        "-" => ("standard input", bytes(io::stdin().lock())),
        path => (path, File::open(path).and_then(bytes)),
    };
    read.map_err(|error| unreadable(what, &error))
}

fn bytes(from: impl Read) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    from.take(MOST).read_to_end(&mut bytes)?;
    Ok(bytes)
}

pub(crate) fn unreadable(what: &str, error: &io::Error) -> Error {
    let why = match error.kind() {
        ErrorKind::IsADirectory => "it is a folder; name a file in it".into(),
        _ => error.to_string(),
    };
    Error::Unreadable { what: what.into(), why }
}

/// Prints to standard output. A reader that has seen enough and closed the pipe is no failure.
pub(crate) fn print(text: &str) -> Result<(), Error> {
    let mut out = io::stdout().lock();
    let written = out.write_all(text.as_bytes()).and_then(|()| out.flush());
    written.or_else(|error| allow_closed(&error))
}

/// Nothing for a closed pipe; an error otherwise.
pub(crate) fn allow_closed(error: &io::Error) -> Result<(), Error> {
    if error.kind() == ErrorKind::BrokenPipe {
        return Ok(());
    }
    Err(Error::Unwritable { what: "standard output".into(), why: error.to_string() })
}

/// Writes a page to a new file, as a PDF where its name ends so.
pub(crate) fn write_page(path: &str, html: &str, paper: Option<&str>) -> Result<(), Error> {
    if !Path::new(path).extension().is_some_and(|it| it.eq_ignore_ascii_case("pdf")) {
        return write_new(path, html);
    }
    let letter = paper.is_some_and(|paper| paper.trim().eq_ignore_ascii_case("letter"));
    let file = pdf(html, if letter { Sheet::Letter } else { Sheet::A4 });
    let file = file.map_err(|error| Error::Unwritable { what: path.into(), why: error.to_string() })?;
    write_new(path, file)
}

/// Writes a new file; one that exists is left alone.
pub(crate) fn write_new(path: &str, bytes: impl AsRef<[u8]>) -> Result<(), Error> {
    let written = File::create_new(path).and_then(|mut file| file.write_all(bytes.as_ref()));
    written.map_err(|error| Error::Unwritable { what: path.into(), why: error.to_string() })
}
