//! How a blend shifts, as the command line tells it.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod support;

use insta::assert_snapshot;
use stemwise_wire::ShiftAnswer;
use support::{Ran, check, run, shape};

const LEAK: [&str; 10] =
    ["shift", "R-407C", "--at", "25 C", "--volume", "10 L", "--mass", "5 kg", "--out", "vapour"];

fn asked<'a>(more: &[&'a str]) -> Vec<&'a str> {
    LEAK.iter().chain(more).copied().collect()
}

fn narrow(ran: &Ran) {
    for line in ran.out.lines() {
        assert!(line.chars().count() <= 80, "wider than 80: {line}");
    }
}

#[test]
fn a_vapour_leak_is_told_line_by_line() {
    let ran = check(&asked(&["--left", "50 %", "--every", "25 %"]), 0, &["vapour leaves"]);
    narrow(&ran);
    let stays = ran.out.split("\n\nWhat has gone").next().unwrap();
    assert_snapshot!(stays, @r"
    R-407C, 5.00 kg in 10.00 L at 25.0 °C: vapour leaves

    What stays
    ----------
                    liquid       at rest  bubble     dew  bubble     dew
     left     mass  volume    on a gauge   point   point  press.  press.
    100 %  5.00 kg    41 %  10.79 bar(g)   0.0 K   0.0 K   0.0 %   0.0 %
     75 %  3.75 kg    30 %  10.27 bar(g)  +1.5 K  +1.5 K  -3.9 %  -4.1 %
     50 %  2.50 kg    18 %   9.53 bar(g)  +3.6 K  +3.4 K  -9.2 %  -9.3 %

    What stays, % by mass
    ---------------------
     left  R-32  R-125  R-134a
    100 %  23.0   25.0    52.0
     75 %  20.5   23.2    56.4
     50 %  17.1   20.6    62.3
    ");
    for words in [
        "OUT",
        "tolerances ANSI/ASHRAE Standard 34, from memory",
        "Flammable alone: R-32",
        "nothing is vented",
    ] {
        assert!(ran.out.contains(words), "{words}");
    }
}

#[test]
fn json_has_what_the_text_has() {
    let answer: ShiftAnswer =
        shape(&run(&asked(&["--left", "2.5 kg", "--top-up", "liquid", "--rounds", "3", "--json"])));
    assert_eq!(answer.components, ["R-32", "R-125", "R-134a"]);
    let (first, last) = (answer.stages.first().unwrap(), answer.stages.last().unwrap());
    assert_eq!((first.moment.as_str(), last.moment.as_str()), ("start", "end"));
    assert!((last.part_left - 0.5).abs() < 1e-12 && first.drawn.is_none());
    for i in 0..3 {
        let gone = last.drawn.as_ref().unwrap().mass[i] * last.drawn_kg;
        let there = last.content.overall.mass[i] * last.content.mass_kg;
        let was = first.content.overall.mass[i] * first.content.mass_kg;
        assert!((gone + there - was).abs() < 1e-9, "component {i}");
    }
    assert!(last.content.bubble_shift_k > 3.0 && last.content.bubble_shift_part < -0.05);
    assert!(!answer.deviation.within && !answer.deviation.assumed);
    assert_eq!(answer.rounds.len(), 3);
    assert!(answer.rounds.iter().all(|round| (round.topped_up.mass_kg - 5.0).abs() < 1e-9));
}

#[test]
fn every_way_prints_within_eighty_columns() {
    for more in [
        &["--down-to", "0 psig", "--units", "ip"] as &[&str],
        &["--left", "3 %", "--every", "20 %"],
        &["--left", "50 %", "--top-up", "vapour", "--add", "1 kg"],
        &["--left", "50 %", "--altitude", "5000 ft"],
    ] {
        narrow(&check(&asked(more), 0, &["What stays against the nominal composition"]));
    }
    let five = ["shift", "R-448A", "--at", "20 C", "--mass", "20 kg", "--liquid", "60 %", "--out", "liquid"];
    let five: Vec<&str> =
        five.into_iter().chain(["--left", "1 %", "--top-up", "liquid", "--units", "ip"]).collect();
    narrow(&check(&five, 0, &["tolerances assumed", "* the last drop of liquid goes"]));
}

#[test]
fn a_pure_refrigerant_does_not_shift() {
    let ask = [
        "shift", "R-134a", "--at", "25 C", "--volume", "10 L", "--mass", "5 kg", "--out", "vapour", "--left",
        "50 %",
    ];
    let ran = check(&ask, 0, &["nothing shifts"]);
    assert!(!ran.out.contains("nominal"));
}

#[test]
fn what_was_not_understood_says_so() {
    check(&asked(&[]), 2, &["--left <AMOUNT>"]);
    check(&asked(&["--left", "50 %", "--liquid", "80 %"]), 2, &["3 of volume, mass and liquid"]);
    check(&asked(&["--left", "6 kg"]), 2, &["can't be left of 5.0000 kg"]);
    check(&asked(&["--left", "50 %", "--top-up", "steam"]), 2, &["top-up is \"steam\"", "vapour or liquid"]);
    check(&asked(&["--left", "50 %", "--every", "0 %"]), 2, &["too many rows"]);
    check(&asked(&["--left", "50 %", "--rounds", "2"]), 2, &["--top-up"]);
    check(&asked(&["--left", "0 %"]), 1, &["0 is not a part of the mass"]);
    check(&asked(&["--down-to", "90 bar"]), 1, &["is not below the pressure at the start"]);
    check(&asked(&["--left", "50 %", "--top-up", "liquid", "--add", "50 kg"]), 1, &["does not fit", "hint:"]);
}
