//! Other valves that a stem moves: line-set valve, ball valve, hand valve, piercing valve.

use super::{Cut, Cutaway, Opening, Stuff, boxed, points};
use crate::{Point, Rect};

/// Whether a travel has come to its seat.
fn on_seat(travel: f64) -> bool {
    travel > 0.996
}

/// A line-set valve: a stem under a cap, turned by a key; the cored port opens into the line-set side whatever the stem does.
pub(crate) fn line_set(travel: f64, turns: f64) -> Cutaway {
    let mut cut = Cut::new("line-set valve");
    let shut = on_seat(travel);
    cut.metal(points(&[
        (104.0, 60.0),
        (216.0, 60.0),
        (216.0, 190.0),
        (330.0, 190.0),
        (330.0, 250.0),
        (216.0, 250.0),
        (216.0, 372.0),
        (104.0, 372.0),
        (104.0, 150.0),
        (0.0, 150.0),
        (0.0, 98.0),
        (104.0, 98.0),
    ]));
    // The unit's side below the seat; the line set's side above it, with the port.
    let seat = if shut { 280.0 } else { 262.0 };
    cut.passage(
        Opening::Line,
        points(&[
            (136.0, seat),
            (184.0, seat),
            (184.0, 280.0),
            (194.0, 280.0),
            (194.0, 372.0),
            (126.0, 372.0),
            (126.0, 280.0),
            (136.0, 280.0),
        ]),
        (160.0, 340.0),
    );
    cut.passage(
        Opening::Body,
        points(&[
            (122.0, 140.0),
            (198.0, 140.0),
            (198.0, 204.0),
            (330.0, 204.0),
            (330.0, 236.0),
            (198.0, 236.0),
            (198.0, 262.0),
            (122.0, 262.0),
        ]),
        (266.0, 225.0),
    );
    cut.passage(
        Opening::Body,
        points(&[
            (52.0, 114.0),
            (128.0, 114.0),
            (128.0, 140.0),
            (104.0, 140.0),
            (104.0, 134.0),
            (52.0, 134.0),
        ]),
        (84.0, 129.0),
    );
    cut.passage(Opening::Port, boxed(0.0, 110.0, 36.0, 138.0), (18.0, 129.0));
    core(&mut cut, 44.0, 124.0, 0.0);
    let top = 146.0 + 78.0 * travel;
    cut.piece(Stuff::Hollow, boxed(132.0, 60.0, 188.0, top - 64.0));
    cut.piece(Stuff::Moving, points(&[(132.0, top - 64.0), (188.0, top - 64.0), (188.0, top), (132.0, top)]));
    cut.piece(
        Stuff::Moving,
        points(&[
            (134.0, top),
            (186.0, top),
            (190.0, top + 30.0),
            (184.0, top + 38.0),
            (180.0, top + 54.0),
            (140.0, top + 54.0),
            (136.0, top + 38.0),
            (130.0, top + 30.0),
        ]),
    );
    cut.piece(Stuff::Seal, boxed(130.0, top - 30.0, 190.0, top - 22.0));
    // The key's socket.
    cut.piece(
        Stuff::Line,
        points(&[(148.0, top - 64.0), (148.0, top - 44.0), (172.0, top - 44.0), (172.0, top - 64.0)]),
    );
    cut.dial(160.0, 24.0, turns);
    cut.0.handle = Some(Rect { x: 120.0, y: 0.0, width: 80.0, height: 90.0 });
    cut.call("to the unit", true, 340.0, (190.0, 350.0));
    cut.call("to the line set", true, 220.0, (326.0, 220.0));
    cut.call("port with core", false, 124.0, (2.0, 124.0));
    cut.call("seat", false, 270.0, (134.0, 270.0));
    cut.call("stem with a socket for the key", true, 90.0, (176.0, top - 54.0));
    cut.call("ring seal", true, 130.0, (190.0, top - 26.0));
    if shut {
        cut.join(&[&[Opening::Line], &[Opening::Body], &[Opening::Port]])
    } else {
        cut.join(&[&[Opening::Line, Opening::Body], &[Opening::Port]])
    }
    cut.0
}

/// A spring core lying in a port, its pin to the left; drawn further in as it is pressed.
pub(crate) fn core(cut: &mut Cut, x: f64, y: f64, pressed: f64) {
    let shift = 8.0 * pressed;
    cut.piece(Stuff::Metal, boxed(x - 8.0, y - 12.0, x + 8.0, y - 5.0));
    cut.piece(Stuff::Metal, boxed(x - 8.0, y + 5.0, x + 8.0, y + 12.0));
    cut.piece(Stuff::Moving, boxed(x - 16.0 + shift, y - 2.0, x + 20.0 + shift, y + 2.0));
    cut.piece(Stuff::Seal, boxed(x + 8.0 + shift, y - 9.0, x + 14.0 + shift, y + 9.0));
}

/// A ball valve: a quarter of a turn moves the bore from along to across.
pub(crate) fn ball(travel: f64) -> Cutaway {
    let mut cut = Cut::new("ball valve");
    let (x, y, r, half) = (160.0, 220.0, 62.0, 26.0);
    cut.metal(points(&[
        (0.0, 176.0),
        (74.0, 176.0),
        (74.0, 140.0),
        (246.0, 140.0),
        (246.0, 176.0),
        (320.0, 176.0),
        (320.0, 264.0),
        (246.0, 264.0),
        (246.0, 300.0),
        (74.0, 300.0),
        (74.0, 264.0),
        (0.0, 264.0),
    ]));
    let angle = travel * core::f64::consts::FRAC_PI_2;
    let (sin, cos) = (libm::sin(angle), libm::cos(angle));
    let turned = |dx: f64, dy: f64| Point::new(x + dx * cos - dy * sin, y + dx * sin + dy * cos);
    // The bore's mouths meet the passages until the ball's skin covers them.
    let meets = 2.0 * libm::asin(half / r);
    let open = angle < meets - 0.02;
    let side = libm::sqrt(r * r - half * half);
    cut.passage(Opening::Line, boxed(0.0, y - half, x - side - 3.0, y + half), (42.0, y + 5.0));
    cut.passage(Opening::Body, boxed(x + side + 3.0, y - half, 320.0, y + half), (278.0, y + 5.0));
    let skin: Vec<Point> = (0..48).map(|step| super::dial_point(x, y, r, f64::from(step) / 48.0)).collect();
    cut.piece(Stuff::Moving, skin);
    let bore: Vec<Point> = [(-side, -half), (side, -half), (side, half), (-side, half)]
        .iter()
        .map(|(dx, dy)| turned(*dx, *dy))
        .collect();
    let owner = if open { Opening::Line } else { Opening::Pocket };
    cut.passage(owner, bore, (x, y + 5.0));
    for seat in [-1.0, 1.0] {
        for edge in [-1.0, 1.0] {
            let (x0, y0) = (x + seat * (side + 3.0), y + edge * half);
            cut.piece(
                Stuff::Seal,
                boxed(
                    x0.min(x0 + seat * 9.0),
                    y0.min(y0 + edge * 16.0),
                    x0.max(x0 + seat * 9.0),
                    y0.max(y0 + edge * 16.0),
                ),
            );
        }
    }
    cut.piece(Stuff::Moving, boxed(152.0, 92.0, 168.0, y - r + 4.0));
    cut.gland(160.0, 106.0, false);
    // The lever lies along the pipe when open, and comes to stand across it: seen from above it turns towards the eye.
    let reach = 20.0 + 110.0 * cos;
    cut.piece(Stuff::Moving, boxed(160.0 - 16.0, 76.0, 160.0 + reach, 92.0));
    cut.0.handle = Some(Rect { x: 110.0, y: 56.0, width: 190.0, height: 48.0 });
    cut.call("inlet", false, 220.0, (4.0, 220.0));
    cut.call("outlet", true, 220.0, (316.0, 220.0));
    cut.call("lever: along the pipe is open", true, 60.0, (170.0, 84.0));
    cut.call("seat ring", false, 176.0, (96.0, 186.0));
    cut.call("ball", false, 300.0, (120.0, 262.0));
    cut.call("bore", true, 300.0, (164.0, y + 8.0));
    if open {
        cut.join(&[&[Opening::Line, Opening::Body]])
    } else {
        cut.join(&[&[Opening::Line], &[Opening::Body], &[Opening::Pocket]])
    }
    cut.0
}

/// A hand valve: a disc on a seat in the way, a packing gland, a hand wheel.
pub(crate) fn hand(travel: f64, turns: f64) -> Cutaway {
    let mut cut = Cut::new("hand valve");
    let shut = on_seat(travel);
    cut.metal(points(&[
        (0.0, 220.0),
        (70.0, 220.0),
        (70.0, 126.0),
        (250.0, 126.0),
        (250.0, 220.0),
        (320.0, 220.0),
        (320.0, 292.0),
        (250.0, 292.0),
        (250.0, 330.0),
        (70.0, 330.0),
        (70.0, 292.0),
        (0.0, 292.0),
    ]));
    let seat = if shut { 258.0 } else { 242.0 };
    cut.passage(
        Opening::Line,
        points(&[
            (0.0, 236.0),
            (92.0, 236.0),
            (92.0, 274.0),
            (136.0, 274.0),
            (136.0, seat),
            (184.0, seat),
            (184.0, 312.0),
            (92.0, 312.0),
            (92.0, 276.0),
            (0.0, 276.0),
        ]),
        (42.0, 261.0),
    );
    cut.passage(
        Opening::Body,
        points(&[
            (98.0, 146.0),
            (232.0, 146.0),
            (232.0, 236.0),
            (320.0, 236.0),
            (320.0, 276.0),
            (206.0, 276.0),
            (206.0, 242.0),
            (98.0, 242.0),
        ]),
        (278.0, 261.0),
    );
    let top = 156.0 + 64.0 * travel;
    cut.piece(Stuff::Moving, boxed(151.0, 24.0 + 40.0 * travel, 169.0, top));
    cut.piece(
        Stuff::Moving,
        points(&[
            (122.0, top),
            (198.0, top),
            (198.0, top + 14.0),
            (190.0, top + 22.0),
            (184.0, top + 36.0),
            (136.0, top + 36.0),
            (130.0, top + 22.0),
            (122.0, top + 14.0),
        ]),
    );
    cut.gland(160.0, 92.0, true);
    cut.piece(Stuff::Moving, boxed(104.0, 12.0 + 40.0 * travel, 216.0, 26.0 + 40.0 * travel));
    cut.dial(260.0, 40.0, turns);
    cut.0.handle = Some(Rect { x: 100.0, y: 0.0, width: 120.0, height: 84.0 });
    cut.call("inlet", false, 256.0, (4.0, 256.0));
    cut.call("outlet", true, 256.0, (316.0, 256.0));
    cut.call("hand wheel", false, 40.0, (106.0, 20.0 + 40.0 * travel));
    cut.call("packing nut", true, 98.0, (202.0, 98.0));
    cut.call("packing", false, 120.0, (144.0, 120.0));
    cut.call("disc", false, 190.0, (124.0, top + 8.0));
    cut.call("seat", true, 310.0, (182.0, 250.0));
    if shut {
        cut.join(&[&[Opening::Line], &[Opening::Body]])
    } else {
        cut.join(&[&[Opening::Line, Opening::Body]])
    }
    cut.0
}

/// A bolt-on piercing valve: shut, the needle fills the hole that it has made in the tube; open, it is drawn back.
pub(crate) fn piercing(travel: f64, turns: f64) -> Cutaway {
    let mut cut = Cut::new("bolt-on piercing valve");
    let shut = on_seat(travel);
    cut.metal(points(&[(70.0, 120.0), (250.0, 120.0), (250.0, 360.0), (70.0, 360.0)]));
    cut.metal(points(&[(250.0, 168.0), (330.0, 168.0), (330.0, 216.0), (250.0, 216.0)]));
    cut.metal(boxed(0.0, 272.0, 320.0, 344.0));
    let hole = if shut { 284.0 } else { 262.0 };
    cut.passage(
        Opening::Line,
        points(&[
            (0.0, 284.0),
            (150.0, 284.0),
            (150.0, hole),
            (170.0, hole),
            (170.0, 284.0),
            (320.0, 284.0),
            (320.0, 332.0),
            (0.0, 332.0),
        ]),
        (60.0, 313.0),
    );
    cut.passage(
        Opening::Body,
        points(&[
            (136.0, 140.0),
            (184.0, 140.0),
            (184.0, 180.0),
            (306.0, 180.0),
            (306.0, 204.0),
            (184.0, 204.0),
            (184.0, 262.0),
            (136.0, 262.0),
        ]),
        (230.0, 197.0),
    );
    cut.passage(Opening::Port, boxed(306.0, 180.0, 330.0, 204.0), (318.0, 197.0));
    cut.piece(Stuff::Seal, boxed(120.0, 262.0, 150.0, 272.0));
    cut.piece(Stuff::Seal, boxed(170.0, 262.0, 200.0, 272.0));
    let tip = 250.0 + 44.0 * travel;
    cut.piece(
        Stuff::Moving,
        points(&[
            (150.0, tip - 170.0),
            (170.0, tip - 170.0),
            (170.0, tip - 16.0),
            (160.0, tip),
            (150.0, tip - 16.0),
        ]),
    );
    cut.piece(Stuff::Seal, boxed(138.0, 124.0, 150.0, 140.0));
    cut.piece(Stuff::Seal, boxed(170.0, 124.0, 182.0, 140.0));
    cut.dial(160.0, 34.0, turns);
    cut.0.handle = Some(Rect { x: 120.0, y: 10.0, width: 80.0, height: 110.0 });
    cut.call("needle", false, 220.0, (152.0, tip - 30.0));
    cut.call("tube", false, 308.0, (4.0, 308.0));
    cut.call("gasket: may leak in time", true, 266.0, (196.0, 267.0));
    cut.call("port", true, 192.0, (328.0, 192.0));
    cut.call("clamp", true, 352.0, (246.0, 352.0));
    if shut {
        cut.join(&[&[Opening::Line], &[Opening::Body, Opening::Port]])
    } else {
        cut.join(&[&[Opening::Line, Opening::Body, Opening::Port]])
    }
    cut.0
}
