//! Verdicts, slips and reasons as text.

use stemwise_units::{Mass, Pressure, UnitSystem};
use stemwise_wire::{
    MarginLeft, RangeVerdict, SlipTold, SlipsAnswer, StemSide, VerifiedStep, VerifyAnswer, WhyAnswer,
};

use super::text::{Text, count, percent};

struct Units {
    system: UnitSystem,
    atmosphere: Pressure,
}

impl Units {
    fn gauge(&self, pa: f64) -> String {
        self.system.as_read(Pressure::from_pa(pa), self.atmosphere)
    }

    fn mass(&self, kg: f64) -> String {
        self.system.mass(Mass::from_kg(kg))
    }
}

/// The verdict on a procedure.
pub(crate) fn verify(answer: &VerifyAnswer, system: UnitSystem) -> String {
    let units = Units { system, atmosphere: Pressure::from_pa(answer.atmosphere_pa) };
    let mut text = Text::new();
    let warned: Vec<String> =
        answer.steps.iter().filter(|step| step.verdict == "warned").map(|step| step.n.to_string()).collect();
    let verdict = match (answer.accepted, warned.is_empty()) {
        (true, true) => "ACCEPTED  ",
        (true, false) => "ACCEPTED, WITH WARNINGS  ",
        (false, _) => "NOT ACCEPTED  ",
    };
    let what = answer.job.as_deref().unwrap_or("no job named: only the rules and the end were checked");
    text.wrap(verdict, &format!("{}: {what}", answer.circuit));
    if let Some(because) = &answer.because {
        text.wrap("  First: ", because);
    }
    if answer.accepted && !warned.is_empty() {
        let steps = if warned.len() == 1 { "step" } else { "steps" };
        text.wrap(
            "  Mind: ",
            &format!(
                "{steps} {}: a caution, or gauges that show something else than the procedure expects",
                warned.join(", ")
            ),
        );
    }
    for note in &answer.notes {
        text.wrap("  Note: ", note);
    }
    for step in &answer.steps {
        verified(&mut text, step, &units);
    }
    text.blank();
    text.heading("Asked for");
    for asked in &answer.asked {
        let mark = match (asked.met, asked.needed) {
            (true, _) => "  [x] ",
            (false, true) => "  [ ] ",
            (false, false) => "  [-] ",
        };
        let at = asked.n.map_or_else(String::new, |n| format!(" (step {n})"));
        text.wrap(mark, &format!("{}{at}", asked.say));
    }
    for opened in &answer.opened {
        text.wrap(
            "  Opened: ",
            &format!(
                "{} in step {}, at {}, with {} of refrigerant",
                opened.space,
                opened.n,
                units.gauge(opened.pressure_pa),
                units.mass(opened.refrigerant_kg)
            ),
        );
    }
    for hazard in &answer.left_behind {
        text.wrap("  Left behind: ", &hazard.say);
    }
    let account = &answer.account;
    text.wrap(
        "  Account: ",
        &format!(
            "{} and {} new; {} in the circuit, {} in hoses and cylinder, {} lost",
            units.mass(account.start_kg),
            units.mass(account.new_kg),
            units.mass(account.circuit_kg),
            units.mass(account.rig_kg),
            units.mass(account.lost_kg)
        ),
    );
    text.line("  ", &format!("{} states were checked.", answer.states));
    if let Some(found) = &answer.ranges {
        ranges(&mut text, found);
    }
    text.done()
}

fn verified(text: &mut Text, step: &VerifiedStep, units: &Units) {
    text.blank();
    text.wrap(&format!("{:>3}. [{}] ", step.n, step.verdict), &step.say);
    for note in &step.notes {
        text.wrap("     Note: ", note);
    }
    for found in &step.found {
        let during = found.during.as_ref().map_or_else(String::new, |during| format!(", {during}"));
        text.wrap(
            &format!("     {} [{}]: ", found.severity, found.id),
            &format!("{} ({}{during})", found.say, found.action),
        );
    }
    if let Some(why) = &step.refused {
        text.wrap("     Can't be done: ", why);
    }
    for reads in &step.reads {
        let fits = if reads.fits == Some(false) { ", which is not what the step expects" } else { "" };
        text.wrap("     Gauge ", &format!("at {}: {}{fits}", reads.gauge, units.gauge(reads.pressure_pa)));
    }
    if let Some(tightest) = step.margins.iter().max_by(|a, b| a.used.total_cmp(&b.used)) {
        text.wrap("     Closest to a limit: ", &margin(tightest, units));
    }
}

fn margin(margin: &MarginLeft, units: &Units) -> String {
    let on = &margin.on;
    match margin.of.as_str() {
        "pressure" => {
            format!("{on} at {}, built for {}", units.gauge(margin.value), units.gauge(margin.limit))
        }
        "fill" => format!("{on} {} full of {} allowed", percent(margin.value), percent(margin.limit)),
        "cylinder" => format!("{} of {} in the cylinder", units.mass(margin.value), units.mass(margin.limit)),
        _ => format!("suction of {on} at {}, never below 0", units.gauge(margin.value)),
    }
}

fn ranges(text: &mut Text, found: &RangeVerdict) {
    text.blank();
    text.heading("Over the ranges of what was estimated");
    let verdict = match (found.estimates, found.holds) {
        (0, _) => "Nothing is estimated.".to_owned(),
        (_, true) => format!("It holds at all {} values tried.", found.tried),
        (_, false) => format!("It fails at {} of {} values tried.", found.fails.len(), found.tried),
    };
    text.wrap("  ", &verdict);
    text.wrap("  Tried: ", &found.method);
    for fail in found.fails.iter().take(5) {
        text.wrap("  - ", fail);
    }
    for settles in &found.would_settle {
        text.wrap("  Would settle it: ", settles);
    }
}

/// The slips of a procedure.
pub(crate) fn slips(answer: &SlipsAnswer, system: UnitSystem, all: bool) -> String {
    let units = Units { system, atmosphere: Pressure::from_pa(answer.atmosphere_pa) };
    let mut text = Text::new();
    let what = answer.job.as_deref().unwrap_or("a procedure");
    text.wrap("SLIPS  ", &format!("{}: {what}", answer.circuit));
    let by_harm = |harm: &str| answer.slips.iter().filter(|slip| slip.harm == harm).count();
    let counted = [
        ("hurts-someone", "can hurt someone"),
        ("loses-charge", "can lose or spoil the charge"),
        ("breaks-machine", "can break a machine"),
        ("delays", "delay the work"),
        ("harmless", "come to nothing"),
    ];
    for (harm, words) in counted {
        text.line("  ", &format!("{:>5} {words}", by_harm(harm)));
    }
    text.line("  ", &format!("{:>5} more starts are prevented by the lock", answer.prevented));
    text.blank();
    text.heading("What to sharpen");
    for step in &answer.sharpened {
        let dangerous = count(step.dangerous, "dangerous slip", "dangerous slips");
        let say = match (step.hold_point, step.guarded) {
            (true, _) => "hold point".to_owned(),
            (false, true) => "the gauges or a later hold point show it in time".to_owned(),
            (false, false) => step.say.clone(),
        };
        text.wrap(&format!("{:>3}. ", step.n), &format!("{dangerous}, {}. {say}", step.worst));
    }
    let shown = |slip: &&SlipTold| all || !matches!(slip.harm.as_str(), "harmless" | "delays");
    for (at, say) in answer.steps.iter().enumerate() {
        let of_step: Vec<&SlipTold> =
            answer.slips.iter().filter(|slip| slip.n == at + 1).filter(shown).collect();
        if of_step.is_empty() {
            continue;
        }
        text.blank();
        text.wrap(&format!("{:>3}. ", at + 1), say);
        for slip in of_step {
            told(&mut text, slip, &units);
        }
    }
    others(&mut text, answer, &units);
    text.done()
}

fn told(text: &mut Text, slip: &SlipTold, units: &Units) {
    text.wrap("     - ", &format!("[{}] {}", slip.harm, slip.say));
    if let Some(first) = &slip.first {
        let at = first.n.map_or_else(String::new, |n| format!(", step {n}"));
        text.wrap("       ", &format!("{} ({}{at})", first.say, first.soon));
    }
    if let Some(noticed) = &slip.noticed {
        let reads = |pa: Option<f64>| pa.map_or_else(|| "nothing".into(), |pa| units.gauge(pa));
        text.wrap(
            "       Noticed: ",
            &format!(
                "after step {} the gauge at {} shows {}, not {}",
                noticed.n,
                noticed.gauge,
                reads(noticed.shows_pa),
                reads(noticed.expected_pa)
            ),
        );
    } else if slip.first.is_some() {
        text.line("       ", "Noticed: no gauge shows it before.");
    }
    if slip.undo != "nothing to undo" {
        text.wrap("       ", &slip.undo);
    }
}

fn others(text: &mut Text, answer: &SlipsAnswer, units: &Units) {
    if let Some(orders) = &answer.reorderings {
        text.blank();
        text.heading("Other orders");
        if orders.is_empty() {
            text.line("  ", "No two neighbours can change places to make it safer.");
        }
        for order in orders {
            text.wrap(
                "  - ",
                &format!(
                    "steps {} and {} may change places: {} dangerous slips instead of {}",
                    order.n,
                    order.n + 1,
                    order.dangerous_then,
                    order.dangerous_now
                ),
            );
        }
    }
    if let Some(found) = &answer.pairs {
        text.blank();
        text.heading("Pairs");
        let all = if found.all { "all of them" } else { "the first of them" };
        text.line("  ", &format!("{} pairs were replayed, {all}.", found.tried));
        for pair in &found.pairs {
            text.wrap(
                "  Step ",
                &format!("{}: {}, and then, step {}:", pair.first.n, pair.first.say, pair.second.n),
            );
            told(text, &pair.second, units);
        }
    }
}

/// Why a step is there.
pub(crate) fn why(answer: &WhyAnswer, system: UnitSystem) -> String {
    let units = Units { system, atmosphere: Pressure::from_pa(answer.atmosphere_pa) };
    let mut text = Text::new();
    text.wrap(&format!("STEP {}  ", answer.n), &answer.say);
    if let Some(why) = &answer.why {
        text.wrap("Why: ", why);
    }
    if !answer.instead.is_empty() {
        text.blank();
        text.heading("What if you");
    }
    for other in &answer.instead {
        let breaks = other.breaks.as_deref().unwrap_or("nothing breaks: that would do as well");
        text.wrap("  - ", &format!("{}? {breaks}", other.way));
    }
    if !answer.stems.is_empty() {
        text.blank();
        text.heading("What the stem parts and joins");
    }
    for used in &answer.stems {
        let side = |side: &StemSide| {
            format!("{} at {} with {}", side.space, units.gauge(side.pressure_pa), units.mass(side.mass_kg))
        };
        let steps = if used.from == used.to {
            format!("step {}", used.from)
        } else {
            format!("steps {} to {}", used.from, used.to)
        };
        text.wrap(
            "  ",
            &format!("{steps}: {} {}: {} | {}", used.stem, used.position, side(&used.line), side(&used.body)),
        );
    }
    text.done()
}
