//! Devices that pressure, a coil or a bulb moves: solenoid, check, thermostatic and relief valve.

use super::{Cut, Cutaway, Opening, Stuff, boxed, points, spring};

/// Whether anything has lifted off its seat.
fn is_open(travel: f64) -> bool {
    travel > 0.02
}

fn join_two(cut: &mut Cut, open: bool) {
    if open {
        cut.join(&[&[Opening::Line, Opening::Body]]);
    } else {
        cut.join(&[&[Opening::Line], &[Opening::Body]]);
    }
}

/// A body with a seat between an inlet at the left, which leads above the seat, and an outlet at the right, which leads away below it.
fn over_seat(cut: &mut Cut, open: bool, top: f64) {
    cut.metal(points(&[
        (0.0, 212.0),
        (64.0, 212.0),
        (64.0, top),
        (256.0, top),
        (256.0, 212.0),
        (320.0, 212.0),
        (320.0, 340.0),
        (64.0, 340.0),
        (64.0, 284.0),
        (0.0, 284.0),
    ]));
    cut.passage(
        Opening::Line,
        points(&[
            (0.0, 228.0),
            (84.0, 228.0),
            (84.0, 200.0),
            (236.0, 200.0),
            (236.0, 262.0),
            (84.0, 262.0),
            (84.0, 268.0),
            (0.0, 268.0),
        ]),
        (40.0, 253.0),
    );
    let seat = if open { 262.0 } else { 278.0 };
    cut.passage(
        Opening::Body,
        points(&[
            (138.0, seat),
            (182.0, seat),
            (182.0, 290.0),
            (270.0, 290.0),
            (270.0, 228.0),
            (320.0, 228.0),
            (320.0, 324.0),
            (138.0, 324.0),
        ]),
        (230.0, 312.0),
    );
}

/// A solenoid valve: the coil lifts the plunger; the inlet's pressure helps to hold it shut.
pub(crate) fn solenoid(travel: f64) -> Cutaway {
    let mut cut = Cut::new("solenoid valve");
    let open = is_open(travel);
    over_seat(&mut cut, open, 180.0);
    cut.metal(boxed(126.0, 48.0, 194.0, 180.0));
    cut.passage(Opening::Line, boxed(138.0, 70.0, 182.0, 200.0), (160.0, 90.0));
    let lift = 34.0 * travel;
    cut.piece(Stuff::Line, spring(160.0, 72.0, 116.0 - lift, 12.0, 4));
    cut.piece(Stuff::Moving, boxed(142.0, 116.0 - lift, 178.0, 246.0 - lift));
    cut.piece(
        Stuff::Seal,
        points(&[
            (132.0, 246.0 - lift),
            (188.0, 246.0 - lift),
            (188.0, 262.0 - lift),
            (178.0, 270.0 - lift),
            (142.0, 270.0 - lift),
            (132.0, 262.0 - lift),
        ]),
    );
    for (x0, x1) in [(82.0, 126.0), (194.0, 238.0)] {
        cut.piece(Stuff::Metal, boxed(x0, 62.0, x1, 160.0));
        cut.piece(Stuff::Line, points(&[(x0, 62.0), (x1, 160.0)]));
        cut.piece(Stuff::Line, points(&[(x1, 62.0), (x0, 160.0)]));
    }
    cut.call("inlet", false, 248.0, (4.0, 248.0));
    cut.call("outlet", true, 276.0, (316.0, 276.0));
    cut.call("solenoid coil", false, 110.0, (84.0, 110.0));
    cut.call("plunger", true, 160.0, (176.0, 160.0 - lift));
    cut.call("spring", true, 84.0, (170.0, 90.0));
    cut.call("seat", false, 300.0, (138.0, 272.0));
    join_two(&mut cut, open);
    cut.0
}

/// A check valve: flow lifts the disc off its seat, a spring and back flow press it on.
pub(crate) fn check(travel: f64) -> Cutaway {
    let mut cut = Cut::new("check valve");
    let open = is_open(travel);
    cut.metal(points(&[
        (0.0, 160.0),
        (70.0, 160.0),
        (70.0, 120.0),
        (250.0, 120.0),
        (250.0, 160.0),
        (320.0, 160.0),
        (320.0, 260.0),
        (250.0, 260.0),
        (250.0, 300.0),
        (70.0, 300.0),
        (70.0, 260.0),
        (0.0, 260.0),
    ]));
    let seat = if open { 108.0 } else { 92.0 };
    cut.passage(Opening::Line, boxed(0.0, 180.0, seat, 240.0), (44.0, 215.0));
    cut.passage(
        Opening::Body,
        points(&[
            (108.0, 140.0),
            (234.0, 140.0),
            (234.0, 180.0),
            (320.0, 180.0),
            (320.0, 240.0),
            (234.0, 240.0),
            (234.0, 280.0),
            (108.0, 280.0),
        ]),
        (278.0, 215.0),
    );
    let shift = 44.0 * travel;
    cut.piece(
        Stuff::Moving,
        points(&[
            (94.0 + shift, 192.0),
            (112.0 + shift, 166.0),
            (122.0 + shift, 166.0),
            (122.0 + shift, 254.0),
            (112.0 + shift, 254.0),
            (94.0 + shift, 228.0),
        ]),
    );
    cut.piece(Stuff::Moving, boxed(122.0 + shift, 203.0, 214.0, 217.0));
    let coils: Vec<_> = spring(210.0, 0.0, 1.0, 1.0, 5)
        .iter()
        .enumerate()
        .map(|(at, _)| {
            crate::Point::new(
                122.0 + shift + (92.0 - shift) * at as f64 / 10.0,
                if at % 2 == 0 { 190.0 } else { 230.0 },
            )
        })
        .collect();
    cut.piece(Stuff::Line, coils);
    cut.piece(Stuff::Metal, boxed(214.0, 176.0, 222.0, 244.0));
    cut.call("inlet", false, 210.0, (4.0, 210.0));
    cut.call("outlet", true, 210.0, (316.0, 210.0));
    cut.call("seat", false, 160.0, (106.0, 178.0));
    cut.call("disc", false, 290.0, (112.0 + shift, 250.0));
    cut.call("spring", true, 290.0, (180.0, 228.0));
    join_two(&mut cut, open);
    cut.0
}

/// A thermostatic expansion valve: the bulb's pressure above the diaphragm opens it, evaporating pressure and the spring below shut it.
pub(crate) fn thermostatic(travel: f64) -> Cutaway {
    let mut cut = Cut::new("thermostatic expansion valve");
    let open = is_open(travel);
    cut.metal(points(&[
        (0.0, 262.0),
        (100.0, 262.0),
        (100.0, 110.0),
        (220.0, 110.0),
        (220.0, 170.0),
        (320.0, 170.0),
        (320.0, 226.0),
        (220.0, 226.0),
        (220.0, 372.0),
        (100.0, 372.0),
        (100.0, 318.0),
        (0.0, 318.0),
    ]));
    cut.metal(points(&[
        (60.0, 56.0),
        (260.0, 56.0),
        (280.0, 84.0),
        (260.0, 112.0),
        (60.0, 112.0),
        (40.0, 84.0),
    ]));
    // The outlet lies above the seat, below the diaphragm; the inlet below the seat, with the spring.
    cut.passage(
        Opening::Body,
        points(&[
            (62.0, 88.0),
            (258.0, 88.0),
            (252.0, 100.0),
            (196.0, 100.0),
            (196.0, 184.0),
            (320.0, 184.0),
            (320.0, 212.0),
            (196.0, 212.0),
            (196.0, 240.0),
            (124.0, 240.0),
            (124.0, 100.0),
            (68.0, 100.0),
        ]),
        (266.0, 203.0),
    );
    let seat = if open { 240.0 } else { 258.0 };
    cut.passage(
        Opening::Line,
        points(&[
            (144.0, seat),
            (176.0, seat),
            (176.0, 258.0),
            (196.0, 258.0),
            (196.0, 356.0),
            (124.0, 356.0),
            (124.0, 304.0),
            (0.0, 304.0),
            (0.0, 276.0),
            (124.0, 276.0),
            (124.0, 258.0),
            (144.0, 258.0),
        ]),
        (50.0, 295.0),
    );
    let drop = 22.0 * travel;
    // Diaphragm, push rod, needle, spring.
    cut.piece(
        Stuff::Line,
        points(&[(50.0, 84.0), (110.0, 78.0 + drop * 0.45), (210.0, 78.0 + drop * 0.45), (270.0, 84.0)]),
    );
    cut.piece(Stuff::Moving, boxed(116.0, 80.0 + drop * 0.45, 204.0, 88.0 + drop * 0.45));
    cut.piece(Stuff::Moving, boxed(156.0, 88.0 + drop * 0.45, 164.0, 250.0 + drop));
    cut.piece(
        Stuff::Moving,
        points(&[
            (157.0, 240.0 + drop),
            (163.0, 240.0 + drop),
            (178.0, 262.0 + drop),
            (178.0, 276.0 + drop),
            (142.0, 276.0 + drop),
            (142.0, 262.0 + drop),
        ]),
    );
    cut.piece(Stuff::Line, spring(160.0, 278.0 + drop, 344.0, 16.0, 5));
    cut.piece(Stuff::Metal, boxed(136.0, 344.0, 184.0, 356.0));
    // The bulb's tube.
    cut.piece(Stuff::Line, points(&[(160.0, 56.0), (160.0, 30.0), (270.0, 30.0), (270.0, 18.0)]));
    cut.piece(Stuff::Moving, points(&[(262.0, 6.0), (330.0, 6.0), (330.0, 24.0), (262.0, 24.0)]));
    cut.call("inlet: liquid", false, 290.0, (4.0, 290.0));
    cut.call("outlet: to the evaporator", true, 198.0, (316.0, 198.0));
    cut.call("diaphragm", false, 84.0, (100.0, 80.0));
    cut.call("bulb", true, 15.0, (328.0, 15.0));
    cut.call("push rod", false, 150.0, (156.0, 150.0));
    cut.call("needle and seat", true, 250.0, (176.0, 260.0));
    cut.call("superheat spring", true, 320.0, (174.0, 320.0));
    join_two(&mut cut, open);
    cut.0
}

/// A relief valve: a spring holds the disc on its seat until the pressure lifts it.
pub(crate) fn relief(travel: f64) -> Cutaway {
    let mut cut = Cut::new("relief valve");
    let open = is_open(travel);
    cut.metal(points(&[
        (90.0, 40.0),
        (230.0, 40.0),
        (230.0, 168.0),
        (330.0, 168.0),
        (330.0, 236.0),
        (230.0, 236.0),
        (230.0, 290.0),
        (206.0, 290.0),
        (206.0, 372.0),
        (114.0, 372.0),
        (114.0, 290.0),
        (90.0, 290.0),
    ]));
    let seat = if open { 256.0 } else { 272.0 };
    cut.passage(
        Opening::Line,
        points(&[
            (140.0, seat),
            (180.0, seat),
            (180.0, 290.0),
            (188.0, 290.0),
            (188.0, 372.0),
            (132.0, 372.0),
            (132.0, 290.0),
            (140.0, 290.0),
        ]),
        (160.0, 345.0),
    );
    cut.passage(
        Opening::Body,
        points(&[
            (108.0, 60.0),
            (212.0, 60.0),
            (212.0, 184.0),
            (330.0, 184.0),
            (330.0, 220.0),
            (212.0, 220.0),
            (212.0, 256.0),
            (108.0, 256.0),
        ]),
        (272.0, 207.0),
    );
    let lift = 40.0 * travel;
    cut.piece(Stuff::Line, spring(160.0, 78.0, 216.0 - lift, 26.0, 7));
    cut.piece(Stuff::Metal, boxed(122.0, 62.0, 198.0, 78.0));
    cut.piece(
        Stuff::Moving,
        points(&[(122.0, 216.0 - lift), (198.0, 216.0 - lift), (198.0, 240.0 - lift), (122.0, 240.0 - lift)]),
    );
    cut.piece(Stuff::Seal, boxed(130.0, 240.0 - lift, 190.0, 258.0 - lift));
    cut.call("what it protects", false, 345.0, (140.0, 350.0));
    cut.call("outlet", true, 202.0, (326.0, 202.0));
    cut.call("spring", false, 140.0, (136.0, 140.0));
    cut.call("setting, sealed by the maker", true, 60.0, (196.0, 70.0));
    cut.call("disc", false, 230.0, (124.0, 230.0 - lift));
    cut.call("seat", true, 280.0, (180.0, 266.0));
    join_two(&mut cut, open);
    cut.0
}
