//! Builds the graph from what was read.

use std::collections::{BTreeMap, BTreeSet};

use stemwise_thermo::Substance;
use stemwise_units::{Length, Mass, Power, Pressure, Temperature, TypedPressure, Volume, atmosphere_at};

use super::SCHEMA;
use super::element::{
    RawPort, RawSpace, RawValve, Setting, absolute, note_id, positive, read_line, read_part, read_places,
    read_port, read_valve, spoken,
};
use super::estimate;
use super::problem::Problems;
use super::sense::{check_design, check_sense};
use super::table::{At, Fields, keys_of, nearest, shorten};
use super::walk::{Joined, Terminal, ValveEnds, walk, walk_too_short};
use crate::{
    Circuit, End, Fitted, Graph, Joint, JointId, JointKind, Known, LineSet, Metering, Mode, Oil, Port,
    PortId, PortOn, Position, Regulator, Space, SpaceId, SpaceKind, Stem, Wrench,
};

/// Design pressures that are not in the file: saturation at these temperatures, °C.
const DESIGN_HIGH_CELSIUS: f64 = 55.0;
const DESIGN_LOW_CELSIUS: f64 = 43.0;

struct Elements {
    spaces: Vec<RawSpace>,
    valves: Vec<RawValve>,
    ports: Vec<RawPort>,
    /// Those that could not be read: each has its problem already, and what names them is not at fault.
    unread: BTreeSet<String>,
}

impl Elements {
    /// The circuit's volume, m³; 0 where one is missing, which is a problem already and no ground to doubt the charge.
    fn volume(&self, graph: &Graph) -> f64 {
        let complete = self.unread.is_empty() && self.spaces.iter().all(|space| space.volume.is_some());
        if complete { graph.spaces.iter().map(|space| space.volume.value.as_m3()).sum() } else { 0.0 }
    }
}

pub(crate) fn circuit(top: &Fields<'_>, problems: &mut Problems<'_>) -> Option<Circuit> {
    top.check(keys_of(""), None, problems);
    check_schema(top, problems);
    let substance = substance(top, problems);
    let substance = substance.as_ref();
    let altitude = top.quantity("altitude", Length::parse, problems);
    let atmosphere = atmosphere(top, altitude.as_ref(), problems);
    let (high, low) = design(top, atmosphere, substance, problems);
    let capacity = top.quantity("capacity", Power::parse, problems).map(|typed| typed.value);
    let setting = Setting { atmosphere, capacity, high, low, places: read_places(top, problems) };
    let elements = read_elements(top, &setting, problems);
    let walks: Vec<Vec<At<String>>> = top
        .list("walk", problems)
        .iter()
        .filter_map(|fields| {
            fields.check(keys_of("walk"), None, problems);
            let names = fields.names("along", problems)?;
            if names.is_empty() {
                walk_too_short(&fields.at, problems);
            }
            Some(names)
        })
        .collect();
    let joined = walk(&elements.spaces, &elements.valves, &elements.unread, &walks, problems);
    let (graph, sight_glasses) = Builder::new(&elements, &joined, high).build(problems);
    let oil = top.table("oil", problems).and_then(|fields| {
        fields.check(keys_of("oil"), None, problems);
        let mass = fields.quantity("mass", Mass::parse, problems).map(|typed| typed.value);
        Some(Oil { kind: fields.text("kind", problems)?.value, mass })
    });
    let line_set = line_set(top, problems);
    let name = top.text("name", problems);
    let typed = top.quantity("charge", Mass::parse, problems);
    let charge = charge(typed, elements.volume(&graph), substance?, &setting, problems)?;
    check_design(&graph, substance?, &setting, top, problems);
    if joined.is_whole {
        let spaces = elements.spaces.iter().map(|raw| (raw.id.as_str(), raw.at.clone()));
        let valves = elements.valves.iter().map(|raw| (raw.id.as_str(), raw.at.clone()));
        check_sense(&graph, atmosphere, &spaces.chain(valves).collect(), problems);
    }
    Some(Circuit {
        name: name?.value,
        note: top.text("note", problems).map(|note| note.value),
        refrigerant: substance?.name(),
        charge,
        capacity,
        line_set,
        oil,
        altitude: altitude.map_or(Length::from_m(0.0), |typed| typed.value),
        atmosphere,
        places: setting.places,
        graph,
        sight_glasses,
    })
}

/// An allowance stands for each metre where no other length is named.
fn line_set(top: &Fields<'_>, problems: &mut Problems<'_>) -> Option<LineSet> {
    let fields = top.table("line-set", problems)?;
    fields.check(keys_of("line-set"), None, problems);
    let length = positive(&fields, "length", Length::parse, Length::as_m, problems);
    let covers = positive(&fields, "covers", Length::parse, Length::as_m, problems);
    let allowance = positive(&fields, "allowance", Mass::parse, Mass::as_kg, problems);
    let per = positive(&fields, "per", Length::parse, Length::as_m, problems);
    let per = per.map_or(Length::from_m(1.0), |per| per.value);
    let allowance = allowance.map(|allowance| (allowance.value, per));
    Some(LineSet { length: length?.value, covers: covers?.value, allowance })
}

fn check_schema(top: &Fields<'_>, problems: &mut Problems<'_>) {
    if let Some(schema) = top.number("schema", problems)
        && (schema.value - f64::from(SCHEMA)).abs() > 1e-9
    {
        let say = format!("the file says schema {}; this program reads schema {SCHEMA}", schema.value);
        problems.error(
            &schema.at,
            "unknown-schema",
            say,
            "is there a newer program? otherwise write schema = 1",
        );
    }
}

fn substance(top: &Fields<'_>, problems: &mut Problems<'_>) -> Option<Substance> {
    let named = top.text("refrigerant", problems)?;
    match Substance::named(&named.value) {
        Ok(substance) => Some(substance),
        Err(error) => {
            let hint = "write its number, like \"R-134a\" or \"R-410A\", or a blend's components with their parts by mass, like \"R-32/R-125 50/50\"";
            problems.error(&named.at, "unknown-refrigerant", error.to_string(), hint);
            None
        }
    }
}

fn atmosphere(top: &Fields<'_>, altitude: Option<&At<Length>>, problems: &mut Problems<'_>) -> Pressure {
    let sea_level = Pressure::from_pa(101_325.0);
    if let Some(typed) = top.quantity("barometer", TypedPressure::parse, problems) {
        match typed.value {
            TypedPressure::Absolute(pressure) if (20e3..120e3).contains(&pressure.as_pa()) => {
                return pressure;
            }
            _ => problems.error(
                &typed.at,
                "bad-barometer",
                "a barometer shows an absolute pressure between 200 and 1200 mbar",
                "write it like \"1013 mbar abs\" or \"29.9 inHg abs\", or give the altitude instead",
            ),
        }
    }
    let Some(altitude) = altitude else { return sea_level };
    atmosphere_at(altitude.value).unwrap_or_else(|error| {
        problems.error(
            &altitude.at,
            "bad-altitude",
            error.to_string(),
            "give the site's height above the sea",
        );
        sea_level
    })
}

type Sides = (Option<Known<Pressure>>, Option<Known<Pressure>>);

fn design(
    top: &Fields<'_>,
    atmosphere: Pressure,
    substance: Option<&Substance>,
    problems: &mut Problems<'_>,
) -> Sides {
    let fields = top.table("design", problems);
    if let Some(fields) = &fields {
        fields.check(keys_of("design"), None, problems);
    }
    let mut side = |key: &str, celsius: f64, rule| {
        let typed = fields.as_ref().and_then(|fields| fields.quantity(key, absolute(atmosphere), problems));
        typed.map(|typed| Known::entered(typed.value)).or_else(|| {
            let saturation = substance?.saturation_at(Temperature::from_celsius(celsius)).ok()?;
            let found = saturation.bubble.pressure();
            let most = Pressure::from_pa(found.as_pa() * 1.5);
            Some(Known::estimated(found, found, most, rule))
        })
    };
    (
        side(
            "high",
            DESIGN_HIGH_CELSIUS,
            "design pressure, high side: at least saturation at 55 °C (common practice)",
        ),
        side(
            "low",
            DESIGN_LOW_CELSIUS,
            "design pressure, low side: at least saturation at 43 °C (common practice)",
        ),
    )
}

fn read_elements(top: &Fields<'_>, setting: &Setting, problems: &mut Problems<'_>) -> Elements {
    let parts = top.tables("part", problems);
    let lines = top.tables("line", problems);
    let valves = top.tables("valve", problems);
    let all = parts.iter().chain(&lines).chain(&valves).map(|(id, _)| id.value.clone());
    let mut unread: BTreeSet<String> = all.collect();
    let mut spaces: Vec<RawSpace> =
        parts.into_iter().filter_map(|(id, fields)| read_part(id, &fields, setting, problems)).collect();
    spaces.extend(lines.into_iter().filter_map(|(id, fields)| read_line(id, &fields, setting, problems)));
    let valves: Vec<RawValve> =
        valves.into_iter().filter_map(|(id, fields)| read_valve(id, &fields, setting, problems)).collect();
    let ports = top.tables("port", problems);
    let ports: Vec<RawPort> =
        ports.into_iter().filter_map(|(id, fields)| read_port(id, &fields, problems)).collect();
    let mut seen = BTreeMap::new();
    for space in &spaces {
        note_id(&mut seen, &space.id, if space.is_line { "line" } else { "part" }, &space.at, problems);
    }
    for valve in &valves {
        note_id(&mut seen, &valve.id, "valve", &valve.at, problems);
    }
    for port in &ports {
        note_id(&mut seen, &port.id, "port", &port.at, problems);
    }
    for id in spaces.iter().map(|space| &space.id).chain(valves.iter().map(|valve| &valve.id)) {
        unread.remove(id);
    }
    Elements { spaces, valves, ports, unread }
}

struct Builder<'e> {
    elements: &'e Elements,
    joined: &'e Joined,
    graph: Graph,
    space_ids: Vec<SpaceId>,
    head_ids: BTreeMap<usize, SpaceId>,
    stub_ids: Vec<SpaceId>,
    atmosphere: Option<SpaceId>,
    /// The high side's design pressure, for the discharge sides of compressors.
    high: Option<Known<Pressure>>,
}

impl<'e> Builder<'e> {
    fn new(elements: &'e Elements, joined: &'e Joined, high: Option<Known<Pressure>>) -> Self {
        Self {
            elements,
            joined,
            graph: Graph::default(),
            space_ids: Vec::new(),
            head_ids: BTreeMap::new(),
            stub_ids: Vec::new(),
            atmosphere: None,
            high,
        }
    }

    /// The graph, and which of its spaces are sight glasses.
    fn build(mut self, problems: &mut Problems<'_>) -> (Graph, Vec<SpaceId>) {
        for (at, raw) in self.elements.spaces.iter().enumerate() {
            self.add_space(at, raw);
        }
        for id in &self.joined.stubs {
            self.add_stub(id.clone(), spoken(id));
        }
        for &(from, to) in &self.joined.pipes {
            if let (Some(a), Some(b)) = (self.terminal(from), self.terminal(to)) {
                let id = format!("pipe-{}", self.graph.joints.len());
                self.graph.joints.push(Joint {
                    name: spoken(&id),
                    id,
                    kind: JointKind::Pipe,
                    a,
                    b,
                    stem: None,
                });
            }
        }
        for (valve, ends) in self.elements.valves.iter().zip(&self.joined.ends) {
            self.add_valve(valve, ends, problems);
        }
        for port in &self.elements.ports {
            self.add_port(port, problems);
        }
        self.lift_condensate_lines();
        self.fill_stubs();
        if self.joined.is_whole {
            self.check_one_circuit(problems);
        }
        let glasses = self.space_ids.iter().zip(&self.elements.spaces);
        let glasses = glasses.filter(|(_, raw)| !raw.is_part && !raw.is_line).map(|(id, _)| *id).collect();
        (self.graph, glasses)
    }

    fn push(&mut self, space: Space) -> SpaceId {
        let at = SpaceId(u32::try_from(self.graph.spaces.len()).unwrap_or(u32::MAX));
        self.graph.spaces.push(space);
        at
    }

    fn add_stub(&mut self, id: String, name: String) -> SpaceId {
        let stub = self.push(Space {
            id,
            name,
            kind: SpaceKind::Stub,
            volume: estimate::volume(SpaceKind::Stub, None).unwrap_or(Known::entered(Volume::from_m3(0.0))),
            place: Some(crate::PlaceId(0)),
            design: None,
            height: estimate::height(SpaceKind::Stub),
            approach: None,
            fill_limit: None,
            bore: None,
        });
        self.stub_ids.push(stub);
        stub
    }

    fn add_space(&mut self, at: usize, raw: &RawSpace) {
        let volume = raw.volume.unwrap_or(Known::entered(Volume::from_m3(0.0)));
        let space = Space {
            id: raw.id.clone(),
            name: raw.name.clone(),
            kind: raw.kind,
            volume,
            place: Some(raw.place),
            design: raw.design,
            height: raw.height,
            approach: raw.approach,
            fill_limit: raw.fill_limit,
            bore: raw.bore,
        };
        let shell = self.push(space.clone());
        self.space_ids.push(shell);
        if let Some(compressor) = &raw.compressor {
            let head = self.push(Space {
                id: format!("{}-head", raw.id),
                name: format!("{}'s discharge side", raw.name),
                kind: SpaceKind::CompressorHead,
                volume: compressor.head_volume.unwrap_or_else(|| estimate::head(&volume)),
                height: estimate::height(SpaceKind::CompressorHead),
                design: self.high.or(space.design),
                bore: None,
                ..space
            });
            self.head_ids.insert(at, head);
            self.graph.joints.push(Joint {
                id: raw.id.clone(),
                name: raw.name.clone(),
                kind: JointKind::Compressor(compressor.controls.clone()),
                a: shell,
                b: head,
                stem: None,
            });
        }
    }

    fn terminal(&self, terminal: Terminal) -> Option<SpaceId> {
        match terminal {
            Terminal::Space(at) => self.space_ids.get(at).copied(),
            Terminal::Head(at) => self.head_ids.get(&at).copied(),
            Terminal::Stub(at) => self.stub_ids.get(at).copied(),
        }
    }

    /// The atmosphere, which a relief valve blows into.
    fn outside(&mut self) -> SpaceId {
        if let Some(found) = self.atmosphere {
            return found;
        }
        let at = self.push(Space {
            id: "atmosphere".into(),
            name: "the atmosphere".into(),
            kind: SpaceKind::Atmosphere,
            volume: Known::entered(Volume::from_m3(0.0)),
            place: None,
            design: None,
            height: Known::entered(Length::from_m(0.0)),
            approach: None,
            fill_limit: None,
            bore: None,
        });
        self.atmosphere = Some(at);
        at
    }

    fn add_valve(&mut self, raw: &RawValve, ends: &ValveEnds, problems: &mut Problems<'_>) {
        if raw.kind == "reversing-valve" {
            self.add_reversing(raw, ends);
            return;
        }
        let on = self.named_space(raw, problems);
        let inlet =
            ends.inlet.and_then(|end| self.terminal(end)).or(on.filter(|_| raw.kind == "relief-valve"));
        let outlet = match (raw.kind, ends.outlet) {
            ("relief-valve", None) => Some(self.outside()),
            (_, outlet) => outlet.and_then(|end| self.terminal(end)),
        };
        let (Some(inlet), Some(outlet)) = (inlet, outlet) else { return };
        let Some((a, b)) = self.orient(raw, inlet, outlet, on, problems) else { return };
        let joint = JointId(u32::try_from(self.graph.joints.len()).unwrap_or(u32::MAX));
        let port = self.add_valve_port(raw, joint, b);
        let kind = self.joint_kind(raw, port, b);
        self.graph.joints.push(Joint {
            id: raw.id.clone(),
            name: raw.name.clone(),
            kind,
            a,
            b,
            stem: raw.stem.clone(),
        });
    }

    /// The space that a valve's `on` names; the side of a compressor follows from what the walk passes.
    fn named_space(&self, raw: &RawValve, problems: &mut Problems<'_>) -> Option<SpaceId> {
        let on = raw.on.as_ref()?;
        let at = self.elements.spaces.iter().position(|space| space.id == on.value);
        if at.is_none() && !self.elements.unread.contains(&on.value) {
            let known: Vec<&str> = self.elements.spaces.iter().map(|space| space.id.as_str()).collect();
            let hint = nearest(&on.value, &known)
                .map_or_else(|| "name a part".to_owned(), |near| format!("did you mean \"{near}\"?"));
            let say =
                format!("valve \"{}\" is on \"{}\", which is not in the file", raw.id, shorten(&on.value));
            problems.error(&on.at, "unknown-name", say, hint);
        }
        self.terminal(Terminal::Space(at?))
    }

    /// Which side is the line (or the unit) and which the body (or the line set).
    fn orient(
        &self,
        raw: &RawValve,
        inlet: SpaceId,
        outlet: SpaceId,
        on: Option<SpaceId>,
        problems: &mut Problems<'_>,
    ) -> Option<(SpaceId, SpaceId)> {
        if raw.kind != "service-valve" && raw.kind != "line-set-valve" {
            return Some((inlet, outlet));
        }
        let head_of = |shell: SpaceId| {
            self.graph
                .joints
                .iter()
                .find(|joint| joint.a == shell && matches!(joint.kind, JointKind::Compressor(_)))
                .map(|joint| joint.b)
        };
        let fitted = |end: SpaceId| match on {
            Some(on) => end == on || head_of(on) == Some(end),
            None => self.graph.space(end).is_some_and(|space| is_body(space.kind)),
        };
        let body_first = match (fitted(inlet), fitted(outlet)) {
            (true, false) => true,
            (false, true) => false,
            _ => {
                let say =
                    format!("which side of valve \"{}\" is its body can't be seen from the walk", raw.id);
                problems.error(
                    &raw.at,
                    "body-side-unknown",
                    say,
                    "say which part it is fitted to: on = \"…\", one of its two neighbours",
                );
                return None;
            }
        };
        let (body, line) = if body_first { (inlet, outlet) } else { (outlet, inlet) };
        Some(if raw.kind == "service-valve" { (line, body) } else { (body, line) })
    }

    fn add_valve_port(&mut self, raw: &RawValve, valve: JointId, line_set_side: SpaceId) -> Option<PortId> {
        let port = raw.port.as_ref()?;
        let at = PortId(u32::try_from(self.graph.ports.len()).unwrap_or(u32::MAX));
        let on = if raw.kind == "service-valve" {
            PortOn::ServiceValve(valve)
        } else {
            PortOn::Space(line_set_side)
        };
        self.graph.ports.push(Port {
            id: format!("{}-port", raw.id),
            name: format!("port of the {}", raw.name),
            on,
            core: port.core,
            fitted: crate::Fitted::Factory,
            cap: true,
            size: port.size.clone(),
        });
        Some(at)
    }

    fn joint_kind(&self, raw: &RawValve, port: Option<PortId>, body: SpaceId) -> JointKind {
        match raw.kind {
            "service-valve" => JointKind::ServiceValve {
                port,
                port_stays_with: raw.port_stays_with.unwrap_or_else(|| self.usual_port_side(body)),
                port_side_entered: raw.port_stays_with.is_some(),
            },
            "line-set-valve" => JointKind::LineSetValve { port },
            "ball-valve" => JointKind::HandValve { quarter_turn: true },
            "hand-valve" => JointKind::HandValve { quarter_turn: false },
            "check-valve" => JointKind::Check,
            "solenoid-valve" => JointKind::Solenoid {
                energised_opens: raw.energised_opens,
                minimum_opening: raw.minimum_opening,
                manual_opener: raw.manual_opener,
                normally_energised: raw.normally_energised,
            },
            "thermostatic-valve" => JointKind::Metering(Metering::Thermostatic { bleed: raw.bleed }),
            "electronic-valve" => JointKind::Metering(Metering::Electronic),
            "capillary" => JointKind::Metering(Metering::Capillary),
            "evaporator-pressure-regulator" => self.regulator(raw, Regulator::EvaporatorPressure),
            "crankcase-pressure-regulator" => self.regulator(raw, Regulator::CrankcasePressure),
            "head-pressure-regulator" => self.regulator(raw, Regulator::HeadPressure),
            "relief-valve" => JointKind::Relief { setting: raw.setting },
            _ => JointKind::Metering(Metering::Orifice),
        }
    }

    const fn regulator(&self, raw: &RawValve, kind: Regulator) -> JointKind {
        JointKind::Regulator { kind, setting: raw.setting, manual_opener: raw.manual_opener }
    }

    /// Compressor valves keep the port with the compressor; receiver valves with the line.
    fn usual_port_side(&self, body: SpaceId) -> End {
        match self.graph.space(body).map(|space| space.kind) {
            Some(SpaceKind::CompressorShell | SpaceKind::CompressorHead) => End::Body,
            _ => End::Line,
        }
    }

    fn add_reversing(&mut self, raw: &RawValve, ends: &ValveEnds) {
        let [discharge, suction, indoor, outdoor] =
            ends.four.map(|end| end.and_then(|end| self.terminal(end)));
        let (Some(discharge), Some(suction), Some(indoor), Some(outdoor)) =
            (discharge, suction, indoor, outdoor)
        else {
            return;
        };
        let ways = [
            ("discharge-outdoor", discharge, outdoor, Mode::Cooling),
            ("indoor-suction", indoor, suction, Mode::Cooling),
            ("discharge-indoor", discharge, indoor, Mode::Heating),
            ("outdoor-suction", outdoor, suction, Mode::Heating),
        ];
        for (way, a, b, open_in) in ways {
            self.graph.joints.push(Joint {
                id: format!("{}-{way}", raw.id),
                name: raw.name.clone(),
                kind: JointKind::ReversingPath { open_in },
                a,
                b,
                stem: None,
            });
        }
    }

    fn add_port(&mut self, raw: &RawPort, problems: &mut Problems<'_>) {
        if self.elements.unread.contains(&raw.on.value) {
            return;
        }
        let Some(at) = self.elements.spaces.iter().position(|space| space.id == raw.on.value) else {
            let known: Vec<&str> = self.elements.spaces.iter().map(|space| space.id.as_str()).collect();
            let hint = nearest(&raw.on.value, &known).map_or_else(
                || "name a part or a line".to_owned(),
                |near| format!("did you mean \"{near}\"?"),
            );
            let say = format!(
                "port \"{}\" is on \"{}\", which is no part or line of the file",
                raw.id,
                shorten(&raw.on.value)
            );
            problems.error(&raw.on.at, "port-on-nothing", say, hint);
            return;
        };
        let Some(space) = self.terminal(Terminal::Space(at)) else { return };
        let where_to = self.graph.space(space).map_or_else(String::new, |space| space.name.clone());
        let (id, name, space) = if raw.fitted == Fitted::Piercing {
            self.add_piercing(raw, space, &where_to)
        } else {
            let name = raw.name.clone().unwrap_or_else(|| format!("access port on the {where_to}"));
            (raw.id.clone(), name, space)
        };
        self.graph.ports.push(Port {
            id,
            name,
            on: PortOn::Space(space),
            core: raw.core,
            fitted: raw.fitted,
            cap: raw.cap,
            size: raw.size.clone(),
        });
    }

    /// A piercing valve's needle parts the tube from a small passage; the port is on that. Gives the port's id, name and space.
    fn add_piercing(&mut self, raw: &RawPort, tube: SpaceId, where_to: &str) -> (String, String, SpaceId) {
        let name = raw.name.clone().unwrap_or_else(|| format!("bolt-on piercing valve on the {where_to}"));
        let passage = self.add_stub(format!("{}-passage", raw.id), format!("passage of the {name}"));
        self.graph.joints.push(Joint {
            id: raw.id.clone(),
            name: name.clone(),
            kind: JointKind::PiercingValve,
            a: tube,
            b: passage,
            stem: Some(Stem {
                normal: Position::Shut,
                packing_nut: false,
                cap: false,
                wrench: Wrench::HexKey,
                turns: estimate::needle_turns(),
            }),
        });
        (format!("{}-port", raw.id), format!("port of the {name}"), passage)
    }

    /// A stub stands where its neighbours stand and is built for what they are built for.
    fn fill_stubs(&mut self) {
        for &stub in &self.stub_ids {
            let beside = self.graph.joints.iter().find_map(|joint| {
                let other = if joint.a == stub { joint.b } else { joint.a };
                ((joint.a == stub || joint.b == stub) && !self.stub_ids.contains(&other)).then_some(other)
            });
            let Some(model) = beside.and_then(|beside| self.graph.space(beside)).cloned() else { continue };
            if let Some(space) = self.graph.spaces.get_mut(stub.index()) {
                space.place = model.place;
                space.design = model.design;
                space.height = model.height;
            }
        }
    }

    /// Liquid lines between a condenser and a receiver run down to it, unless the file says how high they lie.
    fn lift_condensate_lines(&mut self) {
        let graph = &self.graph;
        let kind = |at: SpaceId| graph.space(at).map(|space| space.kind);
        let lies_between = |at: SpaceId| {
            let kinds = [SpaceKind::LiquidLine, SpaceKind::Drier, SpaceKind::Stub].map(Some);
            kinds.contains(&kind(at))
        };
        let passes = |joint: &&Joint| {
            !matches!(
                joint.kind,
                JointKind::Metering(_) | JointKind::Compressor(_) | JointKind::Relief { .. }
            )
        };
        let condensers = graph.spaces_with_ids().filter(|(_, space)| space.kind == SpaceKind::Condenser);
        let mut lines: Vec<SpaceId> = Vec::new();
        for (condenser, _) in condensers {
            let mut reached = vec![condenser];
            let mut drains = false;
            let mut at = 0;
            while let Some(&here) = reached.get(at) {
                at += 1;
                for joint in graph.joints.iter().filter(passes).filter(|joint| joint.touches(here)) {
                    let other = joint.other(here);
                    drains |= kind(other) == Some(SpaceKind::Receiver);
                    if lies_between(other) && !reached.contains(&other) {
                        reached.push(other);
                    }
                }
            }
            lines.extend(reached.into_iter().skip(1).filter(|_| drains));
        }
        for line in lines {
            if let Some(space) = self.graph.spaces.get_mut(line.index())
                && space.height.is_estimate()
            {
                space.height = estimate::condensate_height();
            }
        }
    }

    /// Everything should hang together.
    fn check_one_circuit(&self, problems: &mut Problems<'_>) {
        let mut up: Vec<usize> = (0..self.graph.spaces.len()).collect();
        let root = |up: &[usize], mut at: usize| {
            while let Some(&above) = up.get(at) {
                if above == at {
                    break;
                }
                at = above;
            }
            at
        };
        for joint in &self.graph.joints {
            let (a, b) = (root(&up, joint.a.index()), root(&up, joint.b.index()));
            if let Some(slot) = up.get_mut(a.max(b)) {
                *slot = a.min(b);
            }
        }
        let apart =
            self.space_ids.iter().zip(&self.elements.spaces).find(|(id, _)| root(&up, id.index()) != 0);
        if let Some((_, space)) = apart {
            let say = format!("\"{}\" does not hang together with the rest of the circuit", space.id);
            problems.error(
                &space.at,
                "two-circuits",
                say,
                "join them by a walk, or put each circuit in a file of its own",
            );
        }
    }
}

/// What service valves are fitted to.
const fn is_body(kind: SpaceKind) -> bool {
    matches!(
        kind,
        SpaceKind::CompressorShell
            | SpaceKind::CompressorHead
            | SpaceKind::Receiver
            | SpaceKind::Condenser
            | SpaceKind::Evaporator
            | SpaceKind::ReversibleCoil
            | SpaceKind::Accumulator
            | SpaceKind::OilSeparator
            | SpaceKind::Drier
            | SpaceKind::Vessel
            | SpaceKind::Stub
    )
}

/// The highest temperature that any place may come to.
fn hottest(setting: &Setting) -> Temperature {
    setting
        .places
        .iter()
        .map(|place| place.temperature.high)
        .fold(Temperature::from_celsius(20.0), Temperature::max)
}

fn liquid_density(substance: &Substance, temperature: Temperature) -> Option<f64> {
    // Close to the critical point there is hardly a liquid; what is cooler by a twentieth stands for it.
    let cooler = temperature.as_k().min(0.95 * substance.critical_temperature().as_k());
    substance.saturation_raw(cooler).ok().map(|at| at.liquid)
}

fn charge(
    typed: Option<At<Mass>>,
    volume: f64,
    substance: &Substance,
    setting: &Setting,
    problems: &mut Problems<'_>,
) -> Option<Known<Mass>> {
    let density = liquid_density(substance, hottest(setting))?;
    let most = Mass::from_kg(volume * density);
    let Some(typed) = typed else {
        let rule = "charge: 30 % of the volume as liquid, 15 to 50 % (common practice)";
        return Some(Known::estimated(most * 0.3, most * 0.15, most * 0.5, rule));
    };
    let kg = typed.value.as_kg();
    if volume > 0.0 && typed.value > most {
        let say = format!(
            "a charge of {kg:.2} kg can't be held: the volumes, full of liquid at the hottest place, hold {:.2} kg",
            most.as_kg()
        );
        problems.error(&typed.at, "charge-too-large", say, "mend the charge or the volumes");
    } else if volume > 0.0 && typed.value > most * 0.8 {
        let say = format!(
            "a charge of {kg:.2} kg fills more than 80 % of the volumes ({:.2} kg) at the hottest place",
            most.as_kg()
        );
        problems.warning(&typed.at, "charge-large", say, "look at the charge and the volumes again");
    } else if kg <= 0.0 {
        problems.error(
            &typed.at,
            "not-positive",
            "the charge is nothing",
            "give the charge from the nameplate",
        );
    }
    Some(Known::entered(typed.value))
}
