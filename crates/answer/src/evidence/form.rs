//! Forms for evidence: which fields each question has, and the answer from what was filled in.

use stemwise_readings::{Measured, Reading};
use stemwise_units::UnitSystem;
use stemwise_wire as wire;

use super::{
    AirAsk, Basis, ChargeAsk, EvidenceCommon, EvidenceError, LogAsk, LogKind, ReadLog, RecoveryAsk, SetAsk,
    StandingAsk, VacuumAsk, air, charge, faults, read_log, readings, recovery, standing_test, vacuum,
};
use crate::Error;

/// An example in SI and in IP.
type Like = [&'static str; 2];

/// A field: id, label, example.
type Row = (&'static str, &'static str, Like);

const GAUGES: [Row; 3] = [
    ("suction-pressure", "Suction pressure", ["4.2 bar", "61 psig"]),
    ("discharge-pressure", "Discharge pressure", ["16 bar", "230 psig"]),
    ("liquid-pressure", "Liquid line pressure", ["15.5 bar", "225 psig"]),
];

const PIPES: [Row; 5] = [
    ("suction-line", "Suction line, at the compressor", ["10 C", "50 F"]),
    ("liquid-line", "Liquid line", ["35 C", "95 F"]),
    ("discharge-line", "Discharge line", ["75 C", "167 F"]),
    ("evaporator-outlet", "Evaporator outlet", ["8 C", "46 F"]),
    ("liquid-line-end", "Liquid line, after the drier", ["34 C", "93 F"]),
];

const AIR: [Row; 7] = [
    ("onto-condenser", "Air onto the condenser", ["30 C", "86 F"]),
    ("off-condenser", "Air off the condenser", ["38 C", "100 F"]),
    ("onto-evaporator", "Air onto the evaporator", ["5 C", "41 F"]),
    ("off-evaporator", "Air off the evaporator", ["0 C", "32 F"]),
    ("wet-bulb-onto-evaporator", "Wet bulb onto the evaporator", ["18 C", "64 F"]),
    ("wet-bulb-off-evaporator", "Wet bulb off the evaporator", ["12 C", "54 F"]),
    ("air-flow", "Air over the evaporator", ["2000 m3/h", "1200 cfm"]),
];

const POWER: [Row; 4] = [
    ("power", "Power of the compressor", ["2.1 kW", "2.1 kW"]),
    ("current", "Current, each phase", ["5.2 A", "9 A"]),
    ("voltage", "Voltage", ["400 V", "230 V"]),
    ("power-factor", "Power factor", ["0.85", "0.85"]),
];

const INSTRUMENTS: [Row; 2] = [
    ("gauges", "Gauges", ["class 1.6, -1 to 24 bar", "grade 2A, 0 to 500 psi"]),
    ("probes", "Thermometers", ["0.5 K, insulated", "1 F, insulated"]),
];

/// What the reading of one field is made with.
const GAUGE: Row = ("gauge", "Gauge", ["class 1, 0 to 25 bar", "grade 2A, 0 to 500 psi"]);
const PROBE: Row = ("probe", "Thermometer", ["0.5 K, insulated", "1 F, insulated"]);
const VOLUME: Row = ("volume", "Volume, if not the circuit's", ["12 L", "0.42 ft3"]);
const AT: Row = ("at", "How warm it is there", ["20 C", "68 F"]);

const METERING: [(&str, &str); 3] = [
    ("thermostatic", "thermostatic valve"),
    ("electronic", "electronic valve"),
    ("fixed", "orifice or capillary"),
];

/// Makes the fields in one unit system.
#[derive(Clone, Copy)]
struct Maker(UnitSystem);

impl Maker {
    fn like(self, like: Like) -> String {
        like[usize::from(matches!(self.0, UnitSystem::Ip))].to_owned()
    }

    fn text(self, (id, label, like): Row) -> wire::FormField {
        let entry = wire::FormEntry::Text;
        wire::FormField { id: id.into(), label: label.into(), entry, example: self.like(like) }
    }

    fn series(self, (id, label, like): Row) -> wire::FormField {
        wire::FormField { entry: wire::FormEntry::Series, ..self.text((id, label, like)) }
    }

    fn choice(self, id: &str, label: &str, choices: &[(&str, &str)]) -> wire::FormField {
        let choice =
            |(id, label): &(&str, &str)| wire::FormChoice { id: (*id).into(), label: (*label).into() };
        let entry = wire::FormEntry::Choice(choices.iter().map(choice).collect());
        wire::FormField { id: id.into(), label: label.into(), entry, example: String::new() }
    }

    fn part(self, title: &str, rows: &[Row]) -> wire::FormPart {
        let fields = rows.iter().map(|row| self.text(*row)).collect();
        wire::FormPart { title: title.into(), seldom: false, fields }
    }

    fn seldom(self, title: &str, rows: &[Row]) -> wire::FormPart {
        wire::FormPart { seldom: true, ..self.part(title, rows) }
    }

    fn column(self, id: &str, label: &str, unit: Like) -> wire::FormColumn {
        wire::FormColumn { id: id.into(), label: label.into(), unit: self.like(unit) }
    }

    /// Time, and a pressure.
    fn pressure_log(self, unit: Like) -> Vec<wire::FormColumn> {
        vec![self.column("time", "Time", ["s", "s"]), self.column("pressure", "Pressure", unit)]
    }

    /// The parts in which running readings are typed, and the columns that a log of them may have.
    fn set(self) -> (Vec<wire::FormPart>, Vec<wire::FormColumn>) {
        let mut power = self.seldom("Power", &POWER);
        power.fields.push(self.choice("phases", "Phases", &[("1", "one"), ("3", "three")]));
        let mut metering = self.part("Metering device", &[]);
        metering.fields.push(self.choice("metering", "What meters the refrigerant", &METERING));
        let parts = vec![
            self.part("Gauges", &GAUGES),
            self.part("Pipes", &PIPES),
            self.part("Air", &AIR),
            metering,
            power,
            self.seldom("Read with", &INSTRUMENTS),
        ];
        let columns = Reading::ALL.into_iter().map(|reading| {
            let row = [&GAUGES[..], &PIPES, &AIR, &POWER].concat();
            let label = row.iter().find(|(id, ..)| *id == reading.word()).map_or("", |(_, label, _)| label);
            let unit = match reading.measured() {
                Measured::Pressure => ["bar", "psig"],
                Measured::Temperature => ["C", "F"],
                Measured::Power => ["kW", "kW"],
                Measured::Current => ["A", "A"],
                Measured::Voltage => ["V", "V"],
                Measured::VolumeFlow => ["m3/h", "cfm"],
                Measured::Part | Measured::Mass => ["1", "1"],
            };
            self.column(reading.word(), label, unit)
        });
        (parts, core::iter::once(self.column("time", "Time", ["s", "s"])).chain(columns).collect())
    }
}

/// The forms, in the order in which a visit needs them.
///
/// ```
/// use stemwise_units::UnitSystem;
/// let forms = stemwise_answer::evidence_forms(UnitSystem::Si);
/// assert!(forms.iter().any(|form| form.kind == "vacuum" && form.question == "Is it dry?"));
/// ```
pub fn evidence_forms(units: UnitSystem) -> Vec<wire::EvidenceForm> {
    let make = Maker(units);
    vec![
        running(make),
        what_is_wrong(make),
        how_much(make),
        any_air(make),
        tight(make),
        dry(make),
        empty(make),
    ]
}

fn form(
    kind: &str,
    question: &str,
    how: &str,
    parts: Vec<wire::FormPart>,
    columns: Vec<wire::FormColumn>,
) -> wire::EvidenceForm {
    wire::EvidenceForm { kind: kind.into(), question: question.into(), how: how.into(), parts, columns }
}

fn running(make: Maker) -> wire::EvidenceForm {
    let (mut parts, columns) = make.set();
    parts.push(make.seldom(
        "What the maker wants",
        &[
            ("target.superheat", "Superheat", ["6 K", "11 F"]),
            ("target.subcooling", "Subcooling", ["5 K", "9 F"]),
        ],
    ));
    let how = "Let it run until nothing changes, then read all at once. Any of these will do; each more gives more.";
    form("readings", "Is it running right?", how, parts, columns)
}

fn what_is_wrong(make: Maker) -> wire::EvidenceForm {
    let (mut parts, columns) = make.set();
    parts.push(make.seldom(
        "How it is when all is well",
        &[
            ("healthy.superheat", "Superheat", ["6 K", "11 F"]),
            ("healthy.subcooling", "Subcooling", ["5 K", "9 F"]),
            ("healthy.evaporating", "Evaporating temperature", ["-5 C", "23 F"]),
            ("healthy.condensing-dew", "Condensing temperature", ["42 C", "108 F"]),
            ("healthy.discharge-line", "Discharge line", ["75 C", "167 F"]),
        ],
    ));
    let how =
        "Let it run until nothing changes, then read all at once. The more is read, the less is guessed.";
    form("faults", "What is wrong with it?", how, parts, columns)
}

fn how_much(make: Maker) -> wire::EvidenceForm {
    let (set, columns) = make.set();
    let weight = make.part(
        "By weight",
        &[
            ("nameplate", "Charge on the nameplate", ["2.7 kg", "6 lb"]),
            ("included", "For this much piping", ["5 m", "15 ft"]),
            ("line.liquid", "Liquid line: size, length", ["10 mm, 12 m", "3/8 in, 40 ft"]),
            ("line.vapour", "Vapour line: size, length", ["15 mm, 12 m", "5/8 in, 40 ft"]),
            ("rate", "The maker's rate for more piping", ["54 g/m", "0.6 oz/ft"]),
            ("scale", "The scale may be off by", ["5 g", "0.2 oz"]),
        ],
    );
    let mut trim = make.part("By how it runs", &[]);
    trim.fields.push(make.choice(
        "by",
        "Judged by",
        &[
            ("subcooling", "subcooling"),
            ("superheat", "superheat"),
            ("balance", "the balance of this circuit"),
        ],
    ));
    trim.fields.extend(
        [
            ("charge", "The whole charge, if not the circuit's", ["2.7 kg", "6 lb"]),
            ("since", "Since the last change", ["15 min", "15 min"]),
            ("added", "What the last step added", ["100 g", "4 oz"]),
            ("before", "The reading before it", ["4 K", "7 F"]),
            ("holds", "What is surely in there", ["1.5 kg", "3.3 lb"]),
            ("cylinder", "How warm the cylinder is", ["20 C", "68 F"]),
        ]
        .map(|row| make.text(row)),
    );
    let mut leaked =
        make.seldom("A blend that leaked", &[("lost", "What was lost", ["800 g", "1.8 lb"]), VOLUME, AT]);
    leaked.fields.push(make.choice("out", "It left as", &[("vapour", "vapour"), ("liquid", "liquid")]));
    let parts = [vec![weight, trim], set, vec![leaked]].concat();
    let how = "By weight where the charge is known; by subcooling with a valve that meters, by superheat with an orifice or a capillary.";
    form("charge", "How much goes in?", how, parts, columns)
}

fn any_air(make: Maker) -> wire::EvidenceForm {
    let parts = vec![
        make.part(
            "Standing",
            &[
                ("pressure", "Pressure at rest", ["10.4 bar", "142 psig"]),
                ("temperature", "Temperature of the condenser", ["22 C", "75 F"]),
            ],
        ),
        make.seldom("Read with", &[GAUGE, PROBE]),
        make.seldom(
            "For an amount",
            &[
                ("room", "Room above the liquid", ["4 L", "0.14 ft3"]),
                VOLUME,
                ("charge", "Charge, if not the circuit's", ["5 kg", "11 lb"]),
            ],
        ),
    ];
    let how = "The system stands still, with liquid in the condenser and one temperature all over it.";
    form("air", "Is there air in it?", how, parts, Vec::new())
}

fn tight(make: Maker) -> wire::EvidenceForm {
    let parts = vec![
        make.part(
            "Pressures",
            &[
                ("start", "Pressure at the start", ["25 bar", "350 psig"]),
                ("end", "Pressure at the end", ["24.6 bar", "344 psig"]),
                ("time", "How long it stood", ["24 h", "24 h"]),
            ],
        ),
        make.part(
            "Temperatures of the parts: start, end, share of the volume",
            &[
                ("part.outdoors", "Outdoors", ["18 C, 12 C, 2", "65 F, 54 F, 2"]),
                ("part.indoors", "Indoors", ["21 C, 20 C, 1", "70 F, 68 F, 1"]),
            ],
        ),
        make.seldom("Read with, and how much", &[GAUGE, PROBE, VOLUME]),
    ];
    let mut columns = make.pressure_log(["bar", "psig"]);
    columns.push(make.column("outdoors", "Temperature outdoors", ["C", "F"]));
    columns.push(make.column("indoors", "Temperature indoors", ["C", "F"]));
    let how = "Dry nitrogen from a regulator, never above the test pressure of what is joined; then it stands, the regulator off.";
    form("standing-test", "Is it tight?", how, parts, columns)
}

fn dry(make: Maker) -> wire::EvidenceForm {
    let mut rise = make.part("The valve to the pump shut", &[]);
    rise.fields.push(make.series(("rise", "Vacuum gauge", ["340 micron", "340 micron"])));
    let mut pull = make.part("While the pump pulls", &[]);
    pull.fields.push(make.series(("pull", "Vacuum gauge", ["2000 micron", "2000 micron"])));
    let mut rig = make.seldom(
        "Pump and hoses",
        &[
            ("pump", "Speed of the pump", ["8 m3/h", "5 cfm"]),
            ("ultimate", "Its lowest pressure", ["15 micron", "15 micron"]),
            ("hose", "Hose: inside diameter x length", ["8 mm x 1.5 m", "3/8 in x 5 ft"]),
            ("cores", "Valve cores in the way", ["0", "0"]),
            ("lines", "Such lines side by side", ["1", "1"]),
        ],
    );
    rig.fields.extend(
        [
            VOLUME,
            AT,
            ("target", "Where to", ["500 micron", "500 micron"]),
            ("gauge", "The gauge may be off by", ["10 %", "10 %"]),
            ("shut-at", "In a log: the valve was shut at", ["35 min", "35 min"]),
        ]
        .map(|row| make.text(row)),
    );
    let how = "The gauge on the system, not on the pump. Shut the valve to the pump and note what it does: a leak goes on, water stops.";
    form("vacuum", "Is it dry?", how, vec![pull, rise, rig], make.pressure_log(["micron", "micron"]))
}

fn empty(make: Maker) -> wire::EvidenceForm {
    let mut appliance = make.seldom(
        "The appliance",
        &[("charge", "Full charge, if not the circuit's", ["5 kg", "11 lb"]), VOLUME],
    );
    appliance.fields.push(make.choice(
        "machine",
        "Recovery machine made",
        &[("newer", "on or after 15 November 1993"), ("older", "before 15 November 1993")],
    ));
    appliance.fields.push(make.choice(
        "small",
        "Small sealed appliance whose compressor",
        &[("works", "works"), ("fails", "does not work")],
    ));
    let parts = vec![
        make.part(
            "Now",
            &[
                ("pressure", "Pressure in there", ["0.3 bar", "4 psig"]),
                AT,
                ("recovered", "What the scale says came out", ["2.1 kg", "4.6 lb"]),
            ],
        ),
        make.part(
            "Cylinder",
            &[
                ("cylinder", "Its water capacity", ["21.6 kg", "47.6 lb"]),
                ("holds", "What it holds already", ["5 kg", "11 lb"]),
            ],
        ),
        appliance,
        make.seldom("Read with", &[GAUGE]),
    ];
    let how = "After the level is reached shut the machine off and see whether the pressure comes back.";
    form("recovery", "How much is still in there?", how, parts, make.pressure_log(["bar", "psig"]))
}

/// What was filled in, by field.
struct Reader<'f>(&'f wire::Filled);

impl Reader<'_> {
    fn all(&self, id: &str) -> Vec<String> {
        let texts = self.0.get(id).into_iter().flatten();
        texts.map(|text| text.trim().to_owned()).filter(|text| !text.is_empty()).collect()
    }

    fn one(&self, id: &str) -> Option<String> {
        self.all(id).into_iter().next()
    }

    /// "NAME=TEXT" of every filled field whose id begins with `begin`.
    fn named(&self, begin: &str) -> Vec<String> {
        let of = |id: &String| Some((id.strip_prefix(begin)?.to_owned(), self.one(id)?));
        self.0.keys().filter_map(of).map(|(name, text)| format!("{name}={text}")).collect()
    }

    fn count(&self, id: &'static str) -> Result<Option<u32>, EvidenceError> {
        let read = |typed: String| {
            typed.parse().map_err(|_| EvidenceError::Number {
                what: id,
                typed: typed.chars().take(40).collect(),
                wanted: "a whole number",
            })
        };
        self.one(id).map(read).transpose()
    }

    fn set(&self, log: Option<ReadLog>) -> Result<SetAsk, EvidenceError> {
        let typed = |reading: &Reading| Some((*reading, self.one(reading.word())?));
        let reads: Vec<(Reading, String)> = Reading::ALL.iter().filter_map(typed).collect();
        let with = |(reading, _): &(Reading, String)| {
            let id = match reading.measured() {
                Measured::Pressure => "gauges",
                Measured::Temperature => "probes",
                _ => return None,
            };
            Some(format!("{}={}", reading.word(), self.one(id)?))
        };
        Ok(SetAsk {
            instruments: reads.iter().filter_map(with).collect(),
            reads: reads.iter().map(|(reading, text)| format!("{}={text}", reading.word())).collect(),
            targets: self.named("target."),
            healthy: self.named("healthy."),
            metering: self.one("metering"),
            phases: self.count("phases")?,
            log,
            over: None,
        })
    }
}

/// Answers a form. `log` is the file that was chosen, if any.
///
/// # Errors
/// As the function of that kind; [`EvidenceError::UnknownName`] for a kind that none has.
///
/// ```
/// use stemwise_answer::{EvidenceCommon, evidence_of};
/// use stemwise_units::{Pressure, UnitSystem};
/// let common = EvidenceCommon { fluid: Some("R-22".into()), circuit: None, atmosphere: Some(Pressure::from_pa(101_325.0)), measured_atmosphere: false,
///     units: UnitSystem::Ip, page: None, heading: None };
/// let filled = [("pressure", "140 psig"), ("temperature", "70 F")].map(|(id, text)| (id.to_owned(), vec![text.to_owned()]));
/// assert_eq!(evidence_of(&common, "air", &filled.into(), None)?.outcome, "bad");
/// # Ok::<(), stemwise_answer::Error>(())
/// ```
pub fn evidence_of(
    common: &EvidenceCommon,
    kind: &str,
    filled: &wire::Filled,
    log: Option<&[u8]>,
) -> Result<wire::EvidenceAnswer, Error> {
    let form = Reader(filled);
    let read = |kind: LogKind| {
        let ask =
            LogAsk { columns: form.named("column."), units: form.named("unit."), dates: form.one("dates") };
        log.map(|bytes| read_log(bytes, &ask, kind, Basis::new(common)?.atmosphere)).transpose()
    };
    match kind {
        "readings" => readings(common, &form.set(read(LogKind::Readings)?)?),
        "faults" => faults(common, &form.set(read(LogKind::Readings)?)?),
        "charge" => charge(
            common,
            &ChargeAsk {
                nameplate: form.one("nameplate"),
                included: form.one("included"),
                lines: form.named("line."),
                rate: form.one("rate"),
                scale: form.one("scale"),
                by: form.one("by"),
                set: form.set(read(LogKind::Readings)?)?,
                charge: form.one("charge"),
                holds: form.one("holds"),
                since: form.one("since"),
                added: form.one("added"),
                before: form.one("before"),
                cylinder: form.one("cylinder"),
                lost: form.one("lost"),
                out: form.one("out"),
                volume: form.one("volume"),
                at: form.one("at"),
            },
        ),
        "air" => air(
            common,
            &AirAsk {
                pressure: form
                    .one("pressure")
                    .ok_or(EvidenceError::Needs { what: "the pressure at rest" })?,
                temperature: form
                    .one("temperature")
                    .ok_or(EvidenceError::Needs { what: "the temperature of the condenser" })?,
                room: form.one("room"),
                volume: form.one("volume"),
                charge: form.one("charge"),
                gauge: form.one("gauge"),
                probe: form.one("probe"),
            },
        ),
        "standing-test" => standing_test(
            common,
            &StandingAsk {
                start: form.one("start"),
                end: form.one("end"),
                time: form.one("time"),
                parts: form.named("part."),
                log: read(LogKind::PressureAndParts)?,
                shares: Vec::new(),
                volume: form.one("volume"),
                gauge: form.one("gauge"),
                probe: form.one("probe"),
                rule: None,
            },
        ),
        "vacuum" => vacuum(
            common,
            &VacuumAsk {
                pull: form.all("pull"),
                rise: form.all("rise"),
                log: read(LogKind::Pressure)?,
                shut_at: form.one("shut-at"),
                volume: form.one("volume"),
                at: form.one("at"),
                target: form.one("target"),
                pump: form.one("pump"),
                ultimate: form.one("ultimate"),
                hoses: form.all("hose"),
                cores: form.count("cores")?.unwrap_or(0),
                lines: form.count("lines")?,
                gauge: form.one("gauge"),
            },
        ),
        "recovery" => recovery(
            common,
            &RecoveryAsk {
                charge: form.one("charge"),
                machine: form.one("machine"),
                small: form.one("small"),
                pressure: form.one("pressure"),
                at: form.one("at"),
                volume: form.one("volume"),
                recovered: form.one("recovered"),
                cylinder: form.one("cylinder"),
                holds: form.one("holds"),
                gauge: form.one("gauge"),
                log: read(LogKind::Pressure)?,
            },
        ),
        other => Err(EvidenceError::UnknownName {
            what: "the question",
            typed: other.chars().take(40).collect(),
            known: evidence_forms(common.units)
                .into_iter()
                .map(|form| form.kind)
                .collect::<Vec<_>>()
                .join(", "),
        }
        .into()),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]
mod tests {
    use super::*;

    fn common() -> EvidenceCommon {
        EvidenceCommon {
            fluid: Some("R-134a".into()),
            circuit: None,
            atmosphere: None,
            measured_atmosphere: false,
            units: UnitSystem::Si,
            page: None,
            heading: None,
        }
    }

    /// Each field filled with its own example, alone with what the form can't do without, is understood in both unit systems.
    #[test]
    fn every_example_is_understood() {
        let must: [(&str, &[(&str, &str)]); 7] = [
            ("readings", &[("suction-pressure", "1 bar")]),
            ("faults", &[("suction-pressure", "1 bar")]),
            (
                "charge",
                &[
                    ("volume", "10 L"),
                    ("nameplate", "2 kg"),
                    ("suction-pressure", "1 bar"),
                    ("suction-line", "5 C"),
                    ("liquid-pressure", "9 bar"),
                    ("liquid-line", "30 C"),
                ],
            ),
            ("air", &[("pressure", "5 bar"), ("temperature", "20 C")]),
            (
                "standing-test",
                &[
                    ("start", "20 bar"),
                    ("end", "19.9 bar"),
                    ("time", "24 h"),
                    ("part.outdoors", "20 C, 19 C, 1"),
                ],
            ),
            (
                "vacuum",
                &[
                    (
                        "rise",
                        "0 min=300 micron; 2 min=303 micron; 4 min=306 micron; 6 min=309 micron; 8 min=311 micron",
                    ),
                    ("pump", "8 m3/h"),
                    ("volume", "10 L"),
                ],
            ),
            ("recovery", &[("charge", "2 kg"), ("cylinder", "21 kg")]),
        ];
        let mut tried = 0;
        for units in [UnitSystem::Si, UnitSystem::Ip] {
            for form in evidence_forms(units) {
                let (_, must) = must.iter().find(|(kind, _)| *kind == form.kind).unwrap();
                for field in form.parts.iter().flat_map(|part| &part.fields) {
                    let mut filled: wire::Filled = must
                        .iter()
                        .map(|(id, text)| ((*id).to_owned(), text.split("; ").map(str::to_owned).collect()))
                        .collect();
                    let typed = match &field.entry {
                        wire::FormEntry::Text => field.example.clone(),
                        wire::FormEntry::Choice(choices) => choices.first().unwrap().id.clone(),
                        wire::FormEntry::Series => format!("5 min={}", field.example),
                    };
                    filled.entry(field.id.clone()).or_default().insert(0, typed);
                    let said = evidence_of(&common(), &form.kind, &filled, None);
                    assert!(said.is_ok(), "{}, {}: {said:?}", form.kind, field.id);
                    tried += 1;
                }
            }
        }
        assert!(tried > 150, "{tried}");
    }

    #[test]
    fn every_reading_has_a_field_and_a_column() {
        let forms = evidence_forms(UnitSystem::Si);
        let form = forms.iter().find(|form| form.kind == "readings").unwrap();
        for reading in Reading::ALL {
            let word = reading.word();
            assert!(form.parts.iter().flat_map(|part| &part.fields).any(|field| field.id == word), "{word}");
            assert!(
                form.columns.iter().any(|column| column.id == word && !column.label.is_empty()),
                "{word}"
            );
        }
    }

    #[test]
    fn a_log_is_read_by_the_columns_that_were_chosen() {
        let log = b"Clock [s],Sensor 3\n0,300\n120,308\n300,312\n600,318\n900,321\n1200,325\n";
        let filled = [
            ("column.time", "Clock [s]"),
            ("column.pressure", "Sensor 3"),
            ("unit.pressure", "micron"),
            ("shut-at", "0 s"),
        ]
        .map(|(id, text)| (id.to_owned(), vec![text.to_owned()]));
        let said = evidence_of(&common(), "vacuum", &filled.into(), Some(log)).unwrap();
        assert!(!said.rules.is_empty() && said.svg.is_some());
        assert!(evidence_of(&common(), "paint", &wire::Filled::new(), None).is_err());
    }
}
