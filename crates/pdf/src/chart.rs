//! The drawings of `stemwise-report`: lines, rectangles, discs and words of an SVG as it writes them.

use roxmltree::Node;

use crate::Error;
use crate::face::Faces;
use crate::ink::{BLACK, Colour, Ink, Pen};

/// What a group hands down to what it holds.
#[derive(Clone, Debug)]
struct Given {
    fill: Option<Colour>,
    stroke: Option<Colour>,
    width: f32,
    dashes: Vec<f32>,
}

/// A drawing as large as the room and the height allow, with its size.
pub(crate) fn chart(
    faces: &Faces,
    svg: Node<'_, '_>,
    room: f32,
    height: f32,
) -> Result<(Vec<Ink>, (f32, f32)), Error> {
    let box_of: Vec<f32> = numbers(svg.attribute("viewBox").unwrap_or_default());
    let &[_, _, wide, high] = box_of.as_slice() else {
        return Err(Error::Unknown("svg without a size".into()));
    };
    let scale = (room / wide).min(height / high);
    let mut inks = Vec::new();
    let given = Given { fill: Some(BLACK), stroke: None, width: 1.0, dashes: Vec::new() };
    draw(faces, svg, &given, scale, &mut inks)?;
    Ok((inks, (wide * scale, high * scale)))
}

fn numbers(text: &str) -> Vec<f32> {
    text.split([' ', ',']).filter_map(|number| number.parse().ok()).collect()
}

fn number(node: Node<'_, '_>, name: &str) -> f32 {
    node.attribute(name).and_then(|value| value.parse().ok()).unwrap_or(0.0)
}

/// "#fff" or "#1a1a1a"; none for "none".
fn colour(text: &str) -> Option<Colour> {
    let digits = text.strip_prefix('#')?;
    let one = |at: usize, length: usize| u8::from_str_radix(digits.get(at..at + length)?, 16).ok();
    match digits.len() {
        3 => Some([one(0, 1)? * 17, one(1, 1)? * 17, one(2, 1)? * 17]),
        _ => Some([one(0, 2)?, one(2, 2)?, one(4, 2)?]),
    }
}

fn draw(
    faces: &Faces,
    node: Node<'_, '_>,
    given: &Given,
    scale: f32,
    inks: &mut Vec<Ink>,
) -> Result<(), Error> {
    let mut own = given.clone();
    if let Some(fill) = node.attribute("fill") {
        own.fill = colour(fill);
    }
    if let Some(stroke) = node.attribute("stroke") {
        own.stroke = colour(stroke);
    }
    if node.has_attribute("stroke-width") {
        own.width = number(node, "stroke-width");
    }
    if let Some(dashes) = node.attribute("stroke-dasharray") {
        own.dashes = numbers(dashes);
    }
    let at = |x: &str, y: &str| (number(node, x) * scale, number(node, y) * scale);
    let pen = own.stroke.map(|colour| Pen {
        colour,
        width: own.width * scale,
        dashes: own.dashes.iter().map(|dash| dash * scale).collect(),
    });
    match node.tag_name().name() {
        "svg" | "g" => {
            for child in node.children().filter(Node::is_element) {
                draw(faces, child, &own, scale, inks)?;
            }
        }
        "line" => inks.extend(pen.map(|pen| Ink::straight(at("x1", "y1"), at("x2", "y2"), pen))),
        // The paper is white; only frames are drawn.
        "rect" => inks.extend(pen.map(|pen| Ink::frame(at("x", "y"), at("width", "height"), pen))),
        "circle" => {
            let radius = number(node, "r") * scale;
            inks.extend(own.fill.map(|colour| Ink::Disc { at: at("cx", "cy"), radius, colour }));
        }
        "path" => {
            let data = node.attribute("d").unwrap_or_default().replace(['M', 'L'], " ");
            let flat = numbers(&data);
            let points: Vec<(f32, f32)> =
                flat.chunks_exact(2).map(|it| (it[0] * scale, it[1] * scale)).collect();
            inks.extend(pen.filter(|_| points.len() > 1).map(|pen| Ink::Line { points, closed: false, pen }));
        }
        "text" => {
            let text = node.text().unwrap_or_default().trim().to_owned();
            let size = number(node, "font-size") * scale;
            let bold = node.attribute("font-weight") == Some("bold");
            let width = faces.width(&text, size, bold);
            let (x, y) = at("x", "y");
            let x = match node.attribute("text-anchor") {
                Some("middle") => x - width / 2.0,
                Some("end") => x - width,
                _ => x,
            };
            inks.push(Ink::Text { at: (x, y), text, size, bold, colour: own.fill.unwrap_or(BLACK) });
        }
        other => return Err(Error::Unknown(other.to_owned())),
    }
    Ok(())
}
