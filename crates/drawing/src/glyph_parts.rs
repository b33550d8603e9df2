//! The paths of parts: machines, coils, vessels and fittings.

use crate::glyph::{Ink, Pen};
use crate::path::Path;
use crate::{Pose, Setting, Symbol};

pub(crate) fn draw(pen: &mut Pen, symbol: Symbol, pose: Pose, setting: &Setting) {
    match symbol {
        Symbol::Compressor => compressor(pen, setting),
        Symbol::Condenser => coil(pen, symbol),
        Symbol::Evaporator | Symbol::ReversibleCoil => coil(pen, symbol),
        Symbol::Receiver => receiver(pen, pose),
        Symbol::Accumulator => accumulator(pen, pose),
        Symbol::Drier => drier(pen),
        Symbol::OilSeparator => oil_separator(pen, pose),
        Symbol::SightGlass => sight_glass(pen),
        Symbol::Vessel => vessel(pen),
        Symbol::HeatExchanger => heat_exchanger(pen),
        Symbol::Distributor => distributor(pen),
        Symbol::Muffler => muffler(pen),
        Symbol::Fan => fan(pen, 0.0, 0.0, 20.0),
        Symbol::Tee => pen.draw(Ink::Solid, Path::new().circle(0.0, 0.0, 3.5)),
        Symbol::Union => union(pen),
        _ => continues(pen),
    }
}

fn compressor(pen: &mut Pen, setting: &Setting) {
    pen.draw(Ink::Body, Path::new().circle(0.0, 0.0, 24.0));
    // Two chords that draw together towards the outlet.
    pen.draw(Ink::Line, Path::new().to(-15.0, -18.7).line(21.9, -9.8).to(-15.0, 18.7).line(21.9, 9.8));
    if setting.on {
        pen.draw(Ink::Stem, Path::new().poly(&[(-8.0, -7.0), (8.0, 0.0), (-8.0, 7.0)]).close());
    }
}

/// Blades around a hub.
fn fan(pen: &mut Pen, x: f64, y: f64, r: f64) {
    let k = 0.55 * r;
    let blade = |path: Path, dx: f64, dy: f64| {
        // Two curves from the hub outward and back, one to each side.
        path.to(x, y)
            .curve(
                x + k * (dx - dy),
                y + k * (dy + dx),
                x + r * dx - k * dy,
                y + r * dy + k * dx,
                x + r * dx,
                y + r * dy,
            )
            .curve(x + k * dx, y + k * dy, x + k * dx, y + k * dy, x, y)
            .close()
    };
    let mut path = Path::new();
    for (dx, dy) in [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)] {
        path = blade(path, dx, dy);
    }
    pen.draw(Ink::Solid, path);
}

fn coil(pen: &mut Pen, symbol: Symbol) {
    pen.draw(Ink::Body, Path::new().rect(-40.0, -22.0, 80.0, 44.0));
    let mut points = vec![(-40.0, 0.0), (-32.0, 0.0)];
    for bend in 0..5 {
        let x = -27.0 + 9.0 * f64::from(bend);
        points.extend([(x, if bend % 2 == 0 { -15.0 } else { 15.0 })]);
    }
    points.extend([(14.0, 0.0), (40.0, 0.0)]);
    pen.draw(Ink::Line, Path::new().poly(&points));
    fan(pen, 27.0, 0.0, 9.0);
    let arrow = |y0: f64, y1: f64| {
        let head = if y1 < y0 { 4.5 } else { -4.5 };
        Path::new().to(-34.0, y0).line(-34.0, y1).poly(&[(-37.0, y1 + head), (-34.0, y1), (-31.0, y1 + head)])
    };
    // Heat goes out of the one and into the other.
    match symbol {
        Symbol::Condenser => pen.draw(Ink::Stem, arrow(-6.0, -18.0)),
        Symbol::Evaporator => pen.draw(Ink::Stem, arrow(-18.0, -6.0)),
        _ => {
            pen.draw(Ink::Stem, arrow(-6.0, -18.0));
            pen.draw(Ink::Stem, arrow(18.0, 6.0));
        }
    }
}

fn capsule(pen: &mut Pen, half: f64, height: f64) {
    pen.draw(Ink::Body, Path::new().rounded(-half, -height, 2.0 * half, 2.0 * height, height.min(half)));
}

const fn runs_down(pose: Pose) -> bool {
    matches!(pose, Pose::Down | Pose::Up)
}

/// A lying or standing capsule with liquid up to a level.
fn receiver(pen: &mut Pen, pose: Pose) {
    capsule(pen, 40.0, 18.0);
    let path = || Path::upright(pose);
    if runs_down(pose) {
        let liquid = path()
            .to(-18.0, 8.0)
            .line(18.0, 8.0)
            .line(18.0, 22.0)
            .arc(18.0, true, 0.0, 40.0)
            .arc(18.0, true, -18.0, 22.0)
            .close();
        pen.draw(Ink::Liquid, liquid);
        pen.draw(
            Ink::Thin,
            path()
                .to(-18.0, 8.0)
                .line(18.0, 8.0)
                .to(-7.0, 13.0)
                .line(7.0, 13.0)
                .to(-4.0, 17.5)
                .line(4.0, 17.5),
        );
        return;
    }
    let liquid = path()
        .to(-39.4, 4.0)
        .line(39.4, 4.0)
        .arc(18.0, true, 22.0, 17.6)
        .line(-22.0, 17.6)
        .arc(18.0, true, -39.4, 4.0)
        .close();
    pen.draw(Ink::Liquid, liquid);
    pen.draw(
        Ink::Thin,
        path().to(-39.4, 4.0).line(39.4, 4.0).to(-6.0, 8.0).line(6.0, 8.0).to(-3.0, 11.5).line(3.0, 11.5),
    );
}

/// An upright vessel with rounded ends; its pipes meet it at the sides, or above and below.
fn standing(pen: &mut Pen, pose: Pose) {
    pen.draw(Ink::Body, Path::upright(pose).rounded(-20.0, -30.0, 40.0, 60.0, 14.0));
}

fn accumulator(pen: &mut Pen, pose: Pose) {
    standing(pen, pose);
    let path = || Path::upright(pose);
    let liquid = path()
        .to(-20.0, 12.0)
        .line(20.0, 12.0)
        .line(20.0, 16.0)
        .arc(14.0, true, 6.0, 30.0)
        .line(-6.0, 30.0)
        .arc(14.0, true, -20.0, 16.0)
        .close();
    pen.draw(Ink::Liquid, liquid);
    // The tube that draws vapour from the top and dips into the liquid for the oil.
    let tube = path().to(-8.0, -18.0).line(-8.0, 16.0).arc(8.0, false, 8.0, 16.0).line(8.0, -18.0);
    pen.draw(Ink::Line, tube);
}

fn drier(pen: &mut Pen) {
    let shape = [
        (-28.0, -5.0),
        (-20.0, -14.0),
        (20.0, -14.0),
        (28.0, -5.0),
        (28.0, 5.0),
        (20.0, 14.0),
        (-20.0, 14.0),
        (-28.0, 5.0),
    ];
    pen.draw(Ink::Body, Path::new().poly(&shape).close());
    // A filter's broken line, then the grains.
    pen.draw(
        Ink::Line,
        Path::new()
            .to(-13.0, -14.0)
            .line(-13.0, -8.0)
            .to(-13.0, -3.0)
            .line(-13.0, 3.0)
            .to(-13.0, 8.0)
            .line(-13.0, 14.0),
    );
    let mut grains = Path::new();
    for (x, y) in [
        (-5.0, -7.0),
        (3.0, -7.0),
        (11.0, -7.0),
        (-1.0, 0.0),
        (7.0, 0.0),
        (15.0, 0.0),
        (-5.0, 7.0),
        (3.0, 7.0),
        (11.0, 7.0),
    ] {
        grains = grains.circle(x, y, 1.8);
    }
    pen.draw(Ink::Solid, grains);
}

fn oil_separator(pen: &mut Pen, pose: Pose) {
    standing(pen, pose);
    let path = || Path::upright(pose);
    pen.draw(Ink::Thin, path().to(-20.0, -4.0).line(20.0, -4.0).to(-20.0, 4.0).line(20.0, 4.0));
    pen.draw(
        Ink::Thin,
        path()
            .to(-20.0, 4.0)
            .line(-10.0, -4.0)
            .to(-10.0, 4.0)
            .line(0.0, -4.0)
            .to(0.0, 4.0)
            .line(10.0, -4.0)
            .to(10.0, 4.0)
            .line(20.0, -4.0),
    );
    // A drop of oil.
    pen.draw(
        Ink::Solid,
        path()
            .to(0.0, 11.0)
            .curve(6.0, 18.0, 6.0, 24.0, 0.0, 24.0)
            .curve(-6.0, 24.0, -6.0, 18.0, 0.0, 11.0)
            .close(),
    );
}

fn sight_glass(pen: &mut Pen) {
    pen.draw(Ink::Body, Path::new().circle(0.0, 0.0, 14.0));
    pen.draw(Ink::Thin, Path::new().circle(0.0, 0.0, 8.5));
    pen.draw(Ink::Line, Path::new().to(-8.5, 0.0).curve(-4.0, -5.0, 4.0, 5.0, 8.5, 0.0));
    pen.draw(Ink::Solid, Path::new().circle(0.0, 0.0, 2.2));
}

fn vessel(pen: &mut Pen) {
    capsule(pen, 40.0, 18.0);
}

fn heat_exchanger(pen: &mut Pen) {
    pen.draw(Ink::Body, Path::new().rect(-36.0, -20.0, 72.0, 40.0));
    let upper = [
        (-36.0, -8.0),
        (-24.0, -8.0),
        (-18.0, -15.0),
        (-8.0, -1.0),
        (2.0, -15.0),
        (12.0, -1.0),
        (20.0, -8.0),
        (36.0, -8.0),
    ];
    pen.draw(Ink::Line, Path::new().poly(&upper));
    pen.draw(Ink::Line, Path::new().poly(&upper.map(|(x, y)| (x, y + 16.0))));
    pen.draw(Ink::Thin, Path::new().to(-36.0, 0.0).line(36.0, 0.0));
}

fn distributor(pen: &mut Pen) {
    pen.draw(Ink::Body, Path::new().poly(&[(-14.0, -5.0), (2.0, -14.0), (2.0, 14.0), (-14.0, 5.0)]).close());
    pen.draw(
        Ink::Line,
        Path::new()
            .to(2.0, -10.0)
            .line(24.0, -18.0)
            .to(2.0, -3.5)
            .line(24.0, -6.0)
            .to(2.0, 3.5)
            .line(24.0, 6.0)
            .to(2.0, 10.0)
            .line(24.0, 18.0),
    );
}

fn muffler(pen: &mut Pen) {
    capsule(pen, 26.0, 12.0);
    pen.draw(
        Ink::Thin,
        Path::new()
            .to(-12.0, -12.0)
            .line(-12.0, 4.0)
            .to(0.0, 12.0)
            .line(0.0, -4.0)
            .to(12.0, -12.0)
            .line(12.0, 4.0),
    );
}

fn union(pen: &mut Pen) {
    pen.draw(Ink::Line, Path::new().to(-2.5, -6.0).line(-2.5, 6.0).to(2.5, -6.0).line(2.5, 6.0));
}

fn continues(pen: &mut Pen) {
    let shape = [(-14.0, -9.0), (6.0, -9.0), (14.0, 0.0), (6.0, 9.0), (-14.0, 9.0)];
    pen.draw(Ink::Body, Path::new().poly(&shape).close());
}
