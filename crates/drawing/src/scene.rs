//! The scene: everything that a face draws, placed, with what it stands for. Colours and patterns are the face's.

use stemwise_circuit::{JointId, PlaceId, PortId, SpaceId, SpaceKind};

use crate::{Point, Pose, Rect, Symbol};

/// What an element stands for in the graph.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Thing {
    /// A part, or a place in a line.
    Space(SpaceId),
    /// A valve, a device or a machine; the first way of a reversing valve.
    Joint(JointId),
    /// A port.
    Port(PortId),
}

/// What a pipe is for, so that it can be told from others.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LineKind {
    /// Hot gas from the compressor.
    Discharge,
    /// Condensate or liquid.
    Liquid,
    /// The mixture behind a metering device.
    Mixture,
    /// Suction vapour.
    Suction,
    /// One or the other, as a reversing valve stands.
    Reversible,
    /// A hose of the rig, or what is joined to it.
    Hose,
    /// A connection inside a part or between devices that sit on each other.
    Plain,
}

impl LineKind {
    /// Of what a space is.
    pub const fn of_space(kind: SpaceKind) -> Self {
        match kind {
            SpaceKind::DischargeLine | SpaceKind::CompressorHead | SpaceKind::OilSeparator => Self::Discharge,
            SpaceKind::LiquidLine | SpaceKind::Receiver | SpaceKind::Drier | SpaceKind::Condenser => {
                Self::Liquid
            }
            SpaceKind::DistributorLine => Self::Mixture,
            SpaceKind::SuctionLine
            | SpaceKind::CompressorShell
            | SpaceKind::Evaporator
            | SpaceKind::Accumulator => Self::Suction,
            SpaceKind::ReversibleLine | SpaceKind::ReversibleCoil => Self::Reversible,
            SpaceKind::Hose | SpaceKind::Cylinder | SpaceKind::NitrogenCylinder => Self::Hose,
            SpaceKind::Stub | SpaceKind::Vessel | SpaceKind::Atmosphere => Self::Plain,
        }
    }
    /// Stable, kebab-case: for a class of a style sheet.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Discharge => "discharge",
            Self::Liquid => "liquid",
            Self::Mixture => "mixture",
            Self::Suction => "suction",
            Self::Reversible => "reversible",
            Self::Hose => "hose",
            Self::Plain => "plain",
        }
    }
}

/// Which way a scene is longer.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Sheet {
    /// For a desktop, a projector, paper on its side: the flow runs along rows.
    #[default]
    Wide,
    /// For a phone held upright: the flow runs along columns.
    Tall,
}

impl Sheet {
    /// The one that suits a room of that width and height.
    pub fn for_room(width: f64, height: f64) -> Self {
        if width > height { Self::Wide } else { Self::Tall }
    }
}

/// How a label's lines stand to its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Align {
    /// They begin there.
    Start,
    /// Their middle is there.
    Middle,
}

/// A placed label.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// Its lines.
    pub lines: Vec<String>,
    /// Where the first line's base is.
    pub at: Point,
    /// How the lines stand to that point.
    pub align: Align,
    /// The room it takes; nothing else is drawn there.
    pub bounds: Rect,
}

/// A placed symbol.
#[derive(Clone, Debug, PartialEq)]
pub struct Element {
    /// Unique in the scene and the same as long as the thing is there: the id from the file where there is one.
    pub id: String,
    /// What it stands for.
    pub of: Thing,
    /// Its joints: one for a valve, four for a reversing valve, none for a plain part.
    pub joints: Vec<JointId>,
    /// The spaces it holds or touches.
    pub spaces: Vec<SpaceId>,
    /// What is drawn.
    pub symbol: Symbol,
    /// Where its middle is.
    pub at: Point,
    /// How it lies.
    pub pose: Pose,
    /// The room of everything drawn.
    pub bounds: Rect,
    /// The room that answers to a touch: at least 44 pixels each way, over no other's.
    pub hit: Rect,
    /// Its label, where there is room for one.
    pub label: Option<Label>,
    /// What a screen reader says: its kind and what people call it.
    pub name: String,
    /// The element that it sits on, by position in the scene.
    pub on: Option<usize>,
}

/// A mark that shows which way fluid flows in normal running.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arrow {
    /// Its middle.
    pub at: Point,
    /// Where it points.
    pub pose: Pose,
}

/// A placed stretch of pipe or hose.
#[derive(Clone, Debug, PartialEq)]
pub struct Pipe {
    /// Unique in the scene.
    pub id: String,
    /// What it carries: all of it one space.
    pub space: SpaceId,
    /// What it is for.
    pub line: LineKind,
    /// Its centre lines, each a run of horizontal and vertical stretches.
    pub runs: Vec<Vec<Point>>,
    /// Where its branches meet: a dot is drawn there.
    pub tees: Vec<Point>,
    /// Marks of its flow.
    pub arrows: Vec<Arrow>,
    /// Whether it is a header, drawn as a bar.
    pub is_header: bool,
    /// What a screen reader says.
    pub name: String,
}

/// Where parts stand: a background behind them.
#[derive(Clone, Debug, PartialEq)]
pub struct Region {
    /// Which place.
    pub place: PlaceId,
    /// Boxes that together are the region; they share edges and overlap no other region's.
    pub boxes: Vec<Rect>,
    /// Its name.
    pub label: Label,
}

/// The room around a region that is looked at alone, px: a label and half a symbol.
const AROUND: f64 = 30.0;

impl Region {
    /// The box around it, with some room; none for a region without boxes.
    pub fn bounds(&self) -> Option<Rect> {
        let around = self.boxes.iter().copied().reduce(|one, other| one.with(&other))?;
        Some(around.grown(AROUND))
    }
}

/// A drawing of a circuit, alone or with a rig on it.
#[derive(Clone, Debug, PartialEq)]
pub struct Scene {
    /// What is shown.
    pub title: String,
    /// Which way it is longer.
    pub sheet: Sheet,
    /// The box of it all.
    pub view: Rect,
    /// The places behind.
    pub regions: Vec<Region>,
    /// The symbols, in the order in which one walks along the pipe from the compressor: the order for keys and screen readers.
    pub elements: Vec<Element>,
    /// The pipes.
    pub pipes: Vec<Pipe>,
    /// Where pipes cross without meeting.
    pub crossings: Vec<Point>,
    /// How many pipes found no way around the symbols and lead straight across; 0 but in drawings that no one could read anyway.
    pub unrouted: usize,
    /// How many places the search for ways looked at, over all pipes: what a drawing costs.
    pub looked_at: usize,
}

/// What lights up together.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Lit {
    /// Elements, by position in the scene.
    pub elements: Vec<usize>,
    /// Pipes, by position in the scene.
    pub pipes: Vec<usize>,
}

impl Scene {
    /// The element of that id.
    pub fn element(&self, id: &str) -> Option<&Element> {
        self.elements.iter().find(|element| element.id == id)
    }
    /// The element that stands for something.
    pub fn element_of(&self, thing: Thing) -> Option<&Element> {
        self.elements.iter().find(|element| element.of == thing)
    }
    /// What answers to a touch there.
    pub fn touched(&self, at: Point) -> Option<&Element> {
        self.elements.iter().find(|element| element.hit.holds(at))
    }
    /// What shows some spaces (those that are joined to a gauge, say): every pipe that carries one, every element that holds or touches one.
    pub fn lit(&self, spaces: &[SpaceId]) -> Lit {
        let lit = |of: &[SpaceId]| of.iter().any(|space| spaces.contains(space));
        let elements = self.elements.iter().enumerate().filter(|(_, element)| lit(&element.spaces));
        let pipes = self.pipes.iter().enumerate().filter(|(_, pipe)| spaces.contains(&pipe.space));
        Lit { elements: elements.map(|(at, _)| at).collect(), pipes: pipes.map(|(at, _)| at).collect() }
    }
    /// The box around what shows some spaces, to zoom to; the whole view if nothing does.
    pub fn around(&self, spaces: &[SpaceId]) -> Rect {
        let lit = self.lit(spaces);
        let elements = lit.elements.iter().filter_map(|&at| self.elements.get(at));
        let boxes = elements.flat_map(|element| {
            [Some(element.hit), element.label.as_ref().map(|label| label.bounds)].into_iter().flatten()
        });
        boxes.reduce(|one, other| one.with(&other)).map_or(self.view, |found| found.grown(24.0))
    }
}
