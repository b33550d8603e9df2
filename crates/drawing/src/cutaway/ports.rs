//! Ports: a spring core and what presses it, and the tool that takes it out under pressure.

use super::{Cut, Cutaway, Opening, Stuff, boxed, points, spring};
use crate::Rect;

/// An access port: the core opens when the depressor of a hose presses its pin.
pub(crate) fn access(travel: f64) -> Cutaway {
    let mut cut = Cut::new("access port with core");
    let open = travel > 0.1;
    cut.metal(points(&[
        (114.0, 130.0),
        (206.0, 130.0),
        (206.0, 290.0),
        (320.0, 290.0),
        (320.0, 360.0),
        (0.0, 360.0),
        (0.0, 290.0),
        (114.0, 290.0),
    ]));
    cut.passage(
        Opening::Line,
        points(&[
            (0.0, 304.0),
            (136.0, 304.0),
            (136.0, 224.0),
            (184.0, 224.0),
            (184.0, 304.0),
            (320.0, 304.0),
            (320.0, 346.0),
            (0.0, 346.0),
        ]),
        (60.0, 331.0),
    );
    if travel > 0.0 {
        cut.passage(Opening::Port, boxed(140.0, 40.0, 180.0, 130.0), (160.0, 70.0));
    }
    // Above the core's seat, and through it when the pin is pressed.
    let through = if open { 224.0 } else { 206.0 };
    cut.passage(
        Opening::Port,
        points(&[
            (136.0, 130.0),
            (184.0, 130.0),
            (184.0, 206.0),
            (174.0, 206.0),
            (174.0, through),
            (146.0, through),
            (146.0, 206.0),
            (136.0, 206.0),
        ]),
        (160.0, 144.0),
    );
    let shift = 18.0 * travel;
    cut.piece(Stuff::Metal, points(&[(136.0, 190.0), (148.0, 190.0), (148.0, 220.0), (136.0, 220.0)]));
    cut.piece(Stuff::Metal, points(&[(172.0, 190.0), (184.0, 190.0), (184.0, 220.0), (172.0, 220.0)]));
    cut.piece(Stuff::Line, spring(160.0, 236.0 + shift, 272.0, 14.0, 4));
    cut.piece(Stuff::Metal, boxed(140.0, 272.0, 180.0, 278.0));
    cut.piece(Stuff::Moving, boxed(156.0, 148.0 + shift, 164.0, 230.0 + shift));
    cut.piece(Stuff::Seal, boxed(142.0, 222.0 + shift, 178.0, 232.0 + shift));
    if travel > 0.0 {
        // The hose's end with its depressor.
        cut.piece(Stuff::Metal, boxed(104.0, 92.0, 114.0, 176.0));
        cut.piece(Stuff::Metal, boxed(206.0, 92.0, 216.0, 176.0));
        cut.piece(Stuff::Metal, points(&[(104.0, 82.0), (140.0, 82.0), (140.0, 100.0), (104.0, 100.0)]));
        cut.piece(Stuff::Metal, points(&[(180.0, 82.0), (216.0, 82.0), (216.0, 100.0), (180.0, 100.0)]));
        cut.piece(
            Stuff::Moving,
            points(&[
                (140.0, 104.0),
                (180.0, 104.0),
                (180.0, 110.0),
                (163.0, 110.0),
                (163.0, 148.0 + shift),
                (157.0, 148.0 + shift),
                (157.0, 110.0),
                (140.0, 110.0),
            ]),
        );
        cut.call("depressor of the hose", true, 90.0, (176.0, 107.0));
    } else {
        cut.piece(
            Stuff::Cap,
            points(&[
                (100.0, 104.0),
                (220.0, 104.0),
                (220.0, 180.0),
                (208.0, 180.0),
                (208.0, 118.0),
                (112.0, 118.0),
                (112.0, 180.0),
                (100.0, 180.0),
            ]),
        );
        cut.call("cap: it seals, the core does not", true, 90.0, (214.0, 112.0));
    }
    cut.0.handle = Some(Rect { x: 100.0, y: 40.0, width: 120.0, height: 90.0 });
    cut.call("pin", false, 160.0, (157.0, 164.0 + shift));
    cut.call("core's seal", false, 228.0, (144.0, 227.0 + shift));
    cut.call("spring", true, 258.0, (172.0, 258.0));
    cut.call("line", false, 325.0, (4.0, 325.0));
    if open {
        cut.join(&[&[Opening::Line, Opening::Port]])
    } else {
        cut.join(&[&[Opening::Line], &[Opening::Port]])
    }
    cut.0
}

/// A core removal tool on a port: a rod unscrews the core and draws it back behind the tool's own ball valve, which then shuts the port.
pub(crate) fn core_tool(travel: f64) -> Cutaway {
    let mut cut = Cut::new("core removal tool");
    let y = 200.0;
    // The port, to the left; the tool with its side connection, to the right.
    cut.metal(boxed(0.0, y - 40.0, 70.0, y + 40.0));
    cut.metal(points(&[
        (60.0, y - 52.0),
        (250.0, y - 52.0),
        (250.0, y - 26.0),
        (330.0, y - 26.0),
        (330.0, y + 26.0),
        (250.0, y + 26.0),
        (250.0, y + 52.0),
        (60.0, y + 52.0),
    ]));
    cut.metal(boxed(196.0, y + 26.0, 240.0, y + 130.0));
    let back = 190.0 * travel;
    let (x, r, half) = (138.0, 38.0, 14.0);
    let behind = back > 128.0;
    let core_in = travel < 0.02;
    let line_end = if core_in { 30.0 } else { x - r - 2.0 };
    cut.passage(Opening::Line, boxed(0.0, y - half, line_end, y + half), (18.0, y + 5.0));
    // Behind the ball: the chamber for the drawn core, and the side connection where the hose goes on.
    cut.passage(
        Opening::Port,
        points(&[
            (x + r + 2.0, y - half),
            (318.0, y - half),
            (318.0, y + half),
            (226.0, y + half),
            (226.0, y + 130.0),
            (210.0, y + 130.0),
            (210.0, y + half),
            (x + r + 2.0, y + half),
        ]),
        (218.0, y + 100.0),
    );
    if core_in {
        cut.passage(Opening::Port, boxed(60.0, y - half, x - r - 2.0, y + half), (78.0, y + 5.0));
    }
    let skin = (0..48).map(|step| super::dial_point(x, y, r, f64::from(step) / 48.0)).collect();
    cut.piece(Stuff::Moving, skin);
    // The core passes through the bore: the ball can only be turned once it is out of the way.
    let bore = if core_in || !behind { Opening::Port } else { Opening::Line };
    let bore = if core_in { Opening::Port } else { bore };
    cut.passage(bore, boxed(x - r - 2.0, y - half, x + r + 2.0, y + half), (x, y - 20.0));
    cut.piece(Stuff::Moving, boxed(52.0 + back, y - 3.0, 400.0 + back * 0.3, y + 3.0));
    cut.piece(Stuff::Metal, boxed(30.0 + back, y - 12.0, 56.0 + back, y + 12.0));
    cut.piece(Stuff::Seal, boxed(26.0 + back, y - 10.0, 32.0 + back, y + 10.0));
    cut.piece(Stuff::Seal, boxed(316.0, y - 20.0, 326.0, y - 3.0));
    cut.piece(Stuff::Seal, boxed(316.0, y + 3.0, 326.0, y + 20.0));
    cut.piece(Stuff::Moving, boxed(400.0 + back * 0.3, y - 16.0, 412.0 + back * 0.3, y + 16.0));
    cut.piece(Stuff::Line, points(&[(x, y - 38.0), (x, y - 78.0), (x + 60.0, y - 78.0)]));
    cut.0.handle = Some(Rect { x: 390.0, y: y - 26.0, width: 90.0, height: 52.0 });
    cut.call("port", false, y, (2.0, y));
    cut.call("core", false, y - 90.0, (40.0 + back, y - 10.0));
    cut.call("ball of the tool: shut it once the core is behind it", false, y + 110.0, (x - 20.0, y + 30.0));
    cut.call("hose goes on here", true, y + 120.0, (224.0, y + 124.0));
    cut.call("rod", true, y - 70.0, (350.0, y - 3.0));
    if core_in {
        cut.join(&[&[Opening::Line], &[Opening::Port]])
    } else {
        cut.join(&[&[Opening::Line, Opening::Port]])
    }
    cut.0
}
