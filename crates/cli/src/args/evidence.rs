//! What can be typed after the commands about readings and tests.

use clap::Args;

use super::{OnPaper, Site};

/// What all of them take.
#[derive(Clone, Debug, Args)]
pub(crate) struct About {
    /// The refrigerant: R-134a, r454b, propane, "R-32/R-125 50/50" …
    #[arg(value_name = "FLUID")]
    pub(crate) fluid: Option<String>,
    /// A circuit file, or example:NAME, for refrigerant, charge, volume and height
    #[arg(long, value_name = "CIRCUIT")]
    pub(crate) circuit: Option<String>,
    #[command(flatten)]
    pub(crate) site: Site,
    #[command(flatten)]
    pub(crate) paper: OnPaper,
    /// Write the series over time to a new SVG file
    #[arg(long, value_name = "FILE")]
    pub(crate) plot: Option<String>,
}

/// A log.
#[derive(Clone, Debug, Args)]
pub(crate) struct LogFile {
    /// A log as comma-separated values; the first line names the columns
    #[arg(long, value_name = "FILE")]
    pub(crate) log: Option<String>,
    /// Which column is what: "pressure=Vac 1", "time=Time" (again for each)
    #[arg(long, value_name = "NAME=HEADER", requires = "log")]
    pub(crate) column: Vec<String>,
    /// A column's unit, where its header has none in brackets: "pressure=micron"
    #[arg(long, value_name = "NAME=UNIT", requires = "log")]
    pub(crate) unit: Vec<String>,
    /// What comes first in its dates: day-first or month-first
    #[arg(long, value_name = "ORDER", requires = "log")]
    pub(crate) dates: Option<String>,
}

/// A set of readings.
#[derive(Clone, Debug, Args)]
pub(crate) struct Set {
    /// A reading: "suction-pressure=118 psig", "liquid-line=95 F" (again for each)
    #[arg(long, value_name = "NAME=VALUE")]
    pub(crate) read: Vec<String>,
    /// With what it was read: "suction-pressure=class 1.6, -1 to 9 bar" (again for each)
    #[arg(long, value_name = "NAME=INSTRUMENT")]
    pub(crate) with: Vec<String>,
    /// What it should be by the maker: "subcooling=10 F" (again for each)
    #[arg(long, value_name = "NAME=VALUE")]
    pub(crate) target: Vec<String>,
    /// What meters the refrigerant: fixed, thermostatic or electronic
    #[arg(long, value_name = "DEVICE")]
    pub(crate) metering: Option<String>,
    /// Phases of the supply, for a power from current and voltage
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u32).range(1..=3))]
    pub(crate) phases: Option<u32>,
    #[command(flatten)]
    pub(crate) log: LogFile,
    /// Over how much of the log's end readings are means: "5 min"
    #[arg(long, value_name = "TIME", requires = "log", allow_hyphen_values = true)]
    pub(crate) over: Option<String>,
}

/// Work out a set of readings: superheat, subcooling and all that follows
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  stemwise readings R-410A --read \"suction-pressure=118 psig\" \\
      --read \"suction-line=52 F\" --read \"discharge-pressure=340 psig\" \\
      --read \"liquid-line=95 F\" --metering thermostatic --target \"subcooling=10 F\"
  stemwise readings R-32 --log running.csv --column \"suction-pressure=LP\" \\
      --unit \"suction-pressure=bar\" --column \"suction-line=T1\" --unit \"suction-line=C\"

Readings: suction-pressure, discharge-pressure, liquid-pressure, suction-line,
evaporator-outlet, liquid-line, liquid-line-end, discharge-line, onto-condenser,
off-condenser, onto-evaporator, off-evaporator, wet-bulb-onto-evaporator,
wet-bulb-off-evaporator, power, current, voltage, power-factor, air-flow.
Instruments: \"class 1.6, -1 to 24 bar\" (EN 837-1), \"grade 2A, 0 to 500 psi\" (ASME
B40.100), \"2 psi\", \"0.5 % of reading\", \"0.5 K, insulated\", \"Pt100 class B, immersed\".
Superheat counts from the dew point, subcooling from the bubble point.")]
pub(crate) struct Readings {
    #[command(flatten)]
    pub(crate) about: About,
    #[command(flatten)]
    pub(crate) set: Set,
}

/// Rank the faults that a set of readings speaks for, by the circuit's balance or by published signs
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  stemwise faults R-22 --metering fixed --read \"suction-pressure=55 psig\" \\
      --read \"suction-line=65 F\" --read \"onto-evaporator=75 F\" \\
      --read \"discharge-pressure=210 psig\" --read \"onto-condenser=85 F\"
  stemwise faults R-410A --read \"discharge-pressure=300 psig\" \\
      --read \"liquid-line=98 F\" --healthy \"subcooling=10 F, 2 F\"

It tells what speaks for and against each, what to read next for the least work,
and never that refrigerant should be added where a restriction would look alike.")]
pub(crate) struct Faults {
    #[command(flatten)]
    pub(crate) about: About,
    #[command(flatten)]
    pub(crate) set: Set,
    /// How it is when the system is well, and how far off is nothing: "superheat=12 F, 3 F"
    #[arg(long, value_name = "NAME=VALUE")]
    pub(crate) healthy: Vec<String>,
}

/// Judge a standing test with nitrogen: what the temperatures don't explain
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  stemwise standing-test R-410A --start \"500 psig\" --end \"479 psig\" --time \"24 h\" \\
      --part \"all=80 F, 60 F\" --volume \"12 L\"
  stemwise standing-test R-32 --start \"40 bar\" --end \"39.2 bar\" --time \"12 h\" \\
      --part \"roof=30 C, 12 C, 2\" --part \"room=22 C, 21 C, 1\" --gauge \"class 1, 0 to 60 bar\"
  stemwise standing-test --log night.csv --column \"pressure=P1\" --unit \"pressure=psig\" \\
      --column \"roof=T1\" --unit \"roof=F\" --page test.html

A part is NAME=START, END or NAME=START, END, SHARE of the volume. Nitrogen is
taken as the real gas that it is.")]
pub(crate) struct StandingTest {
    #[command(flatten)]
    pub(crate) about: About,
    /// The pressure at the start
    #[arg(long, value_name = "PRESSURE", allow_hyphen_values = true, conflicts_with = "log")]
    pub(crate) start: Option<String>,
    /// The pressure at the end
    #[arg(long, value_name = "PRESSURE", allow_hyphen_values = true, conflicts_with = "log")]
    pub(crate) end: Option<String>,
    /// How long it stood
    #[arg(long, value_name = "TIME", conflicts_with = "log", allow_hyphen_values = true)]
    pub(crate) time: Option<String>,
    /// A part with its temperatures: "roof=70 F, 50 F, 2" (again for each)
    #[arg(long, value_name = "PART", conflicts_with = "log", allow_hyphen_values = true)]
    pub(crate) part: Vec<String>,
    #[command(flatten)]
    pub(crate) log: LogFile,
    /// In a log, a part's share of the volume: "roof=2" (again for each)
    #[arg(long, value_name = "NAME=SHARE", requires = "log")]
    pub(crate) share: Vec<String>,
    /// The volume under test: without it there is a drop but no leak rate
    #[arg(long, value_name = "VOLUME", allow_hyphen_values = true)]
    pub(crate) volume: Option<String>,
    /// The gauge: "class 1, 0 to 60 bar"
    #[arg(long, value_name = "INSTRUMENT")]
    pub(crate) gauge: Option<String>,
    /// The thermometers: "0.5 K, insulated"
    #[arg(long, value_name = "INSTRUMENT")]
    pub(crate) probe: Option<String>,
    /// The one rule that decides, by its id; all of them if left out
    #[arg(long, value_name = "RULE")]
    pub(crate) rule: Option<String>,
}

/// Judge an evacuation: pull-down, rise, leak, water, criteria
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  stemwise vacuum R-410A --volume \"12 L\" --rise \"0 min=280 micron\" \\
      --rise \"5 min=340 micron\" --rise \"10 min=390 micron\" --rise \"15 min=430 micron\" \\
      --rise \"20 min=470 micron\" --rise \"30 min=540 micron\"
  stemwise vacuum R-32 --log vac.csv --column \"pressure=Vac\" --unit \"pressure=micron\" \\
      --shut-at \"35 min\" --volume \"12 L\" --pump \"5 cfm\" --hose \"8 mm x 1.5 m\" --cores 1

With the pump, the hoses and the volume the pull-down is held against a model:
what holds it back, and how long it will take. The rise with the valve to the
pump shut is split into a leak, water, and what ends.")]
pub(crate) struct Vacuum {
    #[command(flatten)]
    pub(crate) about: About,
    /// A reading while the pump pulls: "5 min=2000 micron" (again for each)
    #[arg(long, value_name = "TIME=PRESSURE")]
    pub(crate) pull: Vec<String>,
    /// A reading since the valve to the pump was shut: "5 min=340 micron" (again for each)
    #[arg(long, value_name = "TIME=PRESSURE")]
    pub(crate) rise: Vec<String>,
    #[command(flatten)]
    pub(crate) log: LogFile,
    /// When in the log that valve was shut: "35 min"; "0 s" where all of it is the rise
    #[arg(long, value_name = "TIME", requires = "log", allow_hyphen_values = true)]
    pub(crate) shut_at: Option<String>,
    /// The volume that is evacuated
    #[arg(long, value_name = "VOLUME", allow_hyphen_values = true)]
    pub(crate) volume: Option<String>,
    /// How warm it is there; 20 °C if left out
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    pub(crate) at: Option<String>,
    /// Where to: "500 micron" if left out
    #[arg(long, value_name = "PRESSURE", allow_hyphen_values = true)]
    pub(crate) target: Option<String>,
    /// The pump's speed: "5 cfm", "8 m3/h"
    #[arg(long, value_name = "SPEED", allow_hyphen_values = true)]
    pub(crate) pump: Option<String>,
    /// The pump's lowest pressure: "15 micron" if left out
    #[arg(long, value_name = "PRESSURE", requires = "pump", allow_hyphen_values = true)]
    pub(crate) ultimate: Option<String>,
    /// A hose by inside diameter and length: "8 mm x 1.5 m" (again for each, one behind the other)
    #[arg(long, value_name = "HOSE", requires = "pump")]
    pub(crate) hose: Vec<String>,
    /// How many valve cores are in the way
    #[arg(long, value_name = "NUMBER", requires = "pump", default_value_t = 0)]
    pub(crate) cores: u32,
    /// How many such lines there are side by side
    #[arg(long, value_name = "NUMBER", requires = "pump")]
    pub(crate) lines: Option<u32>,
    /// How far off the gauge may be: "10 %" if left out
    #[arg(long, value_name = "PART", allow_hyphen_values = true)]
    pub(crate) gauge: Option<String>,
}

/// Charge by weight, by subcooling or by superheat; top up a leaked blend
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  stemwise charge R-410A --nameplate \"6 lb\" --included \"15 ft\" \\
      --line \"liquid=3/8 in, 40 ft\" --rate \"0.6 oz/ft\"
  stemwise charge R-22 --by superheat --metering fixed --charge \"7 lb\" \\
      --read \"suction-pressure=68 psig\" --read \"suction-line=60 F\" \\
      --read \"onto-condenser=90 F\" --read \"wet-bulb-onto-evaporator=66 F\" \\
      --read \"liquid-pressure=230 psig\" --read \"liquid-line=108 F\"
  stemwise charge R-407C --charge \"5 kg\" --lost \"1.5 kg\" --volume \"10 L\" --at \"25 C\"

Each step is small, 15 minutes apart, and stops where the instruments can't tell.")]
pub(crate) struct Charge {
    #[command(flatten)]
    pub(crate) about: About,
    /// By weight: the nameplate's charge
    #[arg(long, value_name = "MASS", allow_hyphen_values = true)]
    pub(crate) nameplate: Option<String>,
    /// For how much piping the nameplate's charge is
    #[arg(long, value_name = "LENGTH", requires = "nameplate", allow_hyphen_values = true)]
    pub(crate) included: Option<String>,
    /// A line of the field piping: "liquid=3/8 in, 12 m", "vapour=3/4 in, 12 m" (again for each)
    #[arg(long, value_name = "LINE", requires = "nameplate")]
    pub(crate) line: Vec<String>,
    /// The maker's rate for more or less piping: "0.60 oz/ft"
    #[arg(long, value_name = "RATE", requires = "nameplate", allow_hyphen_values = true)]
    pub(crate) rate: Option<String>,
    /// How far off the scale may be; 5 g if left out
    #[arg(long, value_name = "MASS", requires = "nameplate", allow_hyphen_values = true)]
    pub(crate) scale: Option<String>,
    /// By trimming: subcooling or superheat, or by the circuit's balance, from the readings
    #[arg(long, value_name = "READING")]
    pub(crate) by: Option<String>,
    #[command(flatten)]
    pub(crate) set: Set,
    /// The whole charge
    #[arg(long, value_name = "MASS", allow_hyphen_values = true)]
    pub(crate) charge: Option<String>,
    /// What is known to be in there already
    #[arg(long, value_name = "MASS", requires = "by", allow_hyphen_values = true)]
    pub(crate) holds: Option<String>,
    /// Since the last change: "15 min"
    #[arg(long, value_name = "TIME", requires = "by", allow_hyphen_values = true)]
    pub(crate) since: Option<String>,
    /// What the last step added; with a minus what it recovered
    #[arg(long, value_name = "MASS", requires = "by", allow_hyphen_values = true)]
    pub(crate) added: Option<String>,
    /// What the reading was before it: "4 K"
    #[arg(long, value_name = "VALUE", requires = "by", allow_hyphen_values = true)]
    pub(crate) before: Option<String>,
    /// How warm the charging cylinder is; 20 °C if left out
    #[arg(long, value_name = "TEMPERATURE", requires = "by", allow_hyphen_values = true)]
    pub(crate) cylinder: Option<String>,
    /// A leaked blend: what was lost
    #[arg(long, value_name = "MASS", allow_hyphen_values = true)]
    pub(crate) lost: Option<String>,
    /// As what it was lost: vapour (if left out) or liquid
    #[arg(long, value_name = "PHASE", requires = "lost")]
    pub(crate) out: Option<String>,
    /// The system's volume
    #[arg(long, value_name = "VOLUME", requires = "lost", allow_hyphen_values = true)]
    pub(crate) volume: Option<String>,
    /// How warm it stood; 20 °C if left out
    #[arg(long, value_name = "TEMPERATURE", requires = "lost", allow_hyphen_values = true)]
    pub(crate) at: Option<String>,
}

/// Tell air in a standing system from its pressure and the condenser's temperature
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  stemwise air R-22 --pressure \"142 psig\" --temperature \"75 F\"
  stemwise air R-407C --pressure \"10.4 bar\" --temperature \"22 C\" --room \"4 L\" \\
      --volume \"10 L\" --charge \"5 kg\" --gauge \"class 1, 0 to 25 bar\"

The system stands still, with liquid in the condenser and one temperature all over it.")]
pub(crate) struct Air {
    #[command(flatten)]
    pub(crate) about: About,
    /// The pressure at rest
    #[arg(long, value_name = "PRESSURE", allow_hyphen_values = true)]
    pub(crate) pressure: String,
    /// The condenser's temperature
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    pub(crate) temperature: String,
    /// The room above the liquid, for an amount of air
    #[arg(long, value_name = "VOLUME", allow_hyphen_values = true)]
    pub(crate) room: Option<String>,
    /// All of the volume; with the charge it tells how much of a blend is liquid
    #[arg(long, value_name = "VOLUME", allow_hyphen_values = true)]
    pub(crate) volume: Option<String>,
    /// The charge
    #[arg(long, value_name = "MASS", allow_hyphen_values = true)]
    pub(crate) charge: Option<String>,
    /// The gauge: "class 1, 0 to 25 bar"
    #[arg(long, value_name = "INSTRUMENT")]
    pub(crate) gauge: Option<String>,
    /// The thermometer: "0.5 K, insulated"
    #[arg(long, value_name = "INSTRUMENT")]
    pub(crate) probe: Option<String>,
}

/// Judge a recovery: the level required, what is left, time, the cylinder's room
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  stemwise recovery R-134a --charge \"10 lb\" --pressure \"12 inHg vac\" --gauge \"0.5 psi\"
  stemwise recovery --circuit example:walk-in-cooler --recovered \"2.1 kg\" \\
      --pressure \"0.3 bar\" --cylinder \"47.6 lb\" --holds \"12 lb\"
  stemwise recovery R-22 --charge \"8 lb\" --log pull.csv --column \"pressure=P\" \\
      --unit \"pressure=psig\"")]
pub(crate) struct Recovery {
    #[command(flatten)]
    pub(crate) about: About,
    /// The full charge
    #[arg(long, value_name = "MASS", allow_hyphen_values = true)]
    pub(crate) charge: Option<String>,
    /// When the machine was made: newer (since 15 November 1993, if left out) or older
    #[arg(long, value_name = "AGE")]
    pub(crate) machine: Option<String>,
    /// A small appliance (at most 5 lb, sealed) whose compressor works or fails
    #[arg(long, value_name = "COMPRESSOR")]
    pub(crate) small: Option<String>,
    /// The pressure in there now
    #[arg(long, value_name = "PRESSURE", allow_hyphen_values = true)]
    pub(crate) pressure: Option<String>,
    /// How warm it is there; 20 °C if left out
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    pub(crate) at: Option<String>,
    /// The volume that is emptied
    #[arg(long, value_name = "VOLUME", allow_hyphen_values = true)]
    pub(crate) volume: Option<String>,
    /// What the scale says has come out
    #[arg(long, value_name = "MASS", allow_hyphen_values = true)]
    pub(crate) recovered: Option<String>,
    /// The cylinder's water capacity
    #[arg(long, value_name = "MASS", allow_hyphen_values = true)]
    pub(crate) cylinder: Option<String>,
    /// What the cylinder holds already
    #[arg(long, value_name = "MASS", requires = "cylinder", allow_hyphen_values = true)]
    pub(crate) holds: Option<String>,
    /// The gauge: "class 1.6, -1 to 24 bar"
    #[arg(long, value_name = "INSTRUMENT")]
    pub(crate) gauge: Option<String>,
    #[command(flatten)]
    pub(crate) log: LogFile,
}
