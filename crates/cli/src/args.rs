//! What can be typed after `stemwise`, with the help that teaches it.

pub(crate) mod evidence;

use clap::{Args, Parser, Subcommand};
use clap_complete::Shell;

const AFTER: &str = "\
With no command it plans the replacement of the drier on an example circuit.

Examples:
  stemwise                                   a whole procedure, on an example
  stemwise list example:rack                 what is in a circuit, and its jobs
  stemwise plan my-cooler.toml --job \"replace the drier\"
  stemwise joined my-cooler.toml --set king=front-seated --hose suction-valve-port
  stemwise verify my-cooler.toml my-way.txt  is this procedure safe and complete?
  stemwise saturation R-134a --at \"68 psig\"

CIRCUIT is the path of a circuit file, \"-\" for standard input, or example:NAME.

Units: --units, or STEMWISE_UNITS, or the settings file decide; SI otherwise.
  The settings file is settings.toml in the folder stemwise of the user's
  configuration folder ($XDG_CONFIG_HOME or ~/.config; %APPDATA% on Windows), or
  the file that STEMWISE_SETTINGS names. It may hold:
    units = \"ip\"             si (bar, °C, kg) or ip (psig, °F, lb)
    altitude = \"1500 m\"      where gauges read zero, or
    barometer = \"845 mbar\"   the same, measured

Exit codes:
  0  fine
  1  problems found in the file, no safe way, a procedure that is not
     accepted, readings or a test that show a fault, or no such state
  2  could not be read, or was not understood
";

/// Says what stems and hoses join in a refrigeration circuit, and plans service jobs on it.
#[derive(Debug, Parser)]
#[command(name = "stemwise", version, after_help = AFTER, max_term_width = 80)]
#[command(disable_help_subcommand = true)]
pub(crate) struct Cli {
    #[command(flatten)]
    pub(crate) common: Common,
    #[command(subcommand)]
    pub(crate) command: Option<Command>,
}

/// What every command takes.
#[derive(Clone, Debug, Args)]
pub(crate) struct Common {
    /// Print the answer as JSON, in SI units, one object on one line
    #[arg(long, global = true)]
    pub(crate) json: bool,
    /// Units to print in: si (bar, °C, kg) or ip (psig, °F, lb)
    #[arg(long, global = true, value_name = "SYSTEM")]
    pub(crate) units: Option<String>,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    Check(Check),
    List(List),
    Joined(Joined),
    Draw(Draw),
    Plan(Plan),
    Verify(Verify),
    Slips(Slips),
    Why(Why),
    Rehearse(Rehearse),
    Record(Record),
    Serve(Serve),
    Questions(Questions),
    Drills(Drills),
    Properties(Properties),
    Saturation(Saturation),
    Envelope(Envelope),
    Diagram(Box<Diagram>),
    Shift(Shift),
    Readings(evidence::Readings),
    Faults(evidence::Faults),
    StandingTest(Box<evidence::StandingTest>),
    Vacuum(Box<evidence::Vacuum>),
    Charge(Box<evidence::Charge>),
    Air(evidence::Air),
    Recovery(Box<evidence::Recovery>),
    Coverage(Coverage),
    Examples(Examples),
    Schema(Schema),
    Completions(Completions),
}

/// Serve the app for the browser: draw, plan, rehearse, carry out, teach
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  stemwise serve                      on this machine
  stemwise serve --network            for phones in this network, over https
  stemwise serve --certificate site.crt --key site.key
  stemwise serve --export app-folder  files for any host that serves https

Everything is computed in the browser. After the first visit the app works
without a network, if it came over https or from this machine; docs/phone.md
says how it gets onto a phone.")]
pub(crate) struct Serve {
    /// The port to listen at
    #[arg(long, value_name = "NUMBER", default_value_t = 8777)]
    pub(crate) port: u16,
    /// Listen to the whole network, over https with a certificate made here
    #[arg(long)]
    pub(crate) network: bool,
    /// Listen to the whole network with this certificate (PEM)
    #[arg(long, value_name = "FILE", requires = "key")]
    pub(crate) certificate: Option<std::path::PathBuf>,
    /// The private key of the certificate (PEM)
    #[arg(long, value_name = "FILE", requires = "certificate")]
    pub(crate) key: Option<std::path::PathBuf>,
    /// Write the app's files into a folder instead
    #[arg(long, value_name = "FOLDER", conflicts_with_all = ["network", "certificate"])]
    pub(crate) export: Option<std::path::PathBuf>,
}

/// Check a circuit file: every fault with its place and what to do
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  stemwise check my-cooler.toml
  stemwise check example:heat-pump --json

Exit codes: 0 no error (there may be warnings), 1 errors, 2 could not be read.")]
pub(crate) struct Check {
    /// The circuit: a path, "-", or example:NAME
    #[arg(value_name = "CIRCUIT")]
    pub(crate) circuit: String,
}

/// List what is in a circuit: valves, ports, jobs, volumes and what was estimated
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  stemwise list example:walk-in-cooler
  stemwise list my-cooler.toml --units ip

The names it prints are those that \"joined --set\", \"joined --hose\" and
\"plan --job\" take.")]
pub(crate) struct List {
    /// The circuit: a path, "-", or example:NAME
    #[arg(value_name = "CIRCUIT")]
    pub(crate) circuit: String,
}

/// Show what stems and hoses join, what each section holds, and what gauges read
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  stemwise joined example:walk-in-cooler
  stemwise joined example:walk-in-cooler --set king=front-seated --running
  stemwise joined example:walk-in-cooler --set suction-valve=cracked \\
      --hose suction-valve-port

Positions: service valves can be back-seated, cracked, mid-seated or
front-seated; all others open or shut. Stems that are not named stand as in
normal running. The system stands still unless --running is given.")]
pub(crate) struct Joined {
    /// The circuit: a path, "-", or example:NAME
    #[arg(value_name = "CIRCUIT")]
    pub(crate) circuit: String,
    /// Turn a stem: king=front-seated (again for each stem)
    #[arg(long, value_name = "STEM=POSITION")]
    pub(crate) set: Vec<String>,
    /// Put a hose with a gauge on a port (again for each port)
    #[arg(long, value_name = "PORT")]
    pub(crate) hose: Vec<String>,
    /// The compressors have power, before and after the stems are turned
    #[arg(long, conflicts_with = "standing")]
    pub(crate) running: bool,
    /// The compressors stand (the default)
    #[arg(long)]
    pub(crate) standing: bool,
}

/// Draw the piping diagram of a circuit as an SVG file, as its stems stand
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  stemwise draw example:walk-in-cooler --write cooler.svg
  stemwise draw example:walk-in-cooler --set king=front-seated --hose king-port \\
      --write king.svg
  stemwise draw example:rack --around receiver --narrow > receiver.svg

Stems that are not named stand as in normal running; a valve's filled parts are
shut. Without --write the drawing goes to standard output. A file that exists
is never written over.")]
pub(crate) struct Draw {
    /// The circuit: a path, "-", or example:NAME
    #[arg(value_name = "CIRCUIT")]
    pub(crate) circuit: String,
    /// Write it to a new file
    #[arg(long, value_name = "FILE")]
    pub(crate) write: Option<String>,
    /// Turn a stem: king=front-seated (again for each stem)
    #[arg(long, value_name = "STEM=POSITION")]
    pub(crate) set: Vec<String>,
    /// Put a hose with a gauge on a port (again for each port)
    #[arg(long, value_name = "PORT")]
    pub(crate) hose: Vec<String>,
    /// Draw only this part, line or valve with what is beside it (again for each)
    #[arg(long, value_name = "NAME")]
    pub(crate) around: Vec<String>,
    /// Draw a sheet as narrow as a telephone
    #[arg(long)]
    pub(crate) narrow: bool,
}

/// Plan a job: the cheapest safe procedure, step by step, with what gauges show
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  stemwise plan example:walk-in-cooler --job \"replace the drier\"
  stemwise plan example:rack --job \"replace the compressor: compressor-2\"
  stemwise plan my-cooler.toml --job \"pump down\" --without recovery-machine
  stemwise plan example:walk-in-cooler --job \"replace the drier\" --job \"replace the solenoid valve\" --cost time

\"stemwise list CIRCUIT\" prints the jobs that a circuit offers.
Exit codes: 0 a procedure, 1 no safe way or faults in the file, 2 not understood.")]
pub(crate) struct Plan {
    /// The circuit: a path, "-", or example:NAME
    #[arg(value_name = "CIRCUIT")]
    pub(crate) circuit: String,
    /// The job, as the technician says it: "replace the drier"; again for each that is done on the same visit
    #[arg(long, value_name = "JOB", required = true)]
    pub(crate) job: Vec<String>,
    /// What "cheapest" means: refrigerant, time, turns, or a mix like "1 per g, 2 per min, 20 per turn"; also shows the ways that no other beats
    #[arg(long, value_name = "COST")]
    pub(crate) cost: Option<String>,
    /// What is not at hand: recovery-machine, cylinder, vacuum-pump, nitrogen or core-tool
    #[arg(long, value_name = "THING")]
    pub(crate) without: Vec<String>,
    /// How many recovery cylinders of 47.6 lb water capacity are at hand; if left out, as many as the charge needs
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u32).range(1..=1000))]
    pub(crate) cylinders: Option<u32>,
    /// Write the procedure to a new file that you can edit and verify
    #[arg(long, value_name = "FILE")]
    pub(crate) write: Option<String>,
    #[command(flatten)]
    pub(crate) paper: OnPaper,
}

/// A page to print.
#[derive(Clone, Debug, Default, Args)]
pub(crate) struct OnPaper {
    /// Write it as a page to print to a new file: PDF where its name ends in .pdf, HTML otherwise
    #[arg(long, value_name = "FILE")]
    pub(crate) page: Option<String>,
    /// The page's paper: a4 (the default) or letter
    #[arg(long, value_name = "PAPER", requires = "page")]
    pub(crate) paper: Option<String>,
    /// The page's heading, at most 60 characters
    #[arg(long, value_name = "TEXT", requires = "page")]
    pub(crate) heading: Option<String>,
}

/// Verify a procedure: every rule in every state, the goal, and the end
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  stemwise plan example:walk-in-cooler --job \"replace the drier\" --write way.txt
  stemwise verify example:walk-in-cooler way.txt
  stemwise verify my-cooler.toml way.txt --ranges --json

A procedure file is text that you may edit: move steps, add notes, take another
way. docs/procedure-file.md explains every line.
Exit codes: 0 accepted, 1 not accepted or faults in a file, 2 not understood.")]
pub(crate) struct Verify {
    /// The circuit: a path, "-", or example:NAME
    #[arg(value_name = "CIRCUIT")]
    pub(crate) circuit: String,
    /// The procedure: a path, or "-"
    #[arg(value_name = "FILE")]
    pub(crate) file: String,
    /// Also over the whole range of volumes and charge that were estimated
    #[arg(long)]
    pub(crate) ranges: bool,
}

/// Which procedure.
#[derive(Clone, Debug, Args)]
pub(crate) struct Which {
    /// The procedure: a path, or "-"
    #[arg(value_name = "FILE", required_unless_present = "job", conflicts_with = "job")]
    pub(crate) file: Option<String>,
    /// Or the job whose planned procedure is meant
    #[arg(long, value_name = "JOB")]
    pub(crate) job: Option<String>,
    /// What is not at hand for the job (again for each thing)
    #[arg(long, value_name = "THING", requires = "job")]
    pub(crate) without: Vec<String>,
}

/// Set a circuit in motion: its running balance, or a procedure to its end
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  stemwise rehearse example:walk-in-cooler
  stemwise rehearse example:walk-in-cooler --place \"cold-room=5 C\" \\
      --fault \"undercharge=0.8 kg\"
  stemwise rehearse example:walk-in-cooler --job \"pump down\"
  stemwise rehearse my-cooler.toml way.txt --chart gauges.svg

Without a procedure it runs until it comes to rest and says what it comes to:
pressures, superheat, subcooling, capacity, power, and the charge in each part.
With one, each step is done by the clock, and then one waits until the gauges
show what they should or come no nearer. What is assumed is listed with --all.
Exit codes: 0 fine, 1 a step can't be done, did not end, or a gauge is off.")]
pub(crate) struct Rehearse {
    /// The circuit: a path, "-", or example:NAME
    #[arg(value_name = "CIRCUIT")]
    pub(crate) circuit: String,
    /// The procedure: a path, or "-"
    #[arg(value_name = "FILE", conflicts_with = "job")]
    pub(crate) file: Option<String>,
    /// Or the job whose planned procedure is meant
    #[arg(long, value_name = "JOB")]
    pub(crate) job: Option<String>,
    /// What is not at hand for the job (again for each thing)
    #[arg(long, value_name = "THING", requires = "job")]
    pub(crate) without: Vec<String>,
    /// Another temperature of a place than the file's (again for each place)
    #[arg(long, value_name = "PLACE=TEMPERATURE")]
    pub(crate) place: Vec<String>,
    /// A fault to put in at the start (again for each)
    #[arg(long, value_name = "FAULT=SIZE")]
    pub(crate) fault: Vec<String>,
    /// Write what the gauges showed to a new SVG file
    #[arg(long, value_name = "FILE")]
    pub(crate) chart: Option<String>,
    /// Also list what was taken by rule because the file doesn't say
    #[arg(long)]
    pub(crate) all: bool,
}

/// Tell what every single wrong action along a procedure would do
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  stemwise slips example:walk-in-cooler --job \"replace the drier\"
  stemwise slips my-cooler.toml way.txt --all
  stemwise slips my-cooler.toml way.txt --orders --pairs

Printed are the slips that are dangerous; --all prints the others too, and JSON
always has them all.")]
pub(crate) struct Slips {
    /// The circuit: a path, "-", or example:NAME
    #[arg(value_name = "CIRCUIT")]
    pub(crate) circuit: String,
    #[command(flatten)]
    pub(crate) which: Which,
    /// Print the slips that are not dangerous too
    #[arg(long)]
    pub(crate) all: bool,
    /// Look for neighbouring steps that may change places so that fewer slips are dangerous
    #[arg(long)]
    pub(crate) orders: bool,
    /// Look for pairs of slips that are dangerous only together
    #[arg(long)]
    pub(crate) pairs: bool,
}

/// Explain a step: what breaks without it, and what its stems part
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  stemwise why example:walk-in-cooler --job \"replace the drier\" --step 7
  stemwise why my-cooler.toml way.txt --step 12")]
pub(crate) struct Why {
    /// The circuit: a path, "-", or example:NAME
    #[arg(value_name = "CIRCUIT")]
    pub(crate) circuit: String,
    #[command(flatten)]
    pub(crate) which: Which,
    /// The step's number, from 1
    #[arg(long, value_name = "NUMBER")]
    pub(crate) step: usize,
}

/// Tell where a job as carried out stands, merge its files, print it
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  stemwise record job.jsonl
  stemwise record phone.jsonl tablet.jsonl --merge both.jsonl
  stemwise record job.jsonl --page job.pdf --paper letter

A job file is what the app exports: one entry a line. Several files of the same
job are taken together; nothing is lost, whatever their order. A damaged or
cut-off file gives every entry that is intact, and says which are not.
Exit codes: 0 fine, 1 damage found or different jobs, 2 could not be read.")]
pub(crate) struct Record {
    /// The job file: a path, or "-"; more for copies from other devices
    #[arg(value_name = "FILE", required = true)]
    pub(crate) files: Vec<String>,
    /// Write all entries of all files to a new job file
    #[arg(long, value_name = "FILE")]
    pub(crate) merge: Option<String>,
    #[command(flatten)]
    pub(crate) paper: OnPaper,
    /// Print everything that was entered
    #[arg(long)]
    pub(crate) all: bool,
}

/// Make questions about a circuit, with answers worked out from it
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  stemwise questions example:walk-in-cooler
  stemwise questions my-cooler.toml --kind reads-now --kind next-turn --count 6
  stemwise questions example:walk-in-cooler --seed 7 --reply 2 --reply \"9.2 bar\"

Kinds: reads-now, parted, gauge-shows, which-stem, next-turn, shut-in, not-back,
position, cylinder-pressure, port-side, cylinder-room, missing-step,
swapped-steps, superheat, subcooling, at-rest, what-is-wrong.
The same seed makes the same questions, so that a class gets one paper and the
teacher another seed next year. JSON has the answers and the mistakes.")]
pub(crate) struct Questions {
    /// The circuit: a path, "-", or example:NAME
    #[arg(value_name = "CIRCUIT")]
    pub(crate) circuit: String,
    /// Only questions of this kind (again for each kind)
    #[arg(long, value_name = "KIND")]
    pub(crate) kind: Vec<String>,
    /// How many
    #[arg(long, value_name = "NUMBER", default_value_t = 10, value_parser = clap::value_parser!(u16).range(1..=200))]
    pub(crate) count: u16,
    /// Which paper: any number
    #[arg(long, value_name = "NUMBER", default_value_t = 1)]
    pub(crate) seed: u64,
    /// Print the answers too, with the reasons and the mistakes
    #[arg(long, conflicts_with = "reply")]
    pub(crate) answers: bool,
    /// Your answer to the first question, and again for the next: the number of a choice, or a quantity with its unit
    #[arg(long, value_name = "ANSWER", allow_hyphen_values = true)]
    pub(crate) reply: Vec<String>,
}

/// List drills, show one, score a procedure as a run of it
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  stemwise drills
  stemwise drills drill:shut-ball-valve
  stemwise drills drill:shut-ball-valve --run my-way.txt
  stemwise drills drill:shut-ball-valve --best
  stemwise drills drill:leaking-core --write my-drill.toml

A drill is a small file: a circuit, how it is found, what is wrong and not told,
and what is to be reached; docs/drill-file.md explains it. A run is a procedure
file, scored against the best known way.
Exit codes: 0 fine, 1 faults in a file or a run that does not pass, 2 not
understood.")]
pub(crate) struct Drills {
    /// The drill: a path, "-", or drill:NAME; all of them are listed if left out
    #[arg(value_name = "DRILL")]
    pub(crate) drill: Option<String>,
    /// Score this procedure file
    #[arg(long, value_name = "FILE", requires = "drill")]
    pub(crate) run: Option<String>,
    /// Print the best known way as a procedure file
    #[arg(long, requires = "drill", conflicts_with_all = ["run", "reply"])]
    pub(crate) best: bool,
    /// Show the faults and the answers too
    #[arg(long, requires = "drill")]
    pub(crate) answers: bool,
    /// Your answer to the first question of the drill, and again for the next
    #[arg(
        long,
        value_name = "ANSWER",
        requires = "drill",
        conflicts_with = "run",
        allow_hyphen_values = true
    )]
    pub(crate) reply: Vec<String>,
    /// Write the drill to a new file that you can edit and hand out
    #[arg(long, value_name = "FILE", requires = "drill")]
    pub(crate) write: Option<String>,
}

/// Where gauges read zero.
#[derive(Clone, Debug, Default, Args)]
pub(crate) struct Site {
    /// The site's height above the sea, where gauges read zero: "5000 ft"
    #[arg(long, value_name = "HEIGHT", conflicts_with = "barometer", allow_hyphen_values = true)]
    pub(crate) altitude: Option<String>,
    /// Or the atmosphere's pressure, measured: "845 mbar"
    #[arg(long, value_name = "PRESSURE")]
    pub(crate) barometer: Option<String>,
}

/// Give one state of a refrigerant from two values, or answer JSON lines
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  stemwise properties R-134a --temperature \"5 C\" --pressure \"1 bar\"
  stemwise properties R-290 --temperature \"40 F\" --quality 1
  stemwise properties R-744 --pressure \"90 bara\" --enthalpy \"300 kJ/kg\"
  stemwise properties \"R-32/R-1234yf 68.9/31.1\" --temperature \"5 C\" --quality 0
  stemwise properties --fluids
  stemwise properties --batch < requests.jsonl > answers.jsonl

A blend goes by its number, or by its components with their parts by mass.

Give two: any two of temperature, pressure, density, enthalpy, entropy and
energy, but for enthalpy with energy; or quality with temperature or pressure.
A pressure is gauge unless its unit says absolute (psia, bara, \"kPa abs\").
Enthalpy is 200 kJ/kg and entropy 1 kJ/(kg K) for the saturated liquid at 0 °C.

--batch reads one JSON request a line and answers one line each, in order:
  {\"id\": 1, \"fluid\": \"R-134a\", \"given\": {\"T\": 300, \"rho\": 20}}
in SI units; a line that can't be answered gets an error line. It exits with 0
when every line was answered. docs/json.md has the shapes.")]
pub(crate) struct Properties {
    /// The refrigerant: R-134a, r454b, propane, "R-32/R-125 50/50" …
    #[arg(value_name = "FLUID", required_unless_present_any = ["batch", "fluids"])]
    pub(crate) fluid: Option<String>,
    /// Temperature: "5 C", "40 F", "278 K"
    #[arg(long, value_name = "VALUE", allow_hyphen_values = true)]
    pub(crate) temperature: Option<String>,
    /// Pressure, gauge unless its unit says absolute: "3 bar", "68 psig", "200 kPa abs"
    #[arg(long, value_name = "VALUE", allow_hyphen_values = true)]
    pub(crate) pressure: Option<String>,
    /// Density: "1200 kg/m3"
    #[arg(long, value_name = "VALUE")]
    pub(crate) density: Option<String>,
    /// Enthalpy: "400 kJ/kg", "170 Btu/lb"
    #[arg(long, value_name = "VALUE", allow_hyphen_values = true)]
    pub(crate) enthalpy: Option<String>,
    /// Entropy: "1.72 kJ/(kg K)"
    #[arg(long, value_name = "VALUE", allow_hyphen_values = true)]
    pub(crate) entropy: Option<String>,
    /// Internal energy: "380 kJ/kg"
    #[arg(long, value_name = "VALUE", allow_hyphen_values = true)]
    pub(crate) energy: Option<String>,
    /// Vapour fraction: 0 is the bubble point, 1 the dew point; "0.3", "30 %"
    #[arg(long, value_name = "VALUE")]
    pub(crate) quality: Option<String>,
    #[command(flatten)]
    pub(crate) site: Site,
    /// Answer JSON lines from standard input
    #[arg(long, conflicts_with_all = ["fluid", "temperature", "pressure", "density", "enthalpy", "entropy", "energy", "quality"])]
    pub(crate) batch: bool,
    /// List the refrigerants
    #[arg(long, conflicts_with_all = ["fluid", "batch"])]
    pub(crate) fluids: bool,
}

/// Give saturation at a temperature or pressure, or a table
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  stemwise saturation R-134a --at \"40 F\"
  stemwise saturation R-134a --at \"68 psig\" --altitude \"5000 ft\"
  stemwise saturation R-290 --from \"-30 C\" --to \"50 C\" --step \"5 K\"
  stemwise saturation R-407C --at \"5 C\"
  stemwise saturation R-407C --page r407c.pdf

A blend has two points: read subcooling from the bubble point and superheat from
the dew point.")]
pub(crate) struct Saturation {
    /// The refrigerant: R-134a, r454b, propane, "R-32/R-125 50/50" …
    #[arg(value_name = "FLUID")]
    pub(crate) fluid: String,
    /// A temperature or a pressure: "40 F", "68 psig"
    #[arg(long, value_name = "VALUE", allow_hyphen_values = true)]
    #[arg(required_unless_present_any = ["from", "page"], conflicts_with_all = ["from", "to", "step", "page"])]
    pub(crate) at: Option<String>,
    /// The start of a table
    #[arg(long, value_name = "VALUE", requires = "to", requires = "step", allow_hyphen_values = true)]
    pub(crate) from: Option<String>,
    /// The end of a table
    #[arg(long, value_name = "VALUE", requires = "from", allow_hyphen_values = true)]
    pub(crate) to: Option<String>,
    /// The step of a table: "5 K", "10 psi"
    #[arg(long, value_name = "VALUE", requires = "from")]
    pub(crate) step: Option<String>,
    #[command(flatten)]
    pub(crate) paper: OnPaper,
    #[command(flatten)]
    pub(crate) site: Site,
}

/// Give the phase envelope: bubble and dew line, and where two phases end
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  stemwise envelope R-407C
  stemwise envelope \"R-32/R-1234yf 30/70\" --units ip
  stemwise envelope R-455A --json > r455a.json

Above the critical temperature a blend can still condense, up to its
cricondentherm; above the critical pressure it can still boil, up to its
cricondenbar.")]
pub(crate) struct Envelope {
    /// The refrigerant: R-407C, r454b, "R-32/R-125 50/50" …
    #[arg(value_name = "FLUID")]
    pub(crate) fluid: String,
    #[command(flatten)]
    pub(crate) site: Site,
}

/// Draw a pressure-enthalpy diagram, with a cycle if you like, as an SVG file
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  stemwise diagram R-134a --write r134a.svg
  stemwise diagram R-455A --evaporating \"-10 C\" --condensing \"40 C\" \\
      --superheat \"8 K\" --subcooling \"4 K\" --efficiency 0.7 --write cycle.svg
  stemwise diagram R-744 --evaporating \"-10 C\" --condensing \"95 bara\" \\
      --outlet \"35 C\" --write gas-cooler.svg
  stemwise diagram \"R-32/R-125 50/50\" --gauge --units ip > blend.svg

A temperature of evaporating or condensing is that of the dew point; subcooling
counts from the bubble point. Without --efficiency the compressor is ideal.
Without --write the drawing goes to standard output. A file that exists is
never written over.")]
pub(crate) struct Diagram {
    /// The refrigerant: R-134a, r454b, propane, "R-32/R-125 50/50" …
    #[arg(value_name = "FLUID")]
    pub(crate) fluid: String,
    /// Write it to a new file
    #[arg(long, value_name = "FILE")]
    pub(crate) write: Option<String>,
    /// Draw a cycle that evaporates at this dew point or pressure: "-10 C", "15 psig"
    #[arg(long, value_name = "VALUE", requires = "condensing", allow_hyphen_values = true)]
    pub(crate) evaporating: Option<String>,
    /// And condenses, or cools gas, at this one: "40 C", "95 bara"
    #[arg(long, value_name = "VALUE", requires = "evaporating", allow_hyphen_values = true)]
    pub(crate) condensing: Option<String>,
    /// Superheat at the compressor: "8 K"
    #[arg(long, value_name = "VALUE", requires = "evaporating")]
    pub(crate) superheat: Option<String>,
    /// Subcooling of the liquid: "4 K"
    #[arg(long, value_name = "VALUE", requires = "evaporating", conflicts_with = "outlet")]
    pub(crate) subcooling: Option<String>,
    /// Or the temperature at the outlet of condenser or gas cooler: "35 C"
    #[arg(long, value_name = "VALUE", requires = "evaporating", allow_hyphen_values = true)]
    pub(crate) outlet: Option<String>,
    /// The compressor's isentropic efficiency: "0.7", "70 %"
    #[arg(long, value_name = "VALUE", requires = "evaporating")]
    pub(crate) efficiency: Option<String>,
    /// Mark the pressure axis as gauges read at the site
    #[arg(long)]
    pub(crate) gauge: bool,
    /// Draw lines of constant density too
    #[arg(long)]
    pub(crate) densities: bool,
    /// Draw a sheet as narrow as a telephone
    #[arg(long)]
    pub(crate) narrow: bool,
    /// A heading of your own
    #[arg(long, value_name = "TEXT")]
    pub(crate) heading: Option<String>,
    /// Where the pressure axis starts
    #[arg(long, value_name = "VALUE", requires = "pressure_to", allow_hyphen_values = true)]
    pub(crate) pressure_from: Option<String>,
    /// Where it ends
    #[arg(long, value_name = "VALUE", requires = "pressure_from", allow_hyphen_values = true)]
    pub(crate) pressure_to: Option<String>,
    /// Where the enthalpy axis starts: "150 kJ/kg"
    #[arg(long, value_name = "VALUE", requires = "enthalpy_to", allow_hyphen_values = true)]
    pub(crate) enthalpy_from: Option<String>,
    /// Where it ends
    #[arg(long, value_name = "VALUE", requires = "enthalpy_from", allow_hyphen_values = true)]
    pub(crate) enthalpy_to: Option<String>,
    #[command(flatten)]
    pub(crate) site: Site,
}

/// Tell how a blend shifts: leaks, recovery, charging out of a cylinder, top-ups
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  stemwise shift R-407C --at \"25 C\" --volume \"10 L\" --mass \"5 kg\" \\
      --out vapour --left \"50 %\"
  stemwise shift R-454B --at \"77 F\" --mass \"24 lb\" --liquid \"80 %\" --out vapour \\
      --down-to \"0 psig\" --every \"20 %\"
  stemwise shift R-448A --at \"20 C\" --volume \"30 L\" --mass \"20 kg\" --out vapour \\
      --left \"50 %\" --top-up liquid --rounds 5

A leak, a recovery and a charge out of a cylinder are the same draw from a closed
space: after a leak or a partial recovery look at what stays, after a charge out
of a cylinder at what has gone out. It is worked out at one temperature, at
equilibrium at every moment, by mass and by mole (JSON has both).

Bubble and dew say by how much the point at a pressure is hotter (+) or colder
(-) than a pressure-temperature chart of the fresh blend says, and by how much
the pressure at this temperature is higher (+) or lower (-).")]
pub(crate) struct Shift {
    /// The refrigerant: R-407C, r454b, "R-32/R-125 50/50" …
    #[arg(value_name = "FLUID")]
    pub(crate) fluid: String,
    /// The temperature of it all: "25 C", "77 F"
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    pub(crate) at: String,
    /// The volume of the cylinder or system: "10 L", "0.5 ft3"
    #[arg(long, value_name = "VOLUME")]
    pub(crate) volume: Option<String>,
    /// What is in it: "5 kg", "11 lb"; two of volume, mass and liquid
    #[arg(long, value_name = "MASS")]
    pub(crate) mass: Option<String>,
    /// Which part of the volume is liquid: "80 %"
    #[arg(long, value_name = "PART")]
    pub(crate) liquid: Option<String>,
    /// What leaves: vapour or liquid (once the liquid is gone, the vapour)
    #[arg(long, value_name = "PHASE")]
    pub(crate) out: String,
    /// How much is left in the end: "50 %", "2 kg"
    #[arg(long, value_name = "AMOUNT", required_unless_present = "down_to", conflicts_with = "down_to")]
    pub(crate) left: Option<String>,
    /// Or the pressure to go down to: "0 psig", "1 bar"
    #[arg(long, value_name = "PRESSURE", allow_hyphen_values = true)]
    pub(crate) down_to: Option<String>,
    /// Then top up with the fresh blend from a cylinder: vapour or liquid
    #[arg(long, value_name = "PHASE")]
    pub(crate) top_up: Option<String>,
    /// How much to top up; if left out, as much as has left
    #[arg(long, value_name = "MASS", requires = "top_up")]
    pub(crate) add: Option<String>,
    /// How often to lose and top up, one after the other
    #[arg(long, value_name = "NUMBER", requires = "top_up", value_parser = clap::value_parser!(u32).range(1..=100))]
    pub(crate) rounds: Option<u32>,
    /// A row at every such part of the mass; 10 % if left out
    #[arg(long, value_name = "PART")]
    pub(crate) every: Option<String>,
    #[command(flatten)]
    pub(crate) site: Site,
}

/// Say what each refrigerant's numbers rest on: equations, parameters, ranges, agreement
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  stemwise coverage
  stemwise coverage R-401A

An estimate is marked as one here and wherever a result is printed.")]
pub(crate) struct Coverage {
    /// One refrigerant, with everything about it: R-134a, r454b
    #[arg(value_name = "FLUID")]
    pub(crate) fluid: Option<String>,
}

/// List the built-in example circuits, or print or write one out
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  stemwise examples
  stemwise examples walk-in-cooler
  stemwise examples walk-in-cooler --write my-cooler.toml

All examples are invented. A file that exists is never written over.")]
pub(crate) struct Examples {
    /// Which one to print
    #[arg(value_name = "NAME")]
    pub(crate) name: Option<String>,
    /// Write it to a file instead
    #[arg(long, value_name = "FILE", requires = "name")]
    pub(crate) write: Option<String>,
}

/// Print the JSON Schema of an answer or request, or list them
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  stemwise schema
  stemwise schema plan")]
pub(crate) struct Schema {
    /// Which one
    #[arg(value_name = "NAME")]
    pub(crate) name: Option<String>,
}

/// Print a completion script for a shell
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  stemwise completions bash > ~/.local/share/bash-completion/completions/stemwise
  stemwise completions fish > ~/.config/fish/completions/stemwise.fish")]
pub(crate) struct Completions {
    /// The shell
    #[arg(value_name = "SHELL")]
    pub(crate) shell: Shell,
}
