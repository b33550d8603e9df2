//! Valves and ports cut open: metal, seats, stem and the passages between them, as the stem stands.

mod automatic;
mod ports;
mod service;
mod stems;

use stemwise_circuit::{End, Joint, JointKind, Metering, Position};

use crate::{Point, Rect};

/// A connection of a fixture, to which a passage belongs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Opening {
    /// The line of a service valve, the unit side of a line-set valve, the inlet of anything else: a joint's first space.
    Line,
    /// The body of a service valve, the line-set side of a line-set valve, the outlet of anything else: a joint's second space.
    Body,
    /// The port.
    Port,
    /// What the ball of a shut valve holds: it belongs to neither side.
    Pocket,
}

/// A closed area that fluid fills.
#[derive(Clone, Debug, PartialEq)]
pub struct Passage {
    /// Which connection it belongs to.
    pub opening: Opening,
    /// Its outline.
    pub outline: Vec<Point>,
    /// Where a word for what it holds fits; one in the first passage of each opening is enough.
    pub label: Point,
}

/// How a piece is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Stuff {
    /// What stands still: body, seats, nuts.
    Metal,
    /// What the stem moves.
    Moving,
    /// Packing, gaskets, seat rings.
    Seal,
    /// Caps.
    Cap,
    /// An opening towards the room, which nothing fills.
    Hollow,
    /// A line: a spring, a thread, a lever.
    Line,
}

impl Stuff {
    /// The class of a style sheet.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Metal => "metal",
            Self::Moving => "moving",
            Self::Seal => "seal",
            Self::Cap => "cap",
            Self::Hollow => "hollow",
            Self::Line => "part-line",
        }
    }
}

/// A piece of the fixture.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// How it is drawn.
    pub stuff: Stuff,
    /// Its outline, or its course if it is a line.
    pub outline: Vec<Point>,
}

/// A word beside the drawing and what it points at.
#[derive(Clone, Debug, PartialEq)]
pub struct Callout {
    /// The word.
    pub text: String,
    /// The middle of its left or right end, where its leader starts.
    pub from: Point,
    /// What it points at.
    pub to: Point,
    /// Whether it stands to the right of the drawing.
    pub on_right: bool,
}

/// A fixture cut open.
#[derive(Clone, Debug, PartialEq)]
pub struct Cutaway {
    /// What it is.
    pub name: &'static str,
    /// The box of it all.
    pub view: Rect,
    /// What stands behind the passages: drawn first.
    pub metal: Vec<Piece>,
    /// What fluid fills: drawn next.
    pub passages: Vec<Passage>,
    /// What stands or moves before them: drawn last.
    pub pieces: Vec<Piece>,
    /// The words around it.
    pub callouts: Vec<Callout>,
    /// The passages that are joined as it stands, as groups of openings.
    pub joined: Vec<Vec<Opening>>,
    /// Where a stem can be taken hold of; none for what no hand turns.
    pub handle: Option<Rect>,
}

/// What can be cut open.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Fixture {
    /// A service valve.
    ServiceValve {
        /// The side that its port stays with when it is front-seated.
        stays_with: End,
        /// Whether it has a packing nut.
        packing_nut: bool,
    },
    /// A line-set valve with its cored port.
    LineSetValve,
    /// A ball valve.
    BallValve,
    /// A hand valve with a packing gland.
    HandValve,
    /// An access port with its spring core; the travel presses the core.
    AccessPort,
    /// A core removal tool on a port; the travel draws the core back through its valve.
    CoreTool,
    /// A bolt-on piercing valve on a tube.
    PiercingValve,
    /// A solenoid valve; the travel lifts its plunger.
    SolenoidValve,
    /// A check valve; the travel opens it.
    CheckValve,
    /// A thermostatic expansion valve; the travel opens it.
    ThermostaticValve,
    /// A relief valve; the travel lifts it.
    ReliefValve,
}

impl Fixture {
    /// Every fixture.
    pub const ALL: [Self; 12] = [
        Self::ServiceValve { stays_with: End::Body, packing_nut: true },
        Self::ServiceValve { stays_with: End::Line, packing_nut: true },
        Self::LineSetValve,
        Self::BallValve,
        Self::HandValve,
        Self::AccessPort,
        Self::CoreTool,
        Self::PiercingValve,
        Self::SolenoidValve,
        Self::CheckValve,
        Self::ThermostaticValve,
        Self::ReliefValve,
    ];

    /// The fixture of a joint; none for one that isn't drawn cut open.
    pub fn of_joint(joint: &Joint) -> Option<Self> {
        Some(match &joint.kind {
            JointKind::ServiceValve { port_stays_with, .. } => Self::ServiceValve {
                stays_with: *port_stays_with,
                packing_nut: joint.stem.as_ref().is_some_and(|stem| stem.packing_nut),
            },
            JointKind::LineSetValve { .. } => Self::LineSetValve,
            JointKind::HandValve { quarter_turn: true } => Self::BallValve,
            JointKind::HandValve { quarter_turn: false } | JointKind::CylinderValve => Self::HandValve,
            JointKind::PiercingValve => Self::PiercingValve,
            JointKind::Solenoid { .. } => Self::SolenoidValve,
            JointKind::Check => Self::CheckValve,
            JointKind::Metering(Metering::Thermostatic { .. }) => Self::ThermostaticValve,
            JointKind::Relief { .. } => Self::ReliefValve,
            _ => return None,
        })
    }

    /// Whether a stem moves it, so that its travel runs from the back seat to the front seat, or from open to shut; otherwise its travel runs
    /// from rest (shut, core in place) to fully moved.
    pub const fn has_stem(self) -> bool {
        matches!(
            self,
            Self::ServiceValve { .. }
                | Self::LineSetValve
                | Self::BallValve
                | Self::HandValve
                | Self::PiercingValve
        )
    }
}

/// So close to a seat a stem is on it, in turns.
const ON_SEAT: f64 = 0.03;
/// Cracked: about an eighth of a turn off the back seat; up to this it still is.
const CRACKED: f64 = 0.125;
const CRACKED_MOST: f64 = 0.3;

/// The position that a stem stands in after so many turns off its back seat (or from open), of the turns that it has.
///
/// ```
/// use stemwise_circuit::Position;
/// use stemwise_drawing::{position_at, turns_at};
/// assert_eq!(position_at(0.125, 8.0, true), Position::Cracked);
/// assert_eq!(position_at(turns_at(Position::FrontSeated, 8.0), 8.0, true), Position::FrontSeated);
/// ```
pub fn position_at(turns: f64, all: f64, three_connections: bool) -> Position {
    match (three_connections, all - turns <= ON_SEAT) {
        (true, true) => Position::FrontSeated,
        (true, false) if turns <= ON_SEAT => Position::BackSeated,
        (true, false) if turns <= CRACKED_MOST => Position::Cracked,
        (true, false) => Position::MidSeated,
        (false, true) => Position::Shut,
        (false, false) => Position::Open,
    }
}

/// How many turns off its back seat (or from open) a stem stands in a position, of the turns that it has.
pub fn turns_at(position: Position, all: f64) -> f64 {
    match position {
        Position::BackSeated | Position::Open => 0.0,
        Position::Cracked => CRACKED.min(all / 4.0),
        Position::MidSeated => all / 2.0,
        Position::FrontSeated | Position::Shut => all,
    }
}

/// Cuts a fixture open, its stem so many turns off the back seat (or from open) of the turns that it has; a quarter of a turn for a ball valve.
pub fn cutaway_at(fixture: Fixture, turns: f64, all: f64) -> Cutaway {
    let travel = if all > 0.0 { (turns / all).clamp(0.0, 1.0) } else { 0.0 };
    match fixture {
        Fixture::ServiceValve { stays_with, packing_nut } => {
            let position = position_at(turns, all, true);
            service::valve(stays_with, packing_nut, travel, turns, position)
        }
        Fixture::LineSetValve => stems::line_set(travel, turns),
        Fixture::BallValve => stems::ball(travel),
        Fixture::HandValve => stems::hand(travel, turns),
        Fixture::PiercingValve => stems::piercing(travel, turns),
        Fixture::AccessPort => ports::access(travel),
        Fixture::CoreTool => ports::core_tool(travel),
        Fixture::SolenoidValve => automatic::solenoid(travel),
        Fixture::CheckValve => automatic::check(travel),
        Fixture::ThermostaticValve => automatic::thermostatic(travel),
        Fixture::ReliefValve => automatic::relief(travel),
    }
}

/// Cuts a fixture open; the travel runs from 0 to 1, see [`Fixture::has_stem`].
pub fn cutaway(fixture: Fixture, travel: f64) -> Cutaway {
    cutaway_at(fixture, travel.clamp(0.0, 1.0) * TURNS, TURNS)
}

/// Turns of a stem that nothing more is known of.
const TURNS: f64 = 8.0;

/// Collects a cutaway.
pub(crate) struct Cut(pub(crate) Cutaway);

/// Corners to points.
pub(crate) fn points(corners: &[(f64, f64)]) -> Vec<Point> {
    corners.iter().map(|(x, y)| Point::new(*x, *y)).collect()
}

/// The corners of a box.
pub(crate) fn boxed(x0: f64, y0: f64, x1: f64, y1: f64) -> Vec<Point> {
    points(&[(x0, y0), (x1, y0), (x1, y1), (x0, y1)])
}

impl Cut {
    pub(crate) fn new(name: &'static str) -> Self {
        let view = Rect { x: -170.0, y: 0.0, width: 660.0, height: 380.0 };
        Self(Cutaway {
            name,
            view,
            metal: Vec::new(),
            passages: Vec::new(),
            pieces: Vec::new(),
            callouts: Vec::new(),
            joined: Vec::new(),
            handle: None,
        })
    }
    pub(crate) fn metal(&mut self, outline: Vec<Point>) {
        self.0.metal.push(Piece { stuff: Stuff::Metal, outline });
    }
    pub(crate) fn passage(&mut self, opening: Opening, outline: Vec<Point>, label: (f64, f64)) {
        self.0.passages.push(Passage { opening, outline, label: Point::new(label.0, label.1) });
    }
    pub(crate) fn piece(&mut self, stuff: Stuff, outline: Vec<Point>) {
        self.0.pieces.push(Piece { stuff, outline });
    }
    /// A word to the left or right at a height, pointing at something.
    pub(crate) fn call(&mut self, text: &str, on_right: bool, y: f64, to: (f64, f64)) {
        let x = if on_right { 340.0 } else { -20.0 };
        self.0.callouts.push(Callout {
            text: text.to_owned(),
            from: Point::new(x, y),
            to: Point::new(to.0, to.1),
            on_right,
        });
    }
    pub(crate) fn join(&mut self, groups: &[&[Opening]]) {
        self.0.joined = groups.iter().map(|group| group.to_vec()).collect();
    }
    /// A packing gland and its nut around an upright stem whose middle is at `x`.
    pub(crate) fn gland(&mut self, x: f64, top: f64, nut: bool) {
        for side in [-1.0, 1.0] {
            let at = |from: f64, to: f64| (x + side * from).min(x + side * to);
            let wide = |from: f64, to: f64| (x + side * from).max(x + side * to);
            self.piece(Stuff::Metal, boxed(at(9.0, 36.0), top + 14.0, wide(9.0, 36.0), top + 34.0));
            self.piece(Stuff::Seal, boxed(at(9.0, 20.0), top + 20.0, wide(9.0, 20.0), top + 34.0));
            if nut {
                self.piece(Stuff::Metal, boxed(at(9.0, 44.0), top, wide(9.0, 44.0), top + 14.0));
            }
        }
    }
    /// The dial above a stem: how far it is turned.
    pub(crate) fn dial(&mut self, x: f64, y: f64, turns: f64) {
        let around: Vec<Point> =
            (0..=24).map(|step| dial_point(x, y, 15.0, f64::from(step) / 24.0)).collect();
        self.piece(Stuff::Line, around);
        self.piece(Stuff::Line, vec![Point::new(x, y), dial_point(x, y, 15.0, turns)]);
    }
}

fn dial_point(x: f64, y: f64, r: f64, turns: f64) -> Point {
    let angle = turns * 2.0 * core::f64::consts::PI;
    Point::new(x + r * libm::sin(angle), y - r * libm::cos(angle))
}

/// A spring as a zigzag, upright, between two heights.
pub(crate) fn spring(x: f64, top: f64, bottom: f64, half: f64, coils: u32) -> Vec<Point> {
    let steps = 2 * coils;
    let at = |step: u32| {
        let side = if step.is_multiple_of(2) { -half } else { half };
        Point::new(x + side, top + (bottom - top) * f64::from(step) / f64::from(steps))
    };
    (0..=steps).map(at).collect()
}
