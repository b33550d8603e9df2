//! The paths of what the technician brings along.

use crate::glyph::{Ink, Pen};
use crate::path::Path;
use crate::{Pose, Setting, Symbol};

pub(crate) fn draw(pen: &mut Pen, symbol: Symbol, pose: Pose, setting: &Setting) {
    match symbol {
        Symbol::Gauge => gauge(pen, pose, setting),
        Symbol::Cylinder => cylinder(pen, pose),
        Symbol::NitrogenCylinder => nitrogen(pen, pose),
        Symbol::NitrogenRegulator => regulator(pen, setting),
        Symbol::RecoveryMachine => recovery(pen, setting),
        _ => vacuum(pen, setting),
    }
}

/// The needle turns from lower left to lower right, as on every gauge.
fn gauge(pen: &mut Pen, pose: Pose, setting: &Setting) {
    pen.draw(Ink::Body, Path::new().circle(0.0, 0.0, 18.0));
    let at = |part: f64, r: f64| {
        let turn = (part.clamp(0.0, 1.0) - 0.5) * 1.5 * core::f64::consts::PI;
        (r * libm::sin(turn), -r * libm::cos(turn))
    };
    let mut ticks = Path::upright(pose);
    for tick in 0..7 {
        let part = f64::from(tick) / 6.0;
        let ((x0, y0), (x1, y1)) = (at(part, 15.0), at(part, 12.0));
        ticks = ticks.to(x0, y0).line(x1, y1);
    }
    pen.draw(Ink::Thin, ticks);
    let (x, y) = at(setting.needle.unwrap_or(0.0), 12.0);
    pen.draw(Ink::Line, Path::upright(pose).to(0.0, 0.0).line(x, y));
    pen.draw(Ink::Solid, Path::new().circle(0.0, 0.0, 2.5));
}

/// Standing on its scale, whichever way the hose comes.
fn cylinder(pen: &mut Pen, pose: Pose) {
    let path = || Path::upright(pose);
    pen.draw(Ink::Body, path().rounded(-13.0, -16.0, 26.0, 38.0, 8.0));
    pen.draw(Ink::Body, path().rect(-4.0, -28.0, 8.0, 12.0));
    pen.draw(Ink::Thin, path().to(-13.0, 6.0).line(13.0, 6.0));
    pen.draw(Ink::Line, path().to(-18.0, 24.0).line(18.0, 24.0));
    pen.draw(Ink::Stem, path().rect(-20.0, 26.0, 40.0, 7.0));
}

fn nitrogen(pen: &mut Pen, pose: Pose) {
    let path = || Path::upright(pose);
    pen.draw(Ink::Body, path().rounded(-10.0, -22.0, 20.0, 54.0, 9.0));
    pen.draw(Ink::Body, path().rect(-4.0, -31.0, 8.0, 9.0));
    // The letter N.
    pen.draw(Ink::Line, path().to(-4.0, 10.0).line(-4.0, -4.0).line(4.0, 10.0).line(4.0, -4.0));
}

fn regulator(pen: &mut Pen, setting: &Setting) {
    let open = setting.position == Some(stemwise_circuit::Position::Open);
    pen.draw(Ink::Body, Path::new().circle(0.0, 0.0, 14.0));
    pen.draw(Ink::Line, Path::new().to(0.0, -14.0).line(0.0, -28.0).to(-9.0, -28.0).line(9.0, -28.0));
    let ink = if open { Ink::Line } else { Ink::Stem };
    pen.draw(ink, Path::new().poly(&[(-7.0, -6.0), (7.0, 0.0), (-7.0, 6.0)]).close());
}

fn recovery(pen: &mut Pen, setting: &Setting) {
    pen.draw(Ink::Body, Path::new().rounded(-28.0, -24.0, 56.0, 48.0, 5.0));
    pen.draw(Ink::Line, Path::new().to(-12.0, -24.0).line(-12.0, -29.0).line(12.0, -29.0).line(12.0, -24.0));
    pen.draw(Ink::Body, Path::new().circle(0.0, 0.0, 15.0));
    pen.draw(Ink::Line, Path::new().to(-9.0, -12.0).line(13.6, -6.4).to(-9.0, 12.0).line(13.6, 6.4));
    if setting.on {
        pen.draw(Ink::Stem, Path::new().poly(&[(-5.0, -5.0), (6.0, 0.0), (-5.0, 5.0)]).close());
    }
}

fn vacuum(pen: &mut Pen, setting: &Setting) {
    pen.draw(Ink::Body, Path::new().circle(0.0, 0.0, 20.0));
    let ink = if setting.on { Ink::Stem } else { Ink::Line };
    pen.draw(ink, Path::new().poly(&[(-10.0, -17.0), (20.0, 0.0), (-10.0, 17.0)]).close());
    pen.draw(Ink::Thin, Path::new().poly(&[(30.0, -5.0), (36.0, 0.0), (30.0, 5.0)]));
}
