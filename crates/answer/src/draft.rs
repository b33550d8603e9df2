//! Building a circuit: from pieces in the order of the pipe to a circuit file, and back.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use stemwise_circuit::{LINE_KINDS, PART_KINDS, TABLES, VALVE_KINDS, Value};
use stemwise_wire as wire;
use toml::de::DeTable;
use toml::{Table, Value as Toml};

/// What can be chosen, with its keys.
pub fn piece_kinds() -> Vec<wire::PieceKind> {
    let of = |table: &'static str, kinds: &'static [&'static str]| {
        kinds.iter().map(move |kind| entry(table, kind))
    };
    let pieces = of("part", PART_KINDS).chain(of("line", LINE_KINDS)).chain(of("valve", VALVE_KINDS));
    pieces.chain([entry("port", "")]).collect()
}

fn entry(table: &str, kind: &str) -> wire::PieceKind {
    let found = TABLES.iter().find(|known| known.name == table);
    let fits = |key: &&stemwise_circuit::Key| {
        (key.kinds.is_empty() || key.kinds.contains(&kind))
            && !["kind", "name", "place", "on"].contains(&key.name)
    };
    let keys = found.map_or(&[][..], |found| found.keys).iter().filter(fits);
    let words = |value: Value| match value {
        Value::Word(words) => words.iter().map(|&word| word.to_owned()).collect(),
        Value::Flag => vec!["true".to_owned(), "false".to_owned()],
        _ => Vec::new(),
    };
    wire::PieceKind {
        table: table.into(),
        kind: kind.into(),
        sits_on: found.is_some_and(|found| {
            found
                .keys
                .iter()
                .any(|key| key.name == "on" && (key.kinds.is_empty() || key.kinds.contains(&kind)))
        }),
        keys: keys
            .map(|key| wire::PieceKey {
                name: key.name.into(),
                doc: key.doc.into(),
                words: words(key.value),
                required: key.required,
            })
            .collect(),
    }
}

/// The simplest loop, to begin with: what every vapour-compression circuit has.
pub fn first_draft() -> wire::Draft {
    let piece = |(table, kind, place): (&str, &str, usize)| wire::DraftPiece {
        table: table.into(),
        kind: kind.into(),
        place,
        ..wire::DraftPiece::default()
    };
    let pieces = [
        ("part", "compressor", 0),
        ("line", "discharge", 0),
        ("part", "condenser", 0),
        ("line", "liquid", 0),
        ("valve", "thermostatic-valve", 0),
        ("part", "evaporator", 1),
        ("line", "suction", 0),
    ];
    let around = (0..pieces.len()).chain([0]);
    wire::Draft {
        top: BTreeMap::new(),
        places: vec![wire::DraftPlace::default(), wire::DraftPlace::default()],
        pieces: pieces.map(piece).to_vec(),
        ways: vec![around.map(stop).collect()],
    }
}

const fn stop(piece: usize) -> wire::DraftStop {
    wire::DraftStop { piece, side: String::new() }
}

/// A change of a draft's shape.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DraftChange {
    /// A new piece on a way, before the stop of that position.
    Insert {
        /// Which way.
        way: usize,
        /// Where.
        at: usize,
        /// "part", "line" or "valve".
        table: String,
        /// Its kind.
        kind: String,
    },
    /// A new valve or port on a piece.
    PutOn {
        /// The piece.
        piece: usize,
        /// "valve" or "port".
        table: String,
        /// Its kind; empty for a port.
        kind: String,
    },
    /// Takes a piece out, with what sits on it.
    TakeOut {
        /// The piece.
        piece: usize,
    },
    /// A new way from one piece to another.
    Branch {
        /// Where it leaves.
        from: usize,
        /// Where it joins again.
        to: usize,
    },
    /// Takes a way out, with the pieces that are on no other.
    TakeWayOut {
        /// Which.
        way: usize,
    },
}

/// A draft after a change. What does not fit (a piece that isn't there) changes nothing.
///
/// ```
/// use stemwise_answer::{DraftChange, draft_changed, draft_file, first_draft};
/// let draft = draft_changed(first_draft(), &DraftChange::PutOn { piece: 2, table: "valve".into(), kind: "relief-valve".into() });
/// assert!(draft_file(&draft).contains("on = \"condenser\""));
/// let draft = draft_changed(draft, &DraftChange::TakeOut { piece: 2 });
/// assert!(!draft_file(&draft).contains("relief"));
/// ```
pub fn draft_changed(mut draft: wire::Draft, change: &DraftChange) -> wire::Draft {
    let is_there = |piece: usize| piece < draft.pieces.len();
    match change {
        DraftChange::Insert { way, at, table, kind } => {
            let Some(stops) = draft.ways.get_mut(*way) else { return draft };
            let at = (*at).min(stops.len());
            let before = at.checked_sub(1).and_then(|before| draft.pieces.get(stops.get(before)?.piece));
            let place = before.map_or(0, |piece| piece.place);
            stops.insert(at, stop(draft.pieces.len()));
            let (table, kind) = (table.clone(), kind.clone());
            draft.pieces.push(wire::DraftPiece { table, kind, place, ..wire::DraftPiece::default() });
        }
        DraftChange::PutOn { piece, table, kind } if is_there(*piece) => {
            let (table, kind, on) = (table.clone(), kind.clone(), Some(*piece));
            draft.pieces.push(wire::DraftPiece { table, kind, on, ..wire::DraftPiece::default() });
        }
        DraftChange::TakeOut { piece } if is_there(*piece) => take_out(&mut draft, *piece),
        DraftChange::Branch { from, to } if is_there(*from) && is_there(*to) => {
            draft.ways.push(vec![stop(*from), stop(*to)]);
        }
        DraftChange::TakeWayOut { way } if *way < draft.ways.len() => {
            let gone = draft.ways.remove(*way);
            let mut alone: Vec<usize> = gone
                .iter()
                .map(|stop| stop.piece)
                .filter(|piece| !draft.ways.iter().flatten().any(|other| other.piece == *piece))
                .collect();
            alone.sort_unstable();
            alone.dedup();
            for piece in alone.into_iter().rev() {
                take_out(&mut draft, piece);
            }
        }
        _ => {}
    }
    draft
}

fn take_out(draft: &mut wire::Draft, piece: usize) {
    let passed = |at: usize| draft.ways.iter().flatten().any(|stop| stop.piece == at);
    let goes = |at: &usize| {
        *at == piece || draft.pieces.get(*at).is_some_and(|other| other.on == Some(piece) && !passed(*at))
    };
    let all: Vec<usize> = (0..draft.pieces.len()).filter(goes).collect();
    // From the end, so that the positions before stay.
    for gone in all.into_iter().rev() {
        draft.pieces.remove(gone);
        for way in &mut draft.ways {
            let loop_of = way.first().filter(|first| way.len() > 1 && Some(*first) == way.last());
            let opens = loop_of.is_some_and(|first| first.piece == gone);
            way.retain(|stop| stop.piece != gone);
            way.iter_mut().filter(|stop| stop.piece > gone).for_each(|stop| stop.piece -= 1);
            // A loop that began at it begins at the next one.
            way.extend(way.first().filter(|_| opens).cloned());
        }
        for other in &mut draft.pieces {
            other.on = match other.on {
                Some(on) if on == gone => None,
                Some(on) if on > gone => Some(on - 1),
                on => on,
            };
        }
    }
}

/// The circuit file of a draft. What was not typed is left out, so that the check says what is missing.
///
/// ```
/// use stemwise_answer::{check, draft_file, first_draft};
/// let mut draft = first_draft();
/// for (key, value) in [("name", "Ice maker"), ("refrigerant", "R-134a"), ("charge", "0.5 kg"), ("capacity", "1 kW")] {
///     draft.top.insert(key.into(), value.into());
/// }
/// for piece in draft.pieces.iter_mut().filter(|piece| piece.table == "line") {
///     piece.keys.insert("size".into(), "3/8 in".into());
///     piece.keys.insert("length".into(), "2 m".into());
/// }
/// assert!(check(draft_file(&draft).as_bytes()).ok);
/// ```
pub fn draft_file(draft: &wire::Draft) -> String {
    let mut file = String::from("schema = 1\n");
    for (key, typed) in typed(&draft.top) {
        // A key of a table within, such as "design.high", is written as one.
        let _ = writeln!(file, "{key} = {}", bare(None, typed).unwrap_or_else(|| quoted(typed)));
    }
    let named = |place: &&wire::DraftPlace| !place.name.trim().is_empty() || !place.id.is_empty();
    let places = ids(draft.places.iter().map(|place| (place.id.as_str(), place.name.as_str())), "place");
    for (place, id) in draft.places.iter().zip(&places).filter(|(place, _)| named(place)) {
        let _ = write!(file, "\n[place.{id}]\n");
        if !place.name.trim().is_empty() {
            let _ = writeln!(file, "name = {}", quoted(&place.name));
        }
        write_place(&mut file, place);
    }
    let called = |piece: &wire::DraftPiece| match (piece.name.trim(), piece.kind.as_str()) {
        ("", "") => piece.table.clone(),
        ("", kind) => kind.to_owned(),
        (name, _) => name.to_owned(),
    };
    let names: Vec<String> = draft.pieces.iter().map(called).collect();
    let pieces =
        ids(draft.pieces.iter().zip(&names).map(|(piece, name)| (piece.id.as_str(), name.as_str())), "piece");
    for (piece, id) in draft.pieces.iter().zip(&pieces) {
        let place = draft.places.get(piece.place).filter(named).and(places.get(piece.place));
        let place = place.filter(|_| matches!(piece.table.as_str(), "part" | "line"));
        let on = piece.on.and_then(|on| pieces.get(on));
        write_piece(&mut file, piece, id, place.map(String::as_str), on.map(String::as_str));
    }
    for way in &draft.ways {
        let stop = |stop: &wire::DraftStop| {
            let id = pieces.get(stop.piece)?;
            Some(quoted(&if stop.side.is_empty() { id.clone() } else { format!("{id}.{}", stop.side) }))
        };
        let along: Vec<String> = way.iter().filter_map(stop).collect();
        let _ = write!(file, "\n[[walk]]\nalong = [{}]\n", along.join(", "));
    }
    file
}

fn typed(keys: &BTreeMap<String, String>) -> impl Iterator<Item = (&str, &str)> {
    keys.iter().map(|(key, typed)| (key.as_str(), typed.trim())).filter(|(_, typed)| !typed.is_empty())
}

fn write_place(file: &mut String, place: &wire::DraftPlace) {
    let (usual, cold, hot) = (place.temperature.trim(), place.coldest.trim(), place.hottest.trim());
    if !usual.is_empty() {
        let _ = writeln!(file, "temperature = {}", quoted(usual));
    }
    if !cold.is_empty() && !hot.is_empty() {
        let _ = writeln!(file, "range = [{}, {}]", quoted(cold), quoted(hot));
    }
}

fn write_piece(file: &mut String, piece: &wire::DraftPiece, id: &str, place: Option<&str>, on: Option<&str>) {
    let _ = write!(file, "\n[{}.{id}]\n", piece.table);
    let kind = Some(piece.kind.as_str()).filter(|kind| !kind.is_empty());
    let name = Some(piece.name.as_str()).filter(|name| !name.trim().is_empty());
    for (key, text) in [("kind", kind), ("name", name), ("place", place), ("on", on)] {
        if let Some(text) = text {
            let _ = writeln!(file, "{key} = {}", quoted(text));
        }
    }
    for (key, typed) in typed(&piece.keys) {
        let known = TABLES.iter().find(|known| known.name == piece.table);
        let kind = known.and_then(|known| known.keys.iter().find(|known| known.name == key));
        let value = bare(kind.map(|key| key.value), typed).unwrap_or_else(|| quoted(typed));
        let _ = writeln!(file, "{key} = {value}");
    }
}

/// A value that stands in the file without quotes: a flag, a number, a list.
fn bare(kind: Option<Value>, typed: &str) -> Option<String> {
    let is_bare = match kind {
        Some(Value::Flag) => typed == "true" || typed == "false",
        Some(Value::Number) => typed.parse::<f64>().is_ok_and(f64::is_finite),
        _ => typed.starts_with('[') && format!("it = {typed}").parse::<Table>().is_ok(),
    };
    is_bare.then(|| typed.to_owned())
}

/// A TOML string.
fn quoted(text: &str) -> String {
    Toml::String(text.trim().to_owned()).to_string()
}

/// An id for each: the one that it has, or one made from its name, lower case with hyphens; no two alike.
fn ids<'a>(all: impl Iterator<Item = (&'a str, &'a str)> + Clone, without: &str) -> Vec<String> {
    // Ids that stand in the file already stay: procedures name them.
    let mut taken: Vec<String> =
        all.clone().map(|(id, _)| id.to_owned()).filter(|id| !id.is_empty()).collect();
    let mut found = Vec::new();
    for (own, name) in all {
        if !own.is_empty() {
            found.push(own.to_owned());
            continue;
        }
        let plain: String = name
            .trim()
            .to_lowercase()
            .chars()
            .map(|c| if c.is_ascii_alphanumeric() { c } else { '-' })
            .collect();
        let mut id = plain.split('-').filter(|part| !part.is_empty()).collect::<Vec<_>>().join("-");
        if id.is_empty() {
            id = without.into();
        }
        let same = |id: &String| taken.contains(id);
        if same(&id) {
            let free = (2..).map(|n| format!("{id}-{n}")).find(|id| !same(id));
            id = free.unwrap_or(id);
        }
        taken.push(id.clone());
        found.push(id);
    }
    found
}

/// A file as a draft; none where a part of it would be lost on the way back.
///
/// ```
/// use stemwise_answer::{check, draft_file, draft_of, example};
/// let draft = draft_of(example("rack").unwrap()).unwrap();
/// assert!(draft.ways.len() > 4 && check(draft_file(&draft).as_bytes()).ok);
/// ```
pub fn draft_of(file: &str) -> Option<wire::Draft> {
    let table: Table = file.parse().ok()?;
    let written = DeTable::parse(file).ok()?;
    // As they stand in the file: what a circuit is made of keeps that order.
    let entries = |name: &str| {
        let ids = written.get_ref().get(name).and_then(|found| found.get_ref().as_table());
        let mut ids: Vec<(usize, String)> =
            ids.into_iter().flatten().map(|(id, _)| (id.span().start, id.get_ref().to_string())).collect();
        ids.sort_unstable();
        let of = |id: String| Some((id.clone(), table.get(name)?.get(&id)?.clone()));
        ids.into_iter().filter_map(|(_, id)| of(id)).collect::<Vec<(String, Toml)>>()
    };
    let places = entries("place");
    let place_ids: Vec<&String> = places.iter().map(|(id, _)| id).collect();
    let tables = ["part", "line", "valve", "port"];
    let found: Vec<(&str, String, Toml)> = tables
        .into_iter()
        .flat_map(|of| entries(of).into_iter().map(move |(id, entry)| (of, id, entry)))
        .collect();
    let at = |id: &str| found.iter().position(|(_, known, _)| known == id);
    let pieces = found.iter().map(|(of, id, entry)| piece(of, id, entry, &place_ids, &at));
    let way = |walk: &Toml| {
        let along = walk.get("along")?.as_array()?.iter().map(|stop| {
            let stop = stop.as_str()?;
            let (id, side) = stop.split_once('.').unwrap_or((stop, ""));
            Some(wire::DraftStop { piece: at(id)?, side: side.to_owned() })
        });
        along.collect::<Option<Vec<_>>>()
    };
    let walks = table.get("walk").and_then(Toml::as_array).map_or(&[][..], Vec::as_slice);
    let plain = walks.iter().all(|walk| walk.as_table().is_some_and(|walk| walk.len() == 1));
    let draft = wire::Draft {
        top: top(&table)?,
        places: places.iter().map(|(id, found)| place(id, found)).collect(),
        pieces: pieces.collect::<Option<_>>()?,
        ways: walks.iter().map(way).collect::<Option<_>>()?,
    };
    plain.then_some(draft)
}

fn text(value: &Toml) -> String {
    value.as_str().map_or_else(|| value.to_string(), str::to_owned)
}

/// The keys at the top; none where a table lies deeper than a draft can hold.
fn top(table: &Table) -> Option<BTreeMap<String, String>> {
    let mut keys = BTreeMap::new();
    for (key, value) in table {
        match value {
            _ if ["schema", "place", "part", "line", "valve", "port", "walk"].contains(&key.as_str()) => {}
            Toml::Table(inner) => {
                for (name, value) in inner {
                    if value.is_table() {
                        return None;
                    }
                    keys.insert(format!("{key}.{name}"), text(value));
                }
            }
            _ => {
                keys.insert(key.clone(), text(value));
            }
        }
    }
    Some(keys)
}

fn place(id: &str, found: &Toml) -> wire::DraftPlace {
    let typed = |key: &str| found.get(key).map(text).unwrap_or_default();
    let range = found.get("range").and_then(Toml::as_array).cloned().unwrap_or_default();
    let end = |at: usize| range.get(at).map(text).unwrap_or_default();
    wire::DraftPlace {
        id: id.into(),
        name: typed("name"),
        temperature: typed("temperature"),
        coldest: end(0),
        hottest: end(1),
    }
}

fn piece(
    of: &str,
    id: &str,
    found: &Toml,
    places: &[&String],
    at: &impl Fn(&str) -> Option<usize>,
) -> Option<wire::DraftPiece> {
    let table = found.as_table()?;
    let typed = |key: &str| table.get(key).and_then(Toml::as_str);
    let keys = table.iter().filter(|(key, _)| !["kind", "name", "place", "on"].contains(&key.as_str()));
    Some(wire::DraftPiece {
        table: of.into(),
        kind: typed("kind").unwrap_or_default().into(),
        id: id.into(),
        name: typed("name").unwrap_or_default().into(),
        place: typed("place").and_then(|id| places.iter().position(|known| *known == id)).unwrap_or(0),
        on: match typed("on") {
            Some(on) => Some(at(on)?),
            None => None,
        },
        keys: keys.map(|(key, value)| (key.clone(), text(value))).collect(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_example_comes_back_as_the_same_circuit() {
        for entry in crate::examples().examples {
            let file = crate::example(&entry.name).expect("it is there");
            let draft = draft_of(file).unwrap_or_else(|| panic!("{} is no draft", entry.name));
            let back = draft_file(&draft);
            let read = |text: &str| crate::check::circuit(text.as_bytes()).expect("it can be used");
            assert!(read(file) == read(&back), "{} is another circuit", entry.name);
            assert!(draft_of(&back).as_ref() == Some(&draft), "{} is another draft", entry.name);
        }
    }

    #[test]
    fn a_branch_comes_and_goes_and_leaves_the_rest() {
        let first = first_draft();
        let branched = draft_changed(first.clone(), &DraftChange::Branch { from: 3, to: 6 });
        let insert = DraftChange::Insert { way: 1, at: 1, table: "part".into(), kind: "evaporator".into() };
        let filled = draft_changed(branched, &insert);
        assert_eq!(filled.ways.get(1).map(Vec::len), Some(3));
        assert!(draft_file(&filled).contains("along = [\"liquid\", \"evaporator-2\", \"suction\"]"));
        assert_eq!(draft_changed(filled, &DraftChange::TakeWayOut { way: 1 }), first);
        let nothing = DraftChange::TakeOut { piece: 99 };
        assert_eq!(draft_changed(first.clone(), &nothing), first);
    }
}
