//! Push–pull in motion: liquid comes fast, by the formula for the hose; mass and energy are kept; the cylinder's limit and its clock hold.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test stops at the first surprise and says where it was"
)]
#![allow(clippy::disallowed_methods, reason = "what is compared here needs no bits alike on two machines")]

mod support;

use stemwise_circuit::{Assembly, Position, Rig, examples, read};
use stemwise_rehearse::Danger;
use stemwise_service::{Action, Refrigerant, State, Stops, required_level_of};
use support::{Bench, from};

/// The walk-in cooler with a larger receiver and charge, its compressor off and pumped down.
fn large(kilograms: f64) -> Bench {
    let text = examples().iter().find(|found| found.name == "walk-in-cooler").unwrap().text;
    let text = text
        .replace("charge = \"4.6 kg\"", &format!("charge = \"{kilograms} kg\""))
        .replace("volume = \"6.0 L\"", "volume = \"30 L\"");
    let circuit = read(text.as_bytes()).circuit.unwrap();
    let refrigerant = Refrigerant::named(&circuit.refrigerant).unwrap();
    let assembly = Assembly::new(circuit, Rig { push_pull: true, ..Rig::usual() });
    let stops = Stops::usual(required_level_of(&assembly, &refrigerant));
    let begin = State::standing(&assembly, &refrigerant, &stops);
    from(assembly, refrigerant, stops, &begin.state)
}

fn rig_up(here: &mut Bench) {
    let found = here.assembly.rigged.push_pull.unwrap();
    here.turn("queen", Position::MidSeated);
    here.turn("king", Position::MidSeated);
    here.act(Action::AttachHose { hose: found.push_hose, port: here.port("queen-port") });
    here.act(Action::AttachHose { hose: found.liquid_hose, port: here.port("king-port") });
    here.turn("cylinder-liquid-valve", Position::Open);
}

/// Liquid from the receiver into its hose by Darcy and Weisbach with Blasius' friction of a smooth tube (any textbook of hydraulics), one and a half velocity heads
/// for the ends and the valve's passage; what comes in motion lies within 20 % of it, as the motion takes a rougher hose. Behind that it flashes on its way into
/// the cylinder. Kept throughout: mass and energy.
#[test]
fn liquid_comes_as_the_hose_lets_it() {
    let mut here = large(16.0);
    rig_up(&mut here);
    let found = here.assembly.rigged.push_pull.unwrap();
    here.act(Action::Start(found.machine));
    let (mut compared, mut full) = (0, None);
    for second in 1..600 {
        here.now.advance(1.0);
        let flow = here.now.joint(found.liquid_valve).unwrap();
        if second % 20 == 0 {
            println!(
                "{second} s: {:.3} kg, {:.4} kg/s, receiver {:.3} bar, cylinder {:.3} bar, level {:.2}, push {:.3} bar",
                here.kg("cylinder"),
                flow.kg_per_second,
                here.bar("receiver"),
                here.bar("cylinder"),
                here.now.liquid_fraction(here.space("cylinder")),
                here.bar("push-hose"),
            );
        }
        let gap = (here.bar("receiver") - here.bar("liquid-hose")) * 1e5;
        if second > 60 && flow.liquid > 0.5 && here.now.liquid_fraction(here.space("receiver")) > 0.1 {
            let (d, l, mu) = (4.8e-3, 1.5, 1.9e-4);
            let area = core::f64::consts::FRAC_PI_4 * d * d;
            let rho = here.now.liquid_density(here.space("receiver")).unwrap();
            // The hose hangs from above.
            let up = |id: &str| here.assembly.graph.space(here.space(id)).unwrap().height.value.as_m();
            let rise = rho * 9.80665 * (up("liquid-hose") - up("receiver"));
            // The passage through a valve between its seats, 4.5 mm, lets seven tenths of its area through (common practice).
            let passage = (d / 4.5e-3_f64).powi(4) / (0.7 * 0.7);
            let mut kg = 0.1;
            for _ in 0..50 {
                let reynolds = 4.0 * kg / (core::f64::consts::PI * d * mu);
                let losses = 0.316 / reynolds.powf(0.25) * l / d + 1.5 + passage;
                kg = area * (2.0 * rho * (gap - rise) / losses).sqrt();
            }
            if second % 20 == 0 {
                println!("formula {kg:.4} kg/s, liquid {:.3}", flow.liquid);
            }
            assert!((flow.kg_per_second / kg - 1.0).abs() < 0.2, "{} of {kg} kg/s", flow.kg_per_second);
            compared += 1;
        }
        full = full.or((flow.liquid < 0.5 && second > 60).then_some(second));
    }
    here.kept();
    assert!(compared > 30, "{compared}");
    println!("vapour after {full:?} s, {:.2} kg, {:?}", here.kg("cylinder"), here.now.statistics());
    assert!(full.is_some());
}

/// The same charge drawn as vapour through the usual hoses takes many times as long for the first ten kilograms.
#[test]
fn it_is_many_times_as_fast_as_vapour() {
    let until = |here: &mut Bench| {
        let start = here.now.seconds();
        while here.kg("cylinder") < 8.0 && here.now.seconds() - start < 4.0 * 3600.0 {
            here.now.advance(10.0);
        }
        here.kept();
        here.now.seconds() - start
    };
    let mut pushed = large(16.0);
    rig_up(&mut pushed);
    pushed.act(Action::Start(pushed.assembly.rigged.push_pull.unwrap().machine));
    let fast = until(&mut pushed);
    let mut drawn = large(16.0);
    let rigged = drawn.assembly.rigged.clone();
    drawn.turn("queen", Position::MidSeated);
    drawn.act(Action::AttachHose { hose: rigged.high_hose, port: drawn.port("queen-port") });
    drawn.turn("high-hand-valve", Position::Open);
    drawn.act(Action::Start(rigged.recovery_machine.unwrap()));
    let slow = until(&mut drawn);
    println!("8 kg: push-pull {fast} s, vapour {slow} s");
    assert!(slow > 5.0 * fast, "{fast} s, {slow} s");
}

/// More than one cylinder may hold: the clock says how long it takes, and then it is there.
#[test]
fn the_cylinders_limit_has_its_clock() {
    let mut here = large(30.0);
    rig_up(&mut here);
    here.act(Action::Start(here.assembly.rigged.push_pull.unwrap().machine));
    let cylinder = here.space("cylinder");
    here.now.advance(120.0);
    let clocks = here.now.clocks();
    let said = clocks.iter().find(|clock| clock.danger == Danger::PastFill(cylinder)).unwrap().seconds;
    let start = here.now.seconds();
    while here.now.liquid_fraction(cylinder) < 0.8 && here.now.seconds() - start < 1200.0 {
        here.now.advance(1.0);
    }
    let came = here.now.seconds() - start;
    println!("said {said} s, came after {came} s");
    assert!((said / came - 1.0).abs() < 0.25, "said {said} s, came after {came} s");
    here.kept();
}

/// After the liquid vapour recovery takes the rest, by the same machine on its usual hoses; both at once can't be.
#[test]
fn vapour_recovery_follows() {
    let mut here = large(16.0);
    rig_up(&mut here);
    let (found, rigged) = (here.assembly.rigged.push_pull.unwrap(), here.assembly.rigged.clone());
    here.act(Action::Start(found.machine));
    here.now.advance(300.0);
    assert!(here.now.act(&Action::Start(rigged.recovery_machine.unwrap())).is_err());
    here.turn("cylinder-liquid-valve", Position::Shut);
    here.act(Action::Stop(found.machine));
    let liquid = here.kg("cylinder");
    here.act(Action::AttachHose { hose: rigged.high_hose, port: here.port("discharge-valve-port") });
    here.turn("discharge-valve", Position::MidSeated);
    here.turn("high-hand-valve", Position::Open);
    here.act(Action::Start(rigged.recovery_machine.unwrap()));
    here.now.advance(3600.0);
    println!(
        "{liquid:.2} kg as liquid, {:.2} kg in the end, receiver {:.2} bar",
        here.kg("cylinder"),
        here.bar("receiver")
    );
    assert!(here.kg("cylinder") > liquid + 0.3);
    here.kept();
}
