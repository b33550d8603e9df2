//! The paths of every symbol, drawn for flow to the right around the origin, showing how the thing is set.

use stemwise_circuit::{End, Graph, JointKind, Lineup, Mode, Position};

use crate::path::Path;
use crate::{Element, Pose, Symbol, Thing, glyph_parts, glyph_rig};

/// How a path is inked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Ink {
    /// An outline, filled with the paper.
    Body,
    /// A line without filling.
    Line,
    /// A thin line without filling: what is inside.
    Thin,
    /// Filled with the ink.
    Solid,
    /// What shows how a stem or a slide stands: inked strongly.
    Stem,
    /// A way that is shut: filled with the ink.
    Shut,
    /// Liquid in a vessel: filled lightly.
    Liquid,
}

impl Ink {
    /// Stable, kebab-case: for a class of a style sheet.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Body => "body",
            Self::Line => "line",
            Self::Thin => "thin",
            Self::Solid => "solid",
            Self::Stem => "stem",
            Self::Shut => "shut",
            Self::Liquid => "wet",
        }
    }
}

/// A path of a symbol.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stroke {
    /// Path data, for the `d` of SVG.
    pub d: String,
    /// How it is inked.
    pub ink: Ink,
}

/// How a thing is set; what doesn't concern it is left alone.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Setting {
    /// Where its stem stands.
    pub position: Option<Position>,
    /// Whether it runs, or its coil is energised.
    pub on: bool,
    /// Whether a solenoid valve is open; with the lineup it follows from the coil.
    pub open: Option<bool>,
    /// How a reversing valve stands.
    pub mode: Option<Mode>,
    /// Whether a port's core is out.
    pub core_out: bool,
    /// Whether a hose is on a port.
    pub hose_on: bool,
    /// Where a gauge's needle stands, from 0 to 1 of its range.
    pub needle: Option<f64>,
}

impl Setting {
    /// How an element is set in a lineup.
    pub fn of(element: &Element, graph: &Graph, lineup: &Lineup) -> Self {
        let mut setting = Self { mode: Some(lineup.mode), ..Self::default() };
        match element.of {
            Thing::Port(port) => {
                setting.core_out = lineup.cores_out.contains(&port);
                setting.hose_on = lineup.hose_on(port).is_some();
            }
            Thing::Joint(id) => {
                setting.position = lineup.position(id);
                setting.on = lineup.is_active(id);
                if let Some(JointKind::Solenoid { energised_opens, .. }) =
                    graph.joint(id).map(|joint| &joint.kind)
                {
                    setting.open = Some(setting.on == *energised_opens || lineup.held_open.contains(&id));
                }
            }
            Thing::Space(_) => {}
        }
        setting
    }

    /// How it is set, in words for a screen reader; nothing where there is nothing to say.
    pub fn words(&self) -> Option<&'static str> {
        if let Some(position) = self.position {
            return Some(position_words(position));
        }
        match self.open {
            Some(true) => Some("open"),
            Some(false) => Some("shut"),
            None => None,
        }
    }
}

/// A position as one says it.
pub const fn position_words(position: Position) -> &'static str {
    match position {
        Position::BackSeated => "back-seated",
        Position::Cracked => "cracked",
        Position::MidSeated => "mid-seated",
        Position::FrontSeated => "front-seated",
        Position::Open => "open",
        Position::Shut => "shut",
    }
}

/// Collects strokes.
#[derive(Default)]
pub(crate) struct Pen(pub(crate) Vec<Stroke>);

impl Pen {
    pub(crate) fn draw(&mut self, ink: Ink, path: Path) {
        self.0.push(Stroke { d: path.done(), ink });
    }
}

/// The paths of a symbol, to be drawn through [`Pose::transform`]. Vessels take the pose to stay upright in it.
///
/// ```
/// use stemwise_drawing::{Pose, Setting, Symbol, glyph};
/// assert!(Symbol::all().iter().all(|symbol| !glyph(*symbol, Pose::Right, &Setting::default()).is_empty()));
/// ```
pub fn glyph(symbol: Symbol, pose: Pose, setting: &Setting) -> Vec<Stroke> {
    let mut pen = Pen::default();
    match symbol {
        Symbol::ServiceValve { body_ahead, stays_with, port } => {
            service_valve(&mut pen, body_ahead, stays_with, port, setting);
        }
        Symbol::LineSetValve { line_set_ahead, port } => {
            line_set_valve(&mut pen, line_set_ahead, port, setting)
        }
        Symbol::BallValve => ball_valve(&mut pen, setting),
        Symbol::HandValve | Symbol::CylinderValve => hand_valve(&mut pen, setting),
        Symbol::CheckValve => check_valve(&mut pen),
        Symbol::SolenoidValve => solenoid(&mut pen, setting),
        Symbol::ThermostaticValve => thermostatic(&mut pen),
        Symbol::ElectronicValve => electronic(&mut pen),
        Symbol::Orifice => orifice(&mut pen),
        Symbol::Capillary => capillary(&mut pen),
        Symbol::EvaporatorPressureRegulator | Symbol::HeadPressureRegulator => {
            regulator(&mut pen, symbol, -1.0)
        }
        Symbol::CrankcasePressureRegulator => regulator(&mut pen, symbol, 1.0),
        Symbol::ReliefValve => relief(&mut pen),
        Symbol::ReversingValve => reversing(&mut pen, pose, setting),
        Symbol::AccessPort | Symbol::PlainPort => port(&mut pen, symbol == Symbol::AccessPort, setting),
        Symbol::PiercingValve => piercing(&mut pen, setting),
        Symbol::CoreTool => core_tool(&mut pen),
        Symbol::Gauge
        | Symbol::Cylinder
        | Symbol::RecoveryMachine
        | Symbol::VacuumPump
        | Symbol::NitrogenCylinder
        | Symbol::NitrogenRegulator => glyph_rig::draw(&mut pen, symbol, pose, setting),
        _ => glyph_parts::draw(&mut pen, symbol, pose, setting),
    }
    pen.0
}

/// The two triangles of a valve; each filled where its way is shut.
fn bow(pen: &mut Pen, behind_shut: bool, ahead_shut: bool) {
    let ink = |shut| if shut { Ink::Shut } else { Ink::Body };
    pen.draw(ink(behind_shut), Path::new().poly(&[(-18.0, -10.0), (0.0, 0.0), (-18.0, 10.0)]).close());
    pen.draw(ink(ahead_shut), Path::new().poly(&[(18.0, -10.0), (0.0, 0.0), (18.0, 10.0)]).close());
}

fn service_valve(pen: &mut Pen, body_ahead: bool, stays_with: End, has_port: bool, setting: &Setting) {
    let position = setting.position.unwrap_or(Position::BackSeated);
    let front = position == Position::FrontSeated;
    // Front-seated, the port stays with one side: the other one is shut off.
    let line_shut = front && stays_with == End::Body;
    let body_shut = front && stays_with == End::Line;
    let (behind, ahead) = if body_ahead { (line_shut, body_shut) } else { (body_shut, line_shut) };
    bow(pen, behind, ahead);
    if has_port {
        let back = position == Position::BackSeated;
        let ink = if back { Ink::Shut } else { Ink::Body };
        pen.draw(ink, Path::new().poly(&[(-9.0, -16.0), (0.0, 0.0), (9.0, -16.0)]).close());
        if position == Position::Cracked {
            pen.draw(Ink::Shut, Path::new().poly(&[(-9.0, -16.0), (0.0, 0.0), (-2.0, -16.0)]).close());
            pen.draw(Ink::Shut, Path::new().poly(&[(9.0, -16.0), (0.0, 0.0), (2.0, -16.0)]).close());
        }
    }
    stem_below(pen, position);
    // The flange of the body.
    let side = if body_ahead { 1.0 } else { -1.0 };
    pen.draw(Ink::Line, Path::new().to(side * 21.0, -8.0).line(side * 21.0, 8.0));
}

/// The square stem under a service valve, further in the more it is turned in.
fn stem_below(pen: &mut Pen, position: Position) {
    let out = match position {
        Position::BackSeated | Position::Open => 9.0,
        Position::Cracked => 7.5,
        Position::MidSeated => 5.0,
        Position::FrontSeated | Position::Shut => 1.0,
    };
    pen.draw(Ink::Body, Path::new().rect(-5.0, 7.0, 10.0, 4.0));
    pen.draw(Ink::Stem, Path::new().rect(-2.5, 11.0, 5.0, out));
}

fn is_shut(setting: &Setting) -> bool {
    setting.position == Some(Position::Shut)
}

fn line_set_valve(pen: &mut Pen, line_set_ahead: bool, has_port: bool, setting: &Setting) {
    let shut = is_shut(setting);
    bow(pen, shut, shut);
    let side = if line_set_ahead { 1.0 } else { -1.0 };
    if has_port {
        pen.draw(Ink::Line, Path::new().to(side * 12.0, -7.0).line(0.0, -14.0));
    }
    // A key's hexagon under it, deeper in when shut.
    let y = if shut { 12.0 } else { 16.0 };
    pen.draw(Ink::Line, Path::new().to(0.0, 0.0).line(0.0, y - 4.0));
    pen.draw(
        Ink::Stem,
        Path::new()
            .poly(&[(-5.0, y), (-2.5, y - 4.3), (2.5, y - 4.3), (5.0, y), (2.5, y + 4.3), (-2.5, y + 4.3)])
            .close(),
    );
    pen.draw(Ink::Line, Path::new().to(-side * 21.0, -8.0).line(-side * 21.0, 8.0));
}

fn ball_valve(pen: &mut Pen, setting: &Setting) {
    let shut = is_shut(setting);
    bow(pen, shut, shut);
    pen.draw(Ink::Body, Path::new().circle(0.0, 0.0, 6.5));
    // The bore of the ball, and the lever above it: along the pipe when open.
    if shut {
        pen.draw(Ink::Stem, Path::new().rect(-1.5, -6.5, 3.0, 13.0));
        pen.draw(Ink::Line, Path::new().to(0.0, -6.5).line(0.0, -16.0));
        pen.draw(Ink::Stem, Path::new().rect(-2.0, -30.0, 4.0, 15.0));
    } else {
        pen.draw(Ink::Stem, Path::new().rect(-6.5, -1.5, 13.0, 3.0));
        pen.draw(Ink::Line, Path::new().to(0.0, -6.5).line(0.0, -16.0));
        pen.draw(Ink::Stem, Path::new().rect(-2.0, -19.0, 18.0, 4.0));
    }
}

fn hand_valve(pen: &mut Pen, setting: &Setting) {
    let shut = is_shut(setting);
    bow(pen, shut, shut);
    let wheel = if shut { -16.0 } else { -24.0 };
    pen.draw(Ink::Line, Path::new().to(0.0, 0.0).line(0.0, wheel));
    pen.draw(Ink::Stem, Path::new().rect(-11.0, wheel - 2.0, 22.0, 4.0));
}

fn check_valve(pen: &mut Pen) {
    pen.draw(Ink::Body, Path::new().poly(&[(-14.0, -11.0), (12.0, 0.0), (-14.0, 11.0)]).close());
    pen.draw(Ink::Stem, Path::new().rect(11.0, -11.0, 3.0, 22.0));
}

fn solenoid(pen: &mut Pen, setting: &Setting) {
    let shut = setting.open == Some(false);
    bow(pen, shut, shut);
    pen.draw(Ink::Line, Path::new().to(0.0, 0.0).line(0.0, -14.0));
    pen.draw(Ink::Body, Path::new().rect(-10.0, -32.0, 20.0, 18.0));
    if setting.on {
        pen.draw(Ink::Shut, Path::new().poly(&[(-10.0, -14.0), (10.0, -32.0), (10.0, -14.0)]).close());
    }
    pen.draw(Ink::Line, Path::new().to(-10.0, -14.0).line(10.0, -32.0));
}

/// A diaphragm over a valve, from −12 to 12.
fn diaphragm(pen: &mut Pen) {
    pen.draw(Ink::Line, Path::new().to(0.0, 0.0).line(0.0, -18.0));
    pen.draw(Ink::Body, Path::new().to(-12.0, -18.0).arc(12.0, true, 12.0, -18.0).close());
}

fn thermostatic(pen: &mut Pen) {
    bow(pen, false, false);
    diaphragm(pen);
    // The bulb and its tube.
    pen.draw(Ink::Thin, Path::new().to(0.0, -30.0).curve(4.0, -36.0, 20.0, -34.0, 20.0, -26.0));
    pen.draw(Ink::Body, Path::new().rounded(16.5, -27.0, 7.0, 14.0, 3.5));
}

fn electronic(pen: &mut Pen) {
    bow(pen, false, false);
    pen.draw(Ink::Line, Path::new().to(0.0, 0.0).line(0.0, -13.0));
    pen.draw(Ink::Body, Path::new().circle(0.0, -23.0, 10.5));
    // Steps, as a step motor makes them.
    let steps = [(-6.0, -18.0), (-2.0, -18.0), (-2.0, -23.0), (2.0, -23.0), (2.0, -28.0), (6.0, -28.0)];
    pen.draw(Ink::Line, Path::new().poly(&steps));
}

fn orifice(pen: &mut Pen) {
    pen.draw(Ink::Line, Path::new().to(-24.0, 0.0).line(24.0, 0.0));
    pen.draw(
        Ink::Line,
        Path::new().to(-9.0, -13.0).arc(16.0, true, 9.0, -13.0).to(-9.0, 13.0).arc(16.0, false, 9.0, 13.0),
    );
    pen.draw(Ink::Stem, Path::new().rect(-1.5, -9.0, 3.0, 6.5).rect(-1.5, 2.5, 3.0, 6.5));
}

fn capillary(pen: &mut Pen) {
    let mut path = Path::new().to(-36.0, 0.0).line(-24.0, 0.0);
    for turn in 0..4 {
        let x = -24.0 + 12.0 * f64::from(turn);
        path = path.curve(x + 4.0, -22.0, x + 18.0, -22.0, x + 12.0, 0.0);
        if turn < 3 {
            path = path.curve(x + 10.0, 10.0, x + 4.0, 10.0, x + 12.0, 0.0);
        }
    }
    pen.draw(Ink::Line, path.line(36.0, 0.0));
}

fn regulator(pen: &mut Pen, symbol: Symbol, senses: f64) {
    bow(pen, false, false);
    diaphragm(pen);
    // The spring above the diaphragm and the line to the side that it senses.
    let spring = [(0.0, -24.0), (-4.0, -25.5), (4.0, -27.5), (-4.0, -29.5), (4.0, -31.5), (0.0, -33.0)];
    pen.draw(Ink::Thin, Path::new().poly(&spring));
    let sensing = [(senses * 12.0, -20.0), (senses * 21.0, -20.0), (senses * 21.0, 0.0)];
    pen.draw(Ink::Thin, Path::new().poly(&sensing));
    if symbol == Symbol::HeadPressureRegulator {
        pen.draw(Ink::Thin, Path::new().to(-5.0, -20.5).line(5.0, -20.5));
    }
}

fn relief(pen: &mut Pen) {
    // Up out of what it protects, out to the side.
    pen.draw(Ink::Shut, Path::new().poly(&[(-14.0, -9.0), (0.0, 0.0), (-14.0, 9.0)]).close());
    pen.draw(Ink::Body, Path::new().poly(&[(-9.0, 14.0), (0.0, 0.0), (9.0, 14.0)]).close());
    pen.draw(Ink::Line, Path::new().to(0.0, 14.0).line(0.0, 20.0));
    pen.draw(Ink::Thin, Path::new().poly(&[(-4.0, 16.5), (0.0, 20.0), (4.0, 16.5)]));
    let spring = [
        (0.0, 0.0),
        (4.0, 0.0),
        (5.5, -5.0),
        (8.5, 5.0),
        (11.5, -5.0),
        (14.5, 5.0),
        (16.0, 0.0),
        (19.0, 0.0),
    ];
    pen.draw(Ink::Line, Path::new().poly(&spring).to(19.0, -6.0).line(19.0, 6.0));
}

fn reversing(pen: &mut Pen, pose: Pose, setting: &Setting) {
    let s = if pose == Pose::Down { -1.0 } else { 1.0 };
    pen.draw(Ink::Body, Path::new().rounded(-26.0, -22.0, 52.0, 44.0, 6.0));
    // Which connections the slide joins: discharge and outdoor, suction and indoor while cooling.
    let ways = match setting.mode.unwrap_or(Mode::Cooling) {
        Mode::Cooling => Path::new()
            .to(-26.0, 0.0)
            .curve(-10.0, s * -16.0, 10.0, s * -16.0, 26.0, 0.0)
            .to(-12.0, s * 22.0)
            .curve(-10.0, s * 6.0, 10.0, s * 6.0, 12.0, s * 22.0),
        Mode::Heating => Path::new()
            .to(-26.0, 0.0)
            .curve(-4.0, s * -14.0, 12.0, 0.0, 12.0, s * 22.0)
            .to(-12.0, s * 22.0)
            .curve(-12.0, s * 4.0, 4.0, s * 14.0, 26.0, 0.0),
    };
    pen.draw(Ink::Line, ways);
}

fn port(pen: &mut Pen, core: bool, setting: &Setting) {
    pen.draw(
        Ink::Body,
        Path::new()
            .poly(&[(-8.0, -5.0), (2.0, -5.0), (8.0, -9.0), (8.0, 9.0), (2.0, 5.0), (-8.0, 5.0)])
            .close(),
    );
    if core && !setting.core_out {
        let shut = if setting.hose_on { Ink::Line } else { Ink::Stem };
        pen.draw(shut, Path::new().rect(-4.0, -5.0, 3.0, 10.0));
        pen.draw(Ink::Thin, Path::new().to(-1.0, 0.0).line(6.0, 0.0));
    }
    if setting.hose_on {
        pen.draw(Ink::Body, Path::new().rect(9.0, -9.0, 9.0, 18.0));
        pen.draw(Ink::Line, Path::new().to(18.0, 0.0).line(24.0, 0.0));
    } else {
        // The cap.
        pen.draw(Ink::Line, Path::new().to(11.0, -10.0).line(15.0, -10.0).line(15.0, 10.0).line(11.0, 10.0));
    }
}

fn piercing(pen: &mut Pen, setting: &Setting) {
    let shut = setting.position != Some(Position::Open);
    pen.draw(Ink::Body, Path::new().rect(-14.0, -9.0, 22.0, 18.0));
    let tip = if shut { -20.0 } else { -12.0 };
    pen.draw(
        Ink::Stem,
        Path::new()
            .poly(&[(tip, 0.0), (tip + 8.0, -3.5), (tip + 20.0, -3.5), (tip + 20.0, 3.5), (tip + 8.0, 3.5)])
            .close(),
    );
    pen.draw(Ink::Line, Path::new().to(8.0, 0.0).line(24.0, 0.0));
    // The clamp that bolts it on.
    pen.draw(Ink::Thin, Path::new().to(-17.0, -11.0).line(-17.0, 11.0));
}

fn core_tool(pen: &mut Pen) {
    pen.draw(Ink::Body, Path::new().rect(-18.0, -7.0, 30.0, 14.0));
    pen.draw(Ink::Body, Path::new().circle(-6.0, 0.0, 6.0));
    pen.draw(Ink::Stem, Path::new().rect(-12.0, -1.5, 12.0, 3.0));
    pen.draw(Ink::Line, Path::new().to(4.0, -7.0).line(4.0, -16.0).to(-1.0, -16.0).line(9.0, -16.0));
}
