//! Building a circuit: from pieces in the order of the pipe to a circuit file, and back.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use stemwise_circuit::{LINE_KINDS, PART_KINDS, TABLES, VALVE_KINDS, Value};
use stemwise_wire as wire;
use toml::{Table, Value as Toml};

/// What can be chosen, with its keys.
pub fn piece_kinds() -> Vec<wire::PieceKind> {
    let of = |table: &'static str, kinds: &'static [&'static str]| {
        kinds.iter().map(move |kind| entry(table, kind))
    };
    of("part", PART_KINDS).chain(of("line", LINE_KINDS)).chain(of("valve", VALVE_KINDS)).collect()
}

fn entry(table: &str, kind: &str) -> wire::PieceKind {
    let found = TABLES.iter().find(|known| known.name == table);
    let fits = |key: &&stemwise_circuit::Key| {
        (key.kinds.is_empty() || key.kinds.contains(&kind)) && !["kind", "name", "place"].contains(&key.name)
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
    let piece = |table: &str, kind: &str, place: usize| wire::DraftPiece {
        table: table.into(),
        kind: kind.into(),
        place,
        ..wire::DraftPiece::default()
    };
    wire::Draft {
        top: BTreeMap::new(),
        places: vec![wire::DraftPlace::default(), wire::DraftPlace::default()],
        pieces: vec![
            piece("part", "compressor", 0),
            piece("line", "discharge", 0),
            piece("part", "condenser", 0),
            piece("line", "liquid", 0),
            piece("valve", "thermostatic-valve", 0),
            piece("part", "evaporator", 1),
            piece("line", "suction", 0),
        ],
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
        // Keys of a table within: "design.high" becomes `design.high = …`.
        let _ = writeln!(file, "{key} = {}", quoted(typed));
    }
    let places: Vec<String> = ids(draft.places.iter().map(|place| place.name.as_str()), "place");
    for (place, id) in draft.places.iter().zip(&places).filter(|(place, _)| !place.name.trim().is_empty()) {
        let _ = write!(file, "\n[place.{id}]\nname = {}\n", quoted(&place.name));
        write_place(&mut file, place);
    }
    let names =
        draft.pieces.iter().map(|piece| if piece.name.trim().is_empty() { &piece.kind } else { &piece.name });
    let names = ids(names.map(String::as_str), "piece");
    for (piece, id) in draft.pieces.iter().zip(&names) {
        let place = draft.places.get(piece.place).filter(|place| !place.name.trim().is_empty());
        let place = place.and(places.get(piece.place)).filter(|_| piece.table != "valve");
        write_piece(&mut file, piece, id, place.map(String::as_str), &names, &draft.pieces);
    }
    let along: Vec<String> = names.iter().chain(names.first()).map(|id| quoted(id)).collect();
    let _ = write!(file, "\n[[walk]]\nalong = [{}]\n", along.join(", "));
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

fn write_piece(
    file: &mut String,
    piece: &wire::DraftPiece,
    id: &str,
    place: Option<&str>,
    ids: &[String],
    pieces: &[wire::DraftPiece],
) {
    let _ = write!(file, "\n[{}.{id}]\nkind = {}\n", piece.table, quoted(&piece.kind));
    if !piece.name.trim().is_empty() {
        let _ = writeln!(file, "name = {}", quoted(&piece.name));
    }
    if let Some(place) = place {
        let _ = writeln!(file, "place = {}", quoted(place));
    }
    for (key, typed) in typed(&piece.keys) {
        let _ = writeln!(file, "{key} = {}", value(&piece.table, key, typed, ids, pieces));
    }
    if piece.access && piece.table != "valve" {
        let _ = write!(file, "\n[port.{id}-port]\non = {}\n", quoted(id));
    }
}

/// A value as its key wants it: flags and numbers bare, the rest in quotes; another piece is named by its id.
fn value(table: &str, key: &str, typed: &str, ids: &[String], pieces: &[wire::DraftPiece]) -> String {
    let known = TABLES.iter().find(|known| known.name == table);
    let kind = known.and_then(|known| known.keys.iter().find(|known| known.name == key)).map(|key| key.value);
    let bare = match kind {
        Some(Value::Flag) => typed == "true" || typed == "false",
        Some(Value::Number) => typed.parse::<f64>().is_ok_and(f64::is_finite),
        _ => false,
    };
    if bare {
        return typed.into();
    }
    let named = pieces.iter().position(|piece| !piece.name.is_empty() && piece.name == typed);
    let id = named.filter(|_| key == "on").and_then(|at| ids.get(at));
    quoted(id.map_or(typed, String::as_str))
}

/// A TOML string.
fn quoted(text: &str) -> String {
    Toml::String(text.trim().to_owned()).to_string()
}

/// An id for each name: lower case, hyphens, no two alike.
fn ids<'a>(names: impl Iterator<Item = &'a str>, without: &str) -> Vec<String> {
    let mut taken: Vec<String> = Vec::new();
    for name in names {
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
        taken.push(id);
    }
    taken
}

/// A file as a draft, where it is one loop without branches; none where it is more than that.
pub fn draft_of(file: &str) -> Option<wire::Draft> {
    let table: Table = file.parse().ok()?;
    let walks = table.get("walk")?.as_array()?;
    let [walk] = walks.as_slice() else { return None };
    let along: Vec<&str> = walk.get("along")?.as_array()?.iter().filter_map(Toml::as_str).collect();
    let (last, way) = along.split_last()?;
    if way.first() != Some(last) {
        return None;
    }
    let entries = |name: &str| table.get(name).and_then(Toml::as_table).cloned().unwrap_or_default();
    let places = entries("place");
    let place_ids: Vec<&String> = places.keys().collect();
    let ports = entries("port");
    let with_port: Vec<&str> = ports.values().filter_map(|port| port.get("on")?.as_str()).collect();
    let pieces = way.iter().map(|id| {
        let (of, found) =
            ["part", "line", "valve"].into_iter().find_map(|of| Some((of, entries(of).get(*id)?.clone())))?;
        piece(of, &found, &place_ids, with_port.contains(id))
    });
    let draft = wire::Draft {
        top: top(&table),
        places: places.iter().map(place).collect(),
        pieces: pieces.collect::<Option<_>>()?,
    };
    // Only what comes out as it went in may be edited this way.
    let pieces = ["part", "line", "valve"].iter().map(|of| entries(of).len()).sum::<usize>();
    let plain_ports = ports.values().all(|port| port.as_table().is_some_and(|port| port.len() == 1));
    (pieces == draft.pieces.len() && plain_ports).then_some(draft)
}

fn text(value: &Toml) -> String {
    value.as_str().map_or_else(|| value.to_string(), str::to_owned)
}

fn top(table: &Table) -> BTreeMap<String, String> {
    let mut keys = BTreeMap::new();
    for (key, value) in table {
        match value {
            Toml::Table(inner) if ["design", "oil"].contains(&key.as_str()) => {
                keys.extend(inner.iter().map(|(name, value)| (format!("{key}.{name}"), text(value))));
            }
            Toml::Table(_) | Toml::Array(_) => {}
            _ if key == "schema" => {}
            _ => {
                keys.insert(key.clone(), text(value));
            }
        }
    }
    keys
}

fn place((id, found): (&String, &Toml)) -> wire::DraftPlace {
    let typed = |key: &str| found.get(key).map(text).unwrap_or_default();
    let range = found.get("range").and_then(Toml::as_array).cloned().unwrap_or_default();
    let end = |at: usize| range.get(at).map(text).unwrap_or_default();
    let name = typed("name");
    wire::DraftPlace {
        name: if name.is_empty() { id.replace('-', " ") } else { name },
        temperature: typed("temperature"),
        coldest: end(0),
        hottest: end(1),
    }
}

fn piece(of: &str, found: &Toml, places: &[&String], access: bool) -> Option<wire::DraftPiece> {
    let table = found.as_table()?;
    let at = found.get("place").and_then(Toml::as_str);
    let keys = table.iter().filter(|(key, _)| !["kind", "name", "place"].contains(&key.as_str()));
    Some(wire::DraftPiece {
        table: of.into(),
        kind: found.get("kind")?.as_str()?.into(),
        name: found.get("name").map(text).unwrap_or_default(),
        place: at.and_then(|at| places.iter().position(|id| *id == at)).unwrap_or(0),
        keys: keys.map(|(key, value)| (key.clone(), text(value))).collect(),
        access,
    })
}
