//! The service valve: the disc of its stem travels between the back seat, behind which the port lies, and the front seat.

use stemwise_circuit::{End, Position};

use super::{Cut, Cutaway, Opening, Stuff, boxed, points};
use crate::Rect;

/// Where the disc's upper face is, back-seated and front-seated.
const BACK: f64 = 172.0;
const FRONT: f64 = 232.0;
/// The disc's thickness between its cones.
const DISC: f64 = 20.0;
/// What an eighth of a turn off the back seat is drawn larger by, so that a cracked valve shows its gap.
const SHOWN_GAP: f64 = 6.0;

/// Where the disc is drawn: in proportion to the turns, but for the enlarged first eighth.
pub(crate) fn disc_top(travel: f64, turns: f64) -> f64 {
    BACK + (FRONT - BACK) * travel + SHOWN_GAP * (turns / 0.125).min(1.0) * (1.0 - travel)
}

pub(crate) fn valve(
    stays_with: End,
    packing_nut: bool,
    travel: f64,
    turns: f64,
    position: Position,
) -> Cutaway {
    let mut cut = Cut::new("service valve");
    // The side that the port stays with opens into the chamber around the stem; the other lies behind the front seat.
    let (beside, below) = match stays_with {
        End::Body => (Opening::Body, Opening::Line),
        End::Line => (Opening::Line, Opening::Body),
    };
    let top = match position {
        Position::BackSeated => BACK,
        Position::FrontSeated => FRONT,
        _ => disc_top(travel, turns),
    };
    body(&mut cut, beside);
    passages(&mut cut, beside, below, position);
    stem(&mut cut, top, packing_nut, turns);
    words(&mut cut, beside, top, packing_nut);
    match position {
        Position::BackSeated => cut.join(&[&[Opening::Line, Opening::Body], &[Opening::Port]]),
        Position::FrontSeated => cut.join(&[&[beside, Opening::Port], &[below]]),
        _ => cut.join(&[&[Opening::Line, Opening::Body, Opening::Port]]),
    }
    cut.0
}

fn body(cut: &mut Cut, beside: Opening) {
    cut.metal(points(&[
        (84.0, 116.0),
        (236.0, 116.0),
        (236.0, 184.0),
        (330.0, 184.0),
        (330.0, 248.0),
        (236.0, 248.0),
        (236.0, 288.0),
        (206.0, 288.0),
        (206.0, 372.0),
        (114.0, 372.0),
        (114.0, 288.0),
        (84.0, 288.0),
        (84.0, 172.0),
        (0.0, 172.0),
        (0.0, 124.0),
        (84.0, 124.0),
    ]));
    // The flange lies on the side of the body.
    match beside {
        Opening::Body => cut.metal(boxed(312.0, 168.0, 330.0, 264.0)),
        _ => cut.metal(boxed(96.0, 354.0, 224.0, 372.0)),
    }
}

fn passages(cut: &mut Cut, beside: Opening, below: Opening, position: Position) {
    let (back, front) = (position == Position::BackSeated, position == Position::FrontSeated);
    // Behind the back seat: the port's passage and the room around the stem, through the seat unless the disc fills it.
    let throat = if back { 158.0 } else { 172.0 };
    cut.passage(
        Opening::Port,
        points(&[
            (0.0, 136.0),
            (126.0, 136.0),
            (126.0, 130.0),
            (194.0, 130.0),
            (194.0, 158.0),
            (178.0, 158.0),
            (178.0, throat),
            (142.0, throat),
            (142.0, 158.0),
            (0.0, 158.0),
        ]),
        (60.0, 151.0),
    );
    cut.passage(
        beside,
        points(&[
            (116.0, 172.0),
            (204.0, 172.0),
            (204.0, 198.0),
            (330.0, 198.0),
            (330.0, 234.0),
            (204.0, 234.0),
            (204.0, 254.0),
            (116.0, 254.0),
        ]),
        (268.0, 221.0),
    );
    let seat = if front { 270.0 } else { 254.0 };
    cut.passage(
        below,
        points(&[
            (136.0, seat),
            (184.0, seat),
            (184.0, 270.0),
            (192.0, 270.0),
            (192.0, 372.0),
            (128.0, 372.0),
            (128.0, 270.0),
            (136.0, 270.0),
        ]),
        (160.0, 330.0),
    );
}

fn stem(cut: &mut Cut, top: f64, packing_nut: bool, turns: f64) {
    let bottom = top + DISC;
    // The stem comes out of the gland as the disc nears the back seat.
    let end = 8.0 + (top - BACK);
    cut.piece(Stuff::Moving, points(&[(151.0, end + 20.0), (169.0, end + 20.0), (169.0, top), (151.0, top)]));
    cut.piece(Stuff::Moving, boxed(153.0, end, 167.0, end + 20.0));
    cut.piece(
        Stuff::Moving,
        points(&[
            (151.0, top - 10.0),
            (169.0, top - 10.0),
            (178.0, top - 8.0),
            (186.0, top),
            (194.0, top),
            (194.0, bottom),
            (184.0, bottom + 4.0),
            (178.0, bottom + 16.0),
            (142.0, bottom + 16.0),
            (136.0, bottom + 4.0),
            (126.0, bottom),
            (126.0, top),
            (134.0, top),
            (142.0, top - 8.0),
        ]),
    );
    cut.gland(160.0, 82.0, packing_nut);
    // Thread of the stem.
    for step in 0..4 {
        let y = 119.0 + 3.0 * f64::from(step);
        cut.piece(Stuff::Line, points(&[(151.0, y + 1.5), (169.0, y - 1.5)]));
    }
    cut.dial(250.0, 40.0, turns);
    cut.0.handle = Some(Rect { x: 130.0, y: 0.0, width: 60.0, height: 96.0 });
}

fn words(cut: &mut Cut, beside: Opening, top: f64, packing_nut: bool) {
    let (side, under) =
        if beside == Opening::Body { ("to the body", "to the line") } else { ("to the line", "to the body") };
    cut.call(side, true, 216.0, (326.0, 216.0));
    cut.call(under, true, 340.0, (180.0, 350.0));
    cut.call("port", false, 148.0, (6.0, 148.0));
    cut.call("back seat", true, 150.0, (180.0, 166.0));
    cut.call("front seat", false, 262.0, (138.0, 260.0));
    cut.call("disc", false, 210.0, (130.0, top + 10.0));
    if packing_nut {
        cut.call("packing nut", true, 84.0, (200.0, 88.0));
    }
    cut.call("packing", true, 110.0, (178.0, 110.0));
    cut.call("square of the stem", false, 60.0, (156.0, 18.0 + top - BACK));
}
