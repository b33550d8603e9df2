//! Property requests from standard input, answers to standard output, line by line.

use std::io::{self, BufRead, BufReader, Read, Write};

use stemwise_answer::{Batch, Error, LONGEST_LINE, line_too_long};

use crate::files;

const CHUNK: usize = 256 << 10;

/// Why the stream ended early.
enum Broken {
    Input(io::Error),
    Output(io::Error),
}

/// Answers every line. Fails where the stream itself can't be read.
pub(crate) fn batch() -> Result<(), Error> {
    let input = BufReader::with_capacity(CHUNK, io::stdin().lock());
    match answer_lines(input, io::stdout().lock()) {
        Ok(()) => Ok(()),
        Err(Broken::Input(error)) => Err(files::unreadable("standard input", &error)),
        Err(Broken::Output(error)) => files::allow_closed(&error),
    }
}

/// What is answered is written before more input is waited for, so that a program can hold a conversation with this one.
fn answer_lines<R: Read>(mut input: BufReader<R>, mut output: impl Write) -> Result<(), Broken> {
    let mut batch = Batch::default();
    let (mut line, mut out) = (Vec::new(), Vec::new());
    let mut too_long = false;
    loop {
        if !out.is_empty() && input.buffer().is_empty() {
            output.write_all(&out).and_then(|()| output.flush()).map_err(Broken::Output)?;
            out.clear();
        }
        let chunk = match input.fill_buf() {
            Ok(chunk) => chunk,
            Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
            Err(error) => return Err(Broken::Input(error)),
        };
        let at_end = chunk.is_empty();
        let newline = chunk.iter().position(|&byte| byte == b'\n');
        let part = chunk.get(..newline.unwrap_or(chunk.len())).unwrap_or(chunk);
        if line.len() + part.len() > LONGEST_LINE {
            too_long = true;
            line.clear();
        }
        let whole = line.is_empty() && newline.is_some() && !too_long;
        if whole {
            batch.line(part, &mut out);
        } else if !too_long {
            line.extend_from_slice(part);
        }
        let used = part.len() + usize::from(newline.is_some());
        input.consume(used);
        let ends = newline.is_some() || (at_end && (!line.is_empty() || too_long));
        if ends && !whole {
            if too_long {
                line_too_long(&mut out)
            } else {
                batch.line(&line, &mut out)
            }
            line.clear();
            too_long = false;
        }
        if at_end {
            return output.write_all(&out).and_then(|()| output.flush()).map_err(Broken::Output);
        }
    }
}
