//! Places, parts, lines, valves and ports as they stand in the file, read but not yet joined.

use std::collections::BTreeMap;
use std::ops::Range;

use stemwise_units::{
    GaugePressure, Length, ParseError, Power, Pressure, PressureDifference, Temperature,
    TemperatureDifference, Time, Tube, TypedPressure, Volume, parse_fraction,
};

use super::estimate;
use super::keys::{LINE_KINDS, PART_KINDS, STEM_KINDS, VALVE_KINDS};
use super::problem::Problems;
use super::table::{At, Fields, keys_of, nearest, shorten};
use crate::{End, Fitted, Known, Place, PlaceId, Position, SpaceKind, Stem, Wrench};

/// What the top of the file says that elements need.
pub(crate) struct Setting {
    pub(crate) atmosphere: Pressure,
    pub(crate) capacity: Option<Power>,
    pub(crate) high: Option<Known<Pressure>>,
    pub(crate) low: Option<Known<Pressure>>,
    pub(crate) places: Vec<Place>,
}

/// A part or a line.
pub(crate) struct RawSpace {
    pub(crate) id: String,
    pub(crate) at: Range<usize>,
    pub(crate) name: String,
    pub(crate) kind: SpaceKind,
    pub(crate) is_part: bool,
    pub(crate) is_line: bool,
    pub(crate) volume: Option<Known<Volume>>,
    pub(crate) place: PlaceId,
    pub(crate) design: Option<Known<Pressure>>,
    pub(crate) height: Known<Length>,
    pub(crate) approach: Option<Known<TemperatureDifference>>,
    pub(crate) fill_limit: Option<Known<f64>>,
    pub(crate) bore: Option<Length>,
    pub(crate) compressor: Option<RawCompressor>,
}

pub(crate) struct RawCompressor {
    pub(crate) controls: crate::Compressor,
    pub(crate) head_volume: Option<Known<Volume>>,
}

/// A valve or device.
pub(crate) struct RawValve {
    pub(crate) id: String,
    pub(crate) at: Range<usize>,
    pub(crate) name: String,
    pub(crate) kind: &'static str,
    pub(crate) on: Option<At<String>>,
    pub(crate) port: Option<RawValvePort>,
    pub(crate) port_stays_with: Option<End>,
    pub(crate) stem: Option<Stem>,
    pub(crate) energised_opens: bool,
    pub(crate) minimum_opening: PressureDifference,
    pub(crate) manual_opener: bool,
    pub(crate) normally_energised: bool,
    pub(crate) bleed: bool,
    pub(crate) setting: GaugePressure,
}

pub(crate) struct RawValvePort {
    pub(crate) size: String,
    pub(crate) core: bool,
}

/// An access port.
pub(crate) struct RawPort {
    pub(crate) id: String,
    pub(crate) at: Range<usize>,
    pub(crate) name: Option<String>,
    pub(crate) on: At<String>,
    pub(crate) core: bool,
    pub(crate) cap: bool,
    pub(crate) fitted: Fitted,
    pub(crate) size: String,
}

/// A name for people from an id: "liquid-line" becomes "liquid line".
pub(crate) fn spoken(id: &str) -> String {
    id.replace(['-', '_'], " ")
}

pub(crate) fn read_places(top: &Fields<'_>, problems: &mut Problems<'_>) -> Vec<Place> {
    let mut places = Vec::new();
    for (id, fields) in top.tables("place", problems) {
        fields.check(keys_of("place"), None, problems);
        let usual = fields.quantity("temperature", Temperature::parse, problems);
        let range = fields.range("range", Temperature::parse, problems);
        let temperature = match (usual, range) {
            (None, None) => estimate::place_temperature(),
            (Some(usual), None) => estimate::place_range(usual.value),
            (None, Some((low, high))) => {
                let middle = Temperature::from_k(0.5 * (low.as_k() + high.as_k()));
                Known { value: middle, low, high, basis: crate::Basis::Entered }
            }
            (Some(usual), Some((low, high))) => {
                if usual.value < low || usual.value > high {
                    let say = format!("the usual temperature of {} lies outside its range", fields.called);
                    problems.error(&usual.at, "bad-range", say, "widen the range or mend the temperature");
                }
                Known { value: usual.value, low, high, basis: crate::Basis::Entered }
            }
        };
        let name = fields.text("name", problems).map_or_else(|| spoken(&id.value), |name| name.value);
        places.push(Place { id: id.value, name, temperature });
    }
    if places.is_empty() {
        let temperature = estimate::place_temperature();
        places.push(Place { id: "site".into(), name: "site".into(), temperature });
    }
    places
}

fn place_of(fields: &Fields<'_>, setting: &Setting, problems: &mut Problems<'_>) -> PlaceId {
    let Some(named) = fields.text("place", problems) else { return PlaceId(0) };
    if let Some(found) = (0u32..).zip(&setting.places).find(|(_, place)| place.id == named.value) {
        return PlaceId(found.0);
    }
    let known: Vec<&str> = setting.places.iter().map(|place| place.id.as_str()).collect();
    let hint = match nearest(&named.value, &known) {
        Some(near) => format!("did you mean \"{near}\"?"),
        None => format!("add [place.{}], or use one of: {}", shorten(&named.value), known.join(", ")),
    };
    problems.error(
        &named.at,
        "unknown-place",
        format!("there is no place \"{}\"", shorten(&named.value)),
        hint,
    );
    PlaceId(0)
}

/// A typed pressure that can exist, as absolute.
pub(crate) fn absolute(atmosphere: Pressure) -> impl Fn(&str) -> Result<Pressure, ParseError> {
    move |text| TypedPressure::parse(text)?.existing(atmosphere)
}

/// A typed pressure as a gauge at the site shows it.
fn gauge(atmosphere: Pressure) -> impl Fn(&str) -> Result<GaugePressure, ParseError> {
    move |text| Ok(TypedPressure::parse(text)?.existing(atmosphere)?.gauge(atmosphere))
}

pub(crate) fn positive<T: Copy>(
    fields: &Fields<'_>,
    name: &str,
    parse: impl Fn(&str) -> Result<T, ParseError>,
    size: impl Fn(T) -> f64,
    problems: &mut Problems<'_>,
) -> Option<Known<T>> {
    let typed = fields.quantity(name, parse, problems)?;
    if size(typed.value) > 0.0 {
        return Some(Known::entered(typed.value));
    }
    not_positive(fields, name, &typed.at, problems);
    None
}

fn not_positive(fields: &Fields<'_>, name: &str, at: &Range<usize>, problems: &mut Problems<'_>) {
    let say = format!("\"{name}\" of {} is nothing or less", fields.called);
    problems.error(at, "not-positive", say, "give a value above 0, or leave it out");
}

const fn part_kind(word: &str) -> SpaceKind {
    match word.as_bytes() {
        b"compressor" => SpaceKind::CompressorShell,
        b"condenser" => SpaceKind::Condenser,
        b"evaporator" => SpaceKind::Evaporator,
        b"reversible-coil" => SpaceKind::ReversibleCoil,
        b"receiver" => SpaceKind::Receiver,
        b"accumulator" => SpaceKind::Accumulator,
        b"drier" => SpaceKind::Drier,
        b"oil-separator" => SpaceKind::OilSeparator,
        b"sight-glass" => SpaceKind::LiquidLine,
        _ => SpaceKind::Vessel,
    }
}

const fn line_kind(word: &str) -> SpaceKind {
    match word.as_bytes() {
        b"discharge" => SpaceKind::DischargeLine,
        b"distributor" => SpaceKind::DistributorLine,
        b"suction" => SpaceKind::SuctionLine,
        b"reversible" => SpaceKind::ReversibleLine,
        _ => SpaceKind::LiquidLine,
    }
}

/// The side whose design pressure a kind of space is built for.
const fn is_low_side(kind: SpaceKind) -> bool {
    matches!(
        kind,
        SpaceKind::CompressorShell
            | SpaceKind::Evaporator
            | SpaceKind::Accumulator
            | SpaceKind::SuctionLine
            | SpaceKind::DistributorLine
    )
}

pub(crate) fn read_part(
    id: At<String>,
    fields: &Fields<'_>,
    setting: &Setting,
    problems: &mut Problems<'_>,
) -> Option<RawSpace> {
    let word = fields.word("kind", PART_KINDS, problems);
    fields.check(keys_of("part"), word.as_ref().map(|word| word.value), problems);
    let word = word?.value;
    let mut space = read_space(id, fields, part_kind(word), setting, problems);
    space.is_part = word != "sight-glass";
    let entered = positive(fields, "volume", Volume::parse, Volume::as_m3, problems);
    space.volume = entered.or_else(|| match word {
        "sight-glass" => Some(estimate::sight_glass()),
        _ => estimate::volume(space.kind, setting.capacity),
    });
    if space.volume.is_none() && !fields.has("volume") {
        let say = format!("{} has no volume, and there is nothing to estimate it from", fields.called);
        problems.error(
            &fields.at,
            "missing-volume",
            say,
            "give its volume, or the system's capacity at the top of the file",
        );
    }
    let approach =
        positive(fields, "approach", TemperatureDifference::parse, TemperatureDifference::as_k, problems);
    space.approach = approach.or_else(|| estimate::approach(space.kind));
    space.fill_limit = positive(fields, "fill-limit", parse_fraction, |limit| limit, problems);
    if space.fill_limit.is_none() && space.kind == SpaceKind::Receiver {
        space.fill_limit = Some(estimate::fill_limit());
    }
    if word == "compressor" {
        space.compressor = Some(read_compressor(fields, setting, problems));
    }
    Some(space)
}

fn read_compressor(fields: &Fields<'_>, setting: &Setting, problems: &mut Problems<'_>) -> RawCompressor {
    let mut cut_out =
        |name| fields.quantity(name, gauge(setting.atmosphere), problems).map(|typed| typed.value);
    let (low_cut_out, high_cut_out) = (cut_out("low-cut-out"), cut_out("high-cut-out"));
    let controls = crate::Compressor {
        normally_running: fields.flag("runs", true, problems),
        low_cut_out,
        high_cut_out,
        leaks_back: fields.flag("leaks-back", true, problems),
        motor_in_refrigerant: fields.flag("hermetic", true, problems),
        crankcase_heater: positive(fields, "crankcase-heater", Power::parse, Power::as_w, problems)
            .map(|heater| heater.value),
        restart_delay: positive(fields, "restart-delay", Time::parse, Time::as_s, problems)
            .map(|delay| delay.value),
    };
    let head_volume = positive(fields, "head-volume", Volume::parse, Volume::as_m3, problems);
    RawCompressor { controls, head_volume }
}

fn read_space(
    id: At<String>,
    fields: &Fields<'_>,
    kind: SpaceKind,
    setting: &Setting,
    problems: &mut Problems<'_>,
) -> RawSpace {
    let own = fields
        .quantity("design", absolute(setting.atmosphere), problems)
        .map(|design| Known::entered(design.value));
    let side = if is_low_side(kind) { setting.low } else { setting.high };
    let height = fields.quantity("height", Length::parse, problems);
    RawSpace {
        name: fields.text("name", problems).map_or_else(|| spoken(&id.value), |name| name.value),
        id: id.value,
        at: id.at,
        kind,
        is_part: false,
        is_line: false,
        volume: None,
        place: place_of(fields, setting, problems),
        design: own.or(side),
        height: height.map_or_else(|| estimate::height(kind), |height| Known::entered(height.value)),
        approach: None,
        fill_limit: None,
        bore: None,
        compressor: None,
    }
}

pub(crate) fn read_line(
    id: At<String>,
    fields: &Fields<'_>,
    setting: &Setting,
    problems: &mut Problems<'_>,
) -> Option<RawSpace> {
    let word = fields.word("kind", LINE_KINDS, problems);
    fields.check(keys_of("line"), word.as_ref().map(|word| word.value), problems);
    let mut space = read_space(id, fields, line_kind(word?.value), setting, problems);
    space.is_line = true;
    let tube = fields.quantity("size", Tube::parse, problems);
    let length = positive(fields, "length", Length::parse, Length::as_m, problems);
    space.bore = tube.as_ref().map(|tube| tube.value.bore());
    let volume = positive(fields, "volume", Volume::parse, Volume::as_m3, problems);
    space.volume = match (volume, tube, length) {
        (Some(volume), _, _) => Some(volume),
        (None, Some(tube), Some(length)) => {
            Some(Known::computed(tube.value.volume(length.value), "size and length of the tube"))
        }
        _ => None,
    };
    // What was given and could not be read has a problem of its own already.
    let given = fields.has("volume") || (fields.has("size") && fields.has("length"));
    if space.volume.is_none() && !given {
        let say = format!("{} has no volume", fields.called);
        problems.error(&fields.at, "missing-volume", say, "give its size and length, or its volume");
    }
    Some(space)
}

pub(crate) fn read_valve(
    id: At<String>,
    fields: &Fields<'_>,
    setting: &Setting,
    problems: &mut Problems<'_>,
) -> Option<RawValve> {
    let word = fields.word("kind", VALVE_KINDS, problems);
    fields.check(keys_of("valve"), word.as_ref().map(|word| word.value), problems);
    let kind = word?.value;
    let parse_gauge = gauge(setting.atmosphere);
    let typed = fields.quantity("setting", parse_gauge, problems);
    let stays = fields.word("port-stays-with", &["line", "body"], problems);
    let opens = fields.word("opens", &["energised", "de-energised"], problems);
    let minimum =
        positive(fields, "minimum-opening", PressureDifference::parse, PressureDifference::as_pa, problems);
    Some(RawValve {
        name: fields.text("name", problems).map_or_else(|| spoken(&id.value), |name| name.value),
        id: id.value,
        at: id.at,
        kind,
        on: fields.text("on", problems),
        port: read_valve_port(kind, fields, problems),
        port_stays_with: stays.map(|word| if word.value == "line" { End::Line } else { End::Body }),
        stem: if STEM_KINDS.contains(&kind) { read_stem(kind, fields, problems) } else { None },
        energised_opens: opens.is_none_or(|word| word.value == "energised"),
        minimum_opening: minimum.map_or(PressureDifference::from_pa(0.0), |typed| typed.value),
        manual_opener: fields.flag("manual-opener", false, problems),
        normally_energised: fields.flag("normally-energised", true, problems),
        bleed: fields.flag("bleed", false, problems),
        setting: typed.map_or(GaugePressure::from_pa(0.0), |typed| typed.value),
    })
}

fn read_valve_port(kind: &str, fields: &Fields<'_>, problems: &mut Problems<'_>) -> Option<RawValvePort> {
    if kind != "service-valve" && kind != "line-set-valve" {
        return None;
    }
    let size = fields.text("port", problems).map_or_else(|| "1/4 in flare".to_owned(), |port| port.value);
    let core = fields.flag("port-core", kind == "line-set-valve", problems);
    (size != "none").then_some(RawValvePort { size, core })
}

fn read_stem(kind: &str, fields: &Fields<'_>, problems: &mut Problems<'_>) -> Option<Stem> {
    let three = kind == "service-valve";
    let words: &[&'static str] =
        if three { &["back-seated", "cracked", "mid-seated", "front-seated"] } else { &["open", "shut"] };
    let normal = fields.word("normal", words, problems).and_then(|word| position_of(word.value));
    let wrench =
        fields.word("wrench", &["square", "hex-key", "hand"], problems).map(|word| match word.value {
            "square" => Wrench::Square,
            "hex-key" => Wrench::HexKey,
            _ => Wrench::Hand,
        });
    let turns = fields.number("turns", problems);
    if let Some(turns) = turns.as_ref().filter(|turns| turns.value <= 0.0) {
        not_positive(fields, "turns", &turns.at, problems);
    }
    let turns = turns.map_or_else(|| estimate::turns(kind), |turns| Known::entered(turns.value));
    if !fields.flag("reachable", true, problems) {
        let say = format!("nobody can get at the stem of {}", fields.called);
        problems.warning(
            &fields.at,
            "stem-out-of-reach",
            say,
            "no plan will turn it; it is reckoned as fixed where it stands",
        );
        return None;
    }
    Some(Stem {
        normal: normal.unwrap_or(if three { Position::BackSeated } else { Position::Open }),
        packing_nut: fields.flag("packing-nut", three || kind == "hand-valve", problems),
        cap: fields.flag("cap", kind != "hand-valve", problems),
        wrench: wrench.unwrap_or(match kind {
            "line-set-valve" => Wrench::HexKey,
            "hand-valve" | "ball-valve" => Wrench::Hand,
            _ => Wrench::Square,
        }),
        turns,
    })
}

/// A position by its word.
pub(crate) fn position_of(word: &str) -> Option<Position> {
    Some(match word {
        "back-seated" => Position::BackSeated,
        "cracked" => Position::Cracked,
        "mid-seated" => Position::MidSeated,
        "front-seated" => Position::FrontSeated,
        "open" => Position::Open,
        "shut" => Position::Shut,
        _ => return None,
    })
}

pub(crate) fn read_port(id: At<String>, fields: &Fields<'_>, problems: &mut Problems<'_>) -> Option<RawPort> {
    fields.check(keys_of("port"), None, problems);
    let fitted = fields
        .word("fitted", &["factory", "brazed", "piercing"], problems)
        .map_or("factory", |word| word.value);
    let port = RawPort {
        name: fields.text("name", problems).map(|name| name.value),
        on: fields.text("on", problems)?,
        core: fields.flag("core", fitted != "piercing", problems),
        cap: fields.flag("cap", true, problems),
        fitted: match fitted {
            "brazed" => Fitted::Brazed,
            "piercing" => Fitted::Piercing,
            _ => Fitted::Factory,
        },
        size: fields.text("size", problems).map_or_else(|| "1/4 in flare".to_owned(), |size| size.value),
        id: id.value,
        at: id.at,
    };
    if port.fitted == Fitted::Piercing {
        let say = format!("{} is a piercing valve that is still on", fields.called);
        problems.warning(
            &port.at,
            "piercing-valve",
            say,
            "it is temporary and may leak: replace it by a brazed one at the next opening",
        );
    }
    Some(port)
}

/// Refuses a second use of an id.
pub(crate) fn note_id<'a>(
    seen: &mut BTreeMap<&'a str, &'static str>,
    id: &'a str,
    what: &'static str,
    at: &Range<usize>,
    problems: &mut Problems<'_>,
) {
    if id.is_empty() || id.contains('.') || id.len() > 60 {
        let say = format!("\"{}\" can't be a name", shorten(id));
        problems.error(at, "bad-name", say, "use letters, digits and hyphens, at most 60");
    }
    if let Some(other) = seen.insert(id, what) {
        let say = format!("\"{}\" names a {other} and a {what}", shorten(id));
        problems.error(at, "duplicate-name", say, "give every part, line, valve and port a name of its own");
    }
}
