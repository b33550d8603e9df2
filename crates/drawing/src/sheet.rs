//! Writes scenes and single symbols as whole SVG files.

use stemwise_circuit::{Graph, Lineup};

use crate::geometry::short;
use crate::markup::Element as Tag;
use crate::{
    Align, Arrow, Element, Label, Pipe, Point, Pose, Rect, Region, Scene, Setting, Symbol, glyph, style,
};

/// How the things of a scene stand when it is written; left out, as in normal running with nothing marked.
#[derive(Clone, Copy, Debug, Default)]
pub struct Painted<'a> {
    /// The graph and how everything in it stands.
    pub lineup: Option<(&'a Graph, &'a Lineup)>,
    /// What to call the drawing instead of the circuit's name.
    pub title: Option<&'a str>,
}

impl Painted<'_> {
    fn setting(&self, element: &Element) -> Setting {
        self.lineup.map_or_else(Setting::default, |(graph, lineup)| Setting::of(element, graph, lineup))
    }
}

/// The scene as a whole SVG file that needs nothing else: style sheet inside, a name on everything for screen readers.
pub fn svg(scene: &Scene, painted: &Painted<'_>) -> String {
    let title = painted.title.unwrap_or(&scene.title);
    let mut file = open(&scene.view, title, &description(scene));
    file =
        file.child(group("regions").with("aria-hidden", "true").all(scene.regions.iter().flat_map(region)));
    file = file.child(group("pipes").all(scene.pipes.iter().map(pipe)));
    let arrows = scene.pipes.iter().flat_map(|pipe| pipe.arrows.iter().map(arrow));
    file = file.child(group("arrows").with("aria-hidden", "true").all(arrows));
    let elements = scene.elements.iter().map(|element| self::element(element, &painted.setting(element)));
    file.child(group("elements").all(elements)).write()
}

/// A symbol by itself, as a picture to choose from: a whole SVG file, square, of that many pixels.
pub fn picture(symbol: Symbol, setting: &Setting, side: u32) -> String {
    let around = symbol.bounds().grown(6.0).at_least(64.0);
    let half = around.width.max(around.height) / 2.0;
    let centre = around.centre();
    let view = Rect { x: centre.x - half, y: centre.y - half, width: 2.0 * half, height: 2.0 * half };
    open(&view, symbol.name(), "")
        .with("width", side)
        .with("height", side)
        .child(group("element").child(leads(symbol)).all(strokes(symbol, Pose::Right, setting)))
        .write()
}

/// The pipes that a symbol by itself ends in.
fn leads(symbol: Symbol) -> Tag {
    let (reach, edge) = (symbol.reach(), symbol.edge(Pose::Right));
    let behind = !matches!(symbol, Symbol::Fan | Symbol::NitrogenCylinder);
    let ahead = !matches!(
        symbol,
        Symbol::Fan
            | Symbol::Cylinder
            | Symbol::Gauge
            | Symbol::AccessPort
            | Symbol::PlainPort
            | Symbol::ReliefValve
            | Symbol::VacuumPump
            | Symbol::Distributor
    );
    let mut d = String::new();
    for (wanted, side) in [(behind, -1.0), (ahead, 1.0)] {
        if wanted {
            d.push_str(&format!("M{} 0L{} 0", short(side * reach), short(side * edge)));
        }
    }
    Tag::new("path").with("class", "line").with("d", d)
}

fn group(class: &str) -> Tag {
    Tag::new("g").with("class", class)
}

pub(crate) fn open(view: &Rect, title: &str, description: &str) -> Tag {
    let view = [view.x, view.y, view.width, view.height].map(short).join(" ");
    let mut file = Tag::new("svg")
        .with("xmlns", "http://www.w3.org/2000/svg")
        .with("viewBox", view)
        .with("role", "img")
        .with("aria-label", title)
        .child(Tag::new("title").text(title));
    if !description.is_empty() {
        file = file.child(Tag::new("desc").text(description));
    }
    file.child(Tag::new("style").text(style::sheet()))
}

fn description(scene: &Scene) -> String {
    let names: Vec<&str> = scene.elements.iter().map(|element| element.name.as_str()).collect();
    format!("Piping diagram. Along the pipe: {}.", names.join("; "))
}

fn region(region: &Region) -> Vec<Tag> {
    let class = match region.place.index() % 3 {
        0 => "region",
        1 => "region odd",
        _ => "region third",
    };
    let mut tags: Vec<Tag> = region.boxes.iter().map(|at| rect(at).with("class", class)).collect();
    tags.extend(label(&region.label, "region-name"));
    tags
}

fn rect(at: &Rect) -> Tag {
    Tag::new("rect")
        .with("x", short(at.x))
        .with("y", short(at.y))
        .with("width", short(at.width))
        .with("height", short(at.height))
}

fn label(label: &Label, class: &'static str) -> Vec<Tag> {
    let anchor = if label.align == Align::Middle { "middle" } else { "start" };
    let line = |(at, line): (usize, &String)| {
        Tag::new("text")
            .with("class", class)
            .with("x", short(label.at.x))
            .with("y", short(label.at.y + crate::LINE * at as f64))
            .with("text-anchor", anchor)
            .text(line)
    };
    label.lines.iter().enumerate().map(line).collect()
}

fn pipe(pipe: &Pipe) -> Tag {
    let header = if pipe.is_header { " header" } else { "" };
    let mut tag = group(&format!("pipe {}{header}", pipe.line.word()))
        .with("id", &pipe.id)
        .child(Tag::new("title").text(&pipe.name));
    for class in ["outer", "inner"] {
        tag = tag.all(pipe.runs.iter().map(|run| polyline(run).with("class", class)));
    }
    let dot = |at: &Point| {
        Tag::new("circle")
            .with("class", "tee")
            .with("cx", short(at.x))
            .with("cy", short(at.y))
            .with("r", "4.5")
    };
    tag.all(pipe.tees.iter().map(dot))
}

fn polyline(points: &[Point]) -> Tag {
    let points: Vec<String> = points.iter().map(|at| format!("{},{}", short(at.x), short(at.y))).collect();
    Tag::new("polyline").with("points", points.join(" "))
}

fn arrow(arrow: &Arrow) -> Tag {
    Tag::new("path")
        .with("class", "arrow")
        .with("transform", arrow.pose.transform(arrow.at))
        .with("d", "M-7-6L8 0L-7 6Z")
}

fn strokes(symbol: Symbol, pose: Pose, setting: &Setting) -> impl Iterator<Item = Tag> {
    glyph(symbol, pose, setting)
        .into_iter()
        .map(|stroke| Tag::new("path").with("class", stroke.ink.word()).with("d", stroke.d))
}

fn element(element: &Element, setting: &Setting) -> Tag {
    let name = match setting.words() {
        Some(words) => format!("{}: {words}", element.name),
        None => element.name.clone(),
    };
    let drawn = Tag::new("g").with("transform", element.pose.transform(element.at)).all(strokes(
        element.symbol,
        element.pose,
        setting,
    ));
    group("element")
        .with("id", &element.id)
        .with("role", "img")
        .with("aria-label", &name)
        .child(Tag::new("title").text(&name))
        .child(drawn)
        .all(element.label.iter().flat_map(|found| label(found, "label")))
}
