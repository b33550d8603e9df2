//! Steps as sentences, in the words of the trade.

mod amounts;

use stemwise_circuit::{Assembly, End, JointId, JointKind, PortId, PortOn, Position, SpaceId, Wrench};
use stemwise_units::{GaugePressure, Mass, Pressure, UnitSystem};

use super::beware::Beware;
use super::direct::Form;
use super::procedure::{Doing, Expect, Hold, Label, Phase, Reason, Step};
use super::write::SCALE;
use crate::{Action, Cap, Job, JobKind};

/// Above this part of the atmosphere a hose can be purged.
const ABOVE: f64 = 1.05;
/// Losses below this show as nothing, g.
const LOSS_SHOWN: f64 = 0.05;

/// Makes sentences for one assembly in one unit system.
#[derive(Clone, Copy, Debug)]
pub struct Words<'a> {
    /// What the ids belong to.
    pub assembly: &'a Assembly,
    /// The units of pressures and masses.
    pub units: UnitSystem,
}

impl Words<'_> {
    /// What is done, care steps included, and what of the refrigerant is lost by it.
    pub fn say(&self, step: &Step, job: &Job) -> String {
        let done = self.say_done(step, job);
        if step.lost.as_g() < LOSS_SHOWN {
            return done;
        }
        format!("{done} With it {} of refrigerant goes to the atmosphere.", self.mass(step.lost))
    }

    fn say_done(&self, step: &Step, job: &Job) -> String {
        match &step.doing {
            Doing::LookOver => self.look_over(job),
            Doing::FitHose { hose, port } => self.fit_hose(*hose, *port, step),
            Doing::TakeHoseOff { port } => self.take_hose_off(*port, step),
            Doing::Turn { valve, from, to } => {
                let turned = self.turn(*valve, *from, *to, &step.actions);
                let purge = if step.reason == Reason::JoinPort { self.purge(step) } else { "" };
                format!("{turned}{purge}")
            }
            Doing::Read { gauges: 0 } => "Read what the system has of its own gauges and thermometers, and write it down.".into(),
            Doing::Read { gauges: 1 } => "Read the gauge and write the pressure down.".into(),
            Doing::Read { .. } => "Read both gauges and write the pressures down.".into(),
            Doing::HoldOpen { valves } if step.reason == Reason::NotHeldUp => {
                format!("Open {} wide by its manual opener, and leave its setting alone.", self.joints(valves))
            }
            Doing::HoldOpen { valves } => format!(
                "Hold {} open: keep the coil energised from a separate supply, fit a service magnet, or use the manual stem.",
                self.joints(valves)
            ),
            Doing::LetGo { valves } => self.let_go(valves),
            Doing::PumpDown { compressors, to } if self.cuts_out(compressors, *to) => format!(
                "Let {} run and watch the low-side gauge until the low-pressure control stops it, at {}.",
                self.joints(compressors),
                self.gauge(*to)
            ),
            Doing::PumpDown { compressors, to } => format!(
                "Let {} run and watch the low-side gauge until it has come down to {}; never below 0.",
                self.joints(compressors),
                self.gauge(*to)
            ),
            Doing::Stop { compressors } => format!("Stop {}.", self.joints(compressors)),
            Doing::WaitForRise { minutes, limit } => format!(
                "Wait {minutes} minutes. If the low side climbs above {}, run down once more; repeat until it stays.",
                self.gauge(*limit)
            ),
            Doing::LockOut => {
                "Switch the power off, lock and tag the disconnect, and try the start: nothing may move."
                    .into()
            }
            Doing::RestorePower if job.kind == JobKind::ReturnToService => {
                "Nobody has hands in, and who hung the tags agrees: take lock and tags off and restore the power.".into()
            }
            Doing::RestorePower => {
                "See that nobody has hands in; take lock and tag off and restore the power.".into()
            }
            Doing::Start { compressors } => format!(
                "See once more that the discharge side is open, then start {}.",
                self.joints(compressors)
            ),
            Doing::Recover { ports, to, mass, change_at } => self.recover(ports, *to, *mass, *change_at),
            Doing::BreakVacuum => {
                "Let dry nitrogen in through the regulator until the gauge stands at 0; shut the hand valve."
                    .into()
            }
            Doing::SweepOut { to } => format!(
                "Air moving, nothing that could light it within reach: lead a hose from the manifold into the open air, away from drains, windows and flames. Let dry, oxygen-free nitrogen in through the regulator to {}, wait a minute, and let it out there to 0; shut the hand valves.",
                self.gauge(*to)
            ),
            Doing::PullSwept { to } => format!(
                "Evacuate to {}, with a pump that is fit for a refrigerant that burns and its outlet led into the open air; shut the hand valves, then the pump.",
                self.vacuum(*to)
            ),
            Doing::CheckAir => {
                "Before the flame: measure with a detector for this refrigerant at the open ends, at the floor and around the place; keep it switched on beside you. Let dry nitrogen flow gently through the section, a free way out for it."
                    .into()
            }
            Doing::OpenUp { spaces, with_heat } => self.open_up(job, spaces, *with_heat),
            Doing::CloseUp { spaces, with_heat } => self.close_up(job, spaces, *with_heat),
            Doing::PressureTest { to, stand, set_by } => self.pressure_test(*to, *stand, *set_by),
            Doing::ReleaseNitrogen => "Let the nitrogen out to 0, slowly and away from people.".into(),
            Doing::Evacuate { to, stand, may_rise_to } => self.evacuate(*to, *stand, *may_rise_to),
            Doing::SearchLeaks => {
                "Search for leaks at everything that was touched: joints, stems, packing nuts, cores, ports."
                    .into()
            }
            Doing::Caps { count } => format!(
                "Put every cap back on, tight ({count} of them): stems and ports; oil the ports' threads. Check each packing \
                 nut that was eased."
            ),
            Doing::Record { recovered, charged, lost } => format!(
                "Write down what was done, by whom and when; refrigerant recovered {}, charged {}, lost {}.",
                self.mass(*recovered),
                self.mass(*charged),
                self.mass(*lost)
            ),
            Doing::Tag { valves } => {
                format!(
                    "Hang a tag on {} and on the disconnect: not in normal position.",
                    self.joints(valves)
                )
            }
            other => self.say_more(other, step),
        }
    }

    /// Charging, and the steps of jobs that isolate nothing.
    fn say_more(&self, doing: &Doing, step: &Step) -> String {
        let said = self.say_charge_and_more(doing, step);
        if matches!(doing, Doing::Charge { .. })
            && step.actions.iter().any(|action| matches!(action, Action::PurgeHose { .. }))
        {
            return format!(
                "Put the centre hose on the cylinder and purge it: open the cylinder a little and loosen the hose's nut at the manifold until \
                 refrigerant comes, then tighten it. {said}"
            );
        }
        said
    }

    fn say_charge_and_more(&self, doing: &Doing, step: &Step) -> String {
        match doing {
            Doing::Charge { mass, form: Form::Liquid } if runs_from_cylinder(step) => format!(
                "Let the compressor draw {} in as liquid, from the cylinder on the scale: open the hand valve a little and watch the \
                 low-side gauge.",
                self.mass(*mass)
            ),
            Doing::Charge { mass, form: Form::Liquid } => format!(
                "The compressor stands: weigh {} in as liquid, into the liquid line or what feeds it, from the cylinder on the scale (clean recovered \
                 refrigerant of this system, or new).",
                self.mass(*mass)
            ),
            Doing::Charge { mass, .. } if step.reason == Reason::LongerLine => format!(
                "Weigh {} into the evacuated line set as liquid, from the cylinder on the scale.",
                self.mass(*mass)
            ),
            Doing::Charge { mass, form } if step.reason == Reason::NotTooMuch => format!(
                "Let up to {} in{}, slowly, from the cylinder on the scale.",
                self.mass(*mass),
                match form {
                    Form::Throttled => {
                        " from the cylinder's liquid side (a blend may leave it as liquid only), throttled at the hand valve so that vapour reaches \
                         the compressor"
                    }
                    _ => " as vapour",
                }
            ),
            Doing::Charge { mass, form: Form::Throttled } => format!(
                "The cylinder upside down or on its liquid valve, for a blend may leave it as liquid only: weigh {} in, throttled at the \
                 hand valve so that vapour reaches the compressor, slowly, from the cylinder on the scale.",
                self.mass(*mass)
            ),
            Doing::Charge { mass, form: Form::Vapour } => format!(
                "Weigh {} in as vapour, slowly, from the cylinder on the scale (clean recovered refrigerant of this system, or \
                 new).",
                self.mass(*mass)
            ),
            Doing::LetRun { minutes } => {
                format!("Let it run {minutes} minutes until the readings are steady.")
            }
            Doing::LetWarm { minutes, beside } => format!(
                "Liquid stands in {}. With the power on and the fans running wait {minutes} minutes, the crankcase heater warm; the maker may ask for \
                 longer. Where there is no heater, start it for a second or two at a time, with a minute between, until it runs quietly.",
                self.space(*beside)
            ),
            Doing::LetDrain { into, minutes } => format!(
                "Let the liquid run down into {}: wait {minutes} minutes. Warm water over the lowest part of what drains helps, never a flame; a \
                 level in the receiver that no longer rises says that it is done.",
                self.space(*into)
            ),
            Doing::Judge { target, again: true, .. } => self.judge_again(target),
            Doing::Judge { target, saturation, pipe, .. } => self.judge(target, *saturation, *pipe),
            Doing::PullAndBreak { to, time } => format!(
                "Evacuate to {} a {} time, then let dry nitrogen in through the regulator until the gauge stands at 0.",
                self.vacuum(*to),
                if *time == 1 { "first" } else { "second" }
            ),
            Doing::SwapCore { port } => format!(
                "Take the cap off {}. Put the core removal tool on, its valve open; unscrew the core into it, shut its valve, take the \
                 core out of the tool. New core in, valve open, core screwed in and snug; tool off, and see that nothing comes out.",
                self.port(*port)
            ),
            Doing::AddOil { port, mass } => format!(
                "Fill the hand oil pump and its hose with oil of the kind on the compressor's plate, from a can opened only now, and purge \
                 the hose of air. Push {} in through {}; watch the sight glass in the crankcase, if it has one.",
                self.mass(*mass),
                self.port(*port)
            ),
            Doing::Pierce { port } => format!(
                "Clean and straighten the tube and bolt the piercing valve on for {}, its gasket oiled; tighten evenly. Cap off, needle still out: \
                 the hose goes on first and the needle turns in after, then back out.",
                self.port(*port)
            ),
            Doing::BrazeAccess { port } => format!(
                "The system holds no refrigerant: cut the tube cold, see that nothing comes out{}, and braze an access valve on, its core out while it is hot, with a \
                 little dry nitrogen flowing through and a free way out. From here on it is {}.",
                if step.actions.contains(&Action::CheckAir) {
                    " and that a detector for the refrigerant shows nothing at the open end"
                } else {
                    ""
                },
                self.port(*port)
            ),
            Doing::Label { label } => format!(
                "Hang a label on the unit and on the disconnect: {}, with name and date.",
                match label {
                    Label::Nitrogen => "tested, holds dry nitrogen and no refrigerant",
                    Label::Vacuum => "evacuated and under vacuum, holds no refrigerant, not to be started",
                    Label::OutOfUse =>
                        "out of use, the refrigerant recovered; the oil is still to be drained",
                    Label::ChargedUnit =>
                        "the charge is in the outdoor unit, both line-set valves shut: not to be opened or started",
                }
            ),
            _ => String::new(),
        }
    }

    /// Why the step is there.
    pub fn why(&self, step: &Step) -> String {
        match &step.reason {
            Reason::KnowFirst => "Know what is in there before anything is opened.".into(),
            Reason::SeePressures => "Nobody can see inside: the gauges show both sides.".into(),
            Reason::JoinPort => "Joins the port to the system, so that the gauge there reads it.".into(),
            Reason::CutOff { .. } => self.why_cut_off(step),
            Reason::NoLiquidShutIn => {
                "Without power the solenoid shuts, and what is behind it could not be emptied, tested or evacuated.".into()
            }
            Reason::NotHeldUp => {
                "Shut at its setting, it would keep its evaporator full while the rest is pumped down.".into()
            }
            Reason::MoveCharge => "The compressor moves the refrigerant into the high side, so none has to be taken out.".into(),
            Reason::OilGivesOff => "Refrigerant dissolved in the oil comes out slowly.".into(),
            Reason::KeepsCharge => "What runs down into the receiver does not have to be recovered.".into(),
            Reason::Hands => "Hands go in next, and a start now would pump against a shut valve.".into(),
            Reason::RequiredLevel => self.why_so_low(step).into(),
            Reason::NoAirIn => "Opened under vacuum, the section would draw in air and water.".into(),
            Reason::NothingThatBurns => {
                "The refrigerant burns, and recovery leaves some of it, in the oil too: no flame before it is swept out.".into()
            }
            Reason::Repair => "The job itself.".into(),
            Reason::ProveTight => "A leak is found now, or by the customer later.".into(),
            Reason::ProveDry => "Nitrogen, air and water must be out before refrigerant comes in.".into(),
            Reason::JoinAgain => "Joins the section with the rest of the system again.".into(),
            Reason::Normal => "Back to normal.".into(),
            Reason::ByWeight => "By weight the charge is what it should be; pressures alone don't tell how much is in there.".into(),
            Reason::NobodySaid => self.why_so_much().into(),
            Reason::SeeItRun => "To see that it runs as it did before.".into(),
            Reason::LastSeal => "The cap is the last seal on a stem or a port.".into(),
            Reason::Account => "The law, the owner and the next technician want to know.".into(),
            Reason::HoseDone => "The port is needed no longer.".into(),
            Reason::FreePort => "Shuts the port off from the system before the hose comes off.".into(),
            Reason::EmptyHose => {
                "The hose is full of liquid, and its port can't be shut off: with its supply shut the compressor draws the hose empty.".into()
            }
            Reason::MustStand => "What follows needs the compressor to stand.".into(),
            Reason::LeftOff => "So that nobody opens or starts it unknowingly.".into(),
            Reason::FeedFromCylinder => {
                "Parts the receiver from the liquid line: the compressor draws liquid from the cylinder through the metering device.".into()
            }
            Reason::LetChargeIn => "The line set is tight and dry: the charge that the unit came with may come in.".into(),
            Reason::KeepInUnit => "The charge stays in the outdoor unit; nothing comes back into the line set.".into(),
            Reason::NoPortYet => {
                "The system is sealed: a bolt-on piercing valve on a tube, the compressor standing, is the way in, for as long as the job takes and no longer.".into()
            }
            Reason::NoPortAtAll => {
                "The system is sealed and holds nothing yet: an access valve is the way in, and it stays.".into()
            }
            Reason::NoLiquidDrawnIn => {
                "Liquid stands beside the compressor: a start now would draw it in and wash the oil away.".into()
            }
            Reason::TellsCharge => "What the running system shows tells whether the charge is right.".into(),
            Reason::NotTooMuch => {
                "Little by little, with a wait each time: what is too much has to be recovered again.".into()
            }
            Reason::LongerLine => {
                "The line set is longer than the unit's own charge covers; into the empty line set it goes by itself, and is weighed."
                    .into()
            }
            Reason::Steady => "Readings mean nothing before the system is steady.".into(),
            Reason::CarryWaterOut => {
                "Dry nitrogen takes up water where a vacuum alone is slow, and carries it out with the next pull.".into()
            }
            Reason::HoldTestGas => {
                "A one-way joint, like the valves of a standing compressor, would let the test gas through into the charge or to where \
                 it can't be taken out again: with this the test can go higher."
                    .into()
            }
        }
    }

    /// The slip that is dangerous at a step.
    pub fn beware(&self, beware: Beware) -> &'static str {
        match beware {
            Beware::WrongStem => {
                "The right stem: read its tag and follow its line with the hand. A discharge valve shut in its place bursts something at once."
            }
            Beware::LeftOpen => {
                "The right stem, and all the way: a valve that stands otherwise lets the charge out or the test gas in, and liquid between two shut \
                 ones bursts the line when it warms."
            }
            Beware::TooFar => {
                "A small part of a turn and no more: on its front seat the valve shuts the compressor or the liquid in."
            }
            Beware::WrongWay => {
                "Counter-clockwise: turned the other way it shuts the compressor or the liquid in."
            }
            Beware::PumpOnGas => {
                "The vacuum pump stays shut off until the gauge stands at 0, and the recovery machine altogether: no test gas goes into its cylinder."
            }
            Beware::TestGas => {
                "Forgotten, or done at another stem, the test gas gets into the charge or to where it can't be let out again."
            }
            Beware::BeforeVacuum => {
                "Not before the test gas is out, the vacuum has held and the pump is shut off: what comes in earlier is lost through the pump, or \
                 mixed with the gas."
            }
            Beware::OtherWayOpen => {
                "Only the cylinder and this hose are open to each other: pump, recovery machine and nitrogen are shut off, and the hand valve is open \
                 before liquid stands in the hose. No more goes in than is said here."
            }
            Beware::MachinesOpen => {
                "Vacuum pump, recovery machine and nitrogen are shut off before a hand valve of the manifold is opened."
            }
            Beware::BeforeSweep => {
                "Not before it has been recovered and swept: a vacuum pump throws what it draws into the air."
            }
            Beware::LivePort => {
                "The stem sits on its back seat first: ease the hose's nut, and go on only when what comes dies away."
            }
            Beware::OffUnderVacuum => "Not before the nitrogen has brought the gauge to 0: air would go in.",
            Beware::WrongPort => {
                "The right port: one behind a needle or under vacuum would draw in the air that is in the hose."
            }
            Beware::Solenoid => {
                "Left out, liquid stays shut in behind the solenoid, or what is behind it is opened under pressure or vacuum."
            }
            Beware::StartedEmpty => "Nobody starts it: it holds no refrigerant, or is not open to it.",
            Beware::FullHose => "The hose stays on until it is drawn empty: now it is full of liquid.",
            Beware::HoseFirst => {
                "Not before the hose is drawn empty: what stands under vacuum would draw in the air that is in it."
            }
            Beware::NotPurged => {
                "No hand valve is opened before the centre hose is purged: the air in it would go into the system."
            }
        }
    }

    /// What must be proved before going on.
    pub fn hold(&self, hold: Hold) -> String {
        match hold {
            Hold::PortSide(valve) => self.prove_port_side(valve),
            Hold::ValveHolds => "The gauge behind the shut valve does not move for five minutes.".into(),
            Hold::StaysDown => "The pressure has come down and stays there.".into(),
            Hold::LowSideKept => {
                "The low side stands above 0, as it was left or a little higher from what the oil gave off. At 0 or below air may have come in: find \
                 the leak, and evacuate it first."
                    .into()
            }
            Hold::NoPressure => {
                "The gauge on the section stands at 0 and stays there; crack the first joint and listen."
                    .into()
            }
            Hold::AirMoves => {
                "Doors and windows open or a fan at the floor, the power of the unit off, no flame, spark or cigarette near, an extinguisher at hand.".into()
            }
            Hold::NothingBurns => {
                "The detector shows nothing. Where it shows anything, no flame: air the place, sweep with nitrogen once more, and measure again.".into()
            }
            Hold::PowerOff => "The power is off, locked, and the start has been tried.".into(),
            Hold::CylinderReady => {
                "The cylinder is in date, empty or with the same refrigerant, and has room by weight.".into()
            }
            Hold::NoLeak => "No leak found at anything that was touched.".into(),
            Hold::Tight => "No leak found; the pressure, corrected for temperature, has not moved.".into(),
            Hold::GasOut => "The gauge stands at 0 and stays there; until then the vacuum pump is shut off.".into(),
            Hold::Dry => "The vacuum holds: no rise beyond the limit with the pump shut off.".into(),
            Hold::DiesAway => {
                "With the hose's nut eased by a turn what comes dies away: only then does it come off.".into()
            }
            Hold::AtZero => "The gauge of the hose stands at 0.".into(),
            Hold::VacuumHeld => "The test gas is out, the vacuum has held, and the pump is shut off.".into(),
            Hold::OnlyCylinder => {
                "The hose is purged, the scale has been read, and pump, recovery machine and nitrogen are shut off.".into()
            }
            Hold::DischargeOpen => "Every valve on the discharge side is open.".into(),
            Hold::Slip => "A slip here is dangerous: a second look before the hand moves.".into(),
            Hold::OnTarget => {
                "Within the target: stop charging, and leave out what is still to be added. Too little: the next amount, and no more. Too much: \
                 recover a little and wait again."
                    .into()
            }
            Hold::AllBack => "Every stem, nut and cap has been touched once more.".into(),
        }
    }

    fn let_go(&self, valves: &[JointId]) -> String {
        let regulates = |id: &JointId| {
            let found = self.assembly.graph.joint(*id);
            found.is_some_and(|joint| matches!(joint.kind, JointKind::Regulator { .. }))
        };
        let (regulators, solenoids): (Vec<JointId>, Vec<JointId>) =
            valves.iter().copied().partition(regulates);
        let mut said = Vec::new();
        if !solenoids.is_empty() {
            said.push(format!(
                "Let {} go: coil back on its own wiring, magnet off, manual stem back.",
                self.joints(&solenoids)
            ));
        }
        if !regulators.is_empty() {
            said.push(format!("Take the manual opener of {} back.", self.joints(&regulators)));
        }
        said.join(" ")
    }

    fn look_over(&self, job: &Job) -> String {
        let circuit = &self.assembly.circuit;
        let tags = if job.kind == JobKind::ReturnToService {
            "Read the tags: what stands shut, since when and why, and who has the key of the lock. "
        } else {
            ""
        };
        format!(
            "{tags}Read the nameplate: {}, {}. Look the system over, read the maker's instructions, put glasses and gloves on, see \
             that there is fresh air, and lay the tools out.",
            circuit.refrigerant,
            self.mass(circuit.charge.value)
        )
    }

    /// A hose is purged as soon as it is joined to something under pressure.
    fn purge(&self, step: &Step) -> &'static str {
        let above = |expect: &Expect| expect.low.as_pa() > self.assembly.circuit.atmosphere.as_pa() * ABOVE;
        if step.expect.iter().any(above) {
            " Purge the hose: loosen its nut at the manifold until a little vapour comes, and tighten it."
        } else {
            ""
        }
    }

    /// Whether a port is still a piercing valve: until the section is opened and it is brazed.
    fn is_pierced(&self, port: PortId, step: &Step) -> bool {
        let fitted = port.index() >= self.assembly.circuit.graph.ports.len();
        fitted && step.phase < Phase::Work
    }

    fn take_hose_off(&self, port: PortId, step: &Step) -> String {
        let draws = step.actions.iter().any(|action| matches!(action, Action::Turn { .. }));
        if step.reason == Reason::EmptyHose {
            // With the last hose gone nothing reads any more.
            let wait = if step.expect.is_empty() {
                "Wait until its gauge has come down and stays there"
            } else {
                "Wait until both gauges have come down together"
            };
            return format!(
                "{wait}: the hose is drawn empty. Then take the hose off {}, gloves on and the end away from the face.",
                self.port(port)
            );
        }
        let first = if draws {
            "The port is shut off: open both hand valves of the manifold, so that the low side draws in what is in the hose, and shut them. \
             Then take"
        } else {
            "Take"
        };
        format!("{first} the hose off {}, gloves on and the end away from the face.", self.port(port))
    }

    fn fit_hose(&self, hose: SpaceId, port: PortId, step: &Step) -> String {
        if self.is_pierced(port, step) {
            if step.actions.iter().any(|action| matches!(action, Action::PurgeHose { .. })) {
                return format!(
                    "Put {} on the piercing valve, the needle still out, and evacuate the hose up to there through the manifold; shut the hand \
                     valve. Then turn the needle in until it is through, and back out: the system stands below the atmosphere and would draw in \
                     the air that is in a hose.",
                    self.space(hose)
                );
            }
            return format!(
                "Put {} on the piercing valve, turn the needle in until it is through, and back out.{}",
                self.space(hose),
                self.purge(step)
            );
        }
        let on_core = matches!(self.assembly.graph.port(port).map(|port| port.on), Some(PortOn::Space(_)));
        let purge = if on_core && self.assembly.graph.needle(port).is_none() { self.purge(step) } else { "" };
        let needle = self.assembly.graph.needle(port).is_some();
        let wait = match self.assembly.graph.port(port).map(|port| port.on) {
            _ if needle => "its needle is shut, so the port is shut off",
            Some(PortOn::ServiceValve(_)) => "the stem is on its back seat, so the port is shut off",
            _ => "the core opens as the depressor comes on, so turn the nut quickly",
        };
        format!(
            "Take the cap off {}, oil its thread, and put {} on; {wait}.{purge}",
            self.port(port),
            self.space(hose)
        )
    }

    fn turn(&self, valve: JointId, from: Position, to: Position, actions: &[Action]) -> String {
        let mut parts = Vec::new();
        if actions.contains(&Action::TakeCapOff(Cap::Stem(valve))) {
            parts.push("take the stem cap off".to_owned());
            if !self.is_ball(valve) {
                parts.push("clean and oil the stem".to_owned());
            }
        }
        if let Some(stem) = self.assembly.graph.joint(valve).and_then(|joint| joint.stem.as_ref()) {
            match stem.wrench {
                Wrench::Square => parts.push("fit the service wrench".into()),
                Wrench::HexKey => parts.push("fit the hex key".into()),
                Wrench::Hand => {}
            }
        }
        if actions.contains(&Action::EaseNut(valve)) {
            parts.push("ease the packing nut one turn".into());
        }
        parts.push(self.movement(valve, from, to));
        if actions.contains(&Action::TightenNut(valve)) {
            parts.push("tighten the packing nut".into());
        }
        let name = self.joint(valve);
        let head = match to {
            Position::BackSeated => format!("Back-seat {name}"),
            Position::Cracked => format!("Crack {name}"),
            Position::MidSeated => format!("Set {name} to mid-position"),
            Position::FrontSeated => format!("Front-seat {name}"),
            Position::Open => format!("Open {name}"),
            Position::Shut => format!("Shut {name}"),
        };
        format!("{head}: {}.", parts.join(", "))
    }

    fn is_ball(&self, valve: JointId) -> bool {
        let joint = self.assembly.graph.joint(valve);
        joint.is_some_and(|joint| matches!(joint.kind, JointKind::HandValve { quarter_turn: true }))
    }

    fn movement(&self, valve: JointId, from: Position, to: Position) -> String {
        let quarter = self.is_ball(valve);
        let text = match (from, to) {
            (Position::FrontSeated, Position::BackSeated) => {
                "crack it off the front seat, wait until the flow is quiet, then turn counter-clockwise to the back seat"
            }
            (Position::FrontSeated, _) => {
                "crack it off the front seat, wait until the flow is quiet, then turn counter-clockwise until it is an eighth of \
                 a turn off the back seat"
            }
            (_, Position::BackSeated) => "turn counter-clockwise until it stops: the port is shut off now",
            (_, Position::Cracked) => "turn clockwise about an eighth of a turn off the back seat",
            (_, Position::MidSeated) => "turn clockwise to the middle of its travel",
            (_, Position::FrontSeated) => "turn clockwise until it stops on its front seat",
            (_, Position::Open) if quarter => {
                "crack it, wait until the flow is quiet, then a quarter turn to open"
            }
            (_, Position::Shut) if quarter => "a quarter turn to shut",
            (_, Position::Open) => {
                "crack it, wait until the flow is quiet, then turn counter-clockwise to the stop"
            }
            (_, Position::Shut) => "turn clockwise until it is shut",
        };
        text.into()
    }

    fn recover(&self, ports: &[PortId], to: Pressure, mass: Mass, change_at: Option<Mass>) -> String {
        let ports: Vec<String> = ports.iter().map(|&port| self.port(port)).collect();
        let change = change_at.map_or_else(String::new, |room| {
            format!(
                " Stop and change the cylinder whenever {} is in it: shut its valve and the machine's outlet first.",
                self.mass(room)
            )
        });
        let weighed = if mass < SCALE {
            "less than it shows".to_owned()
        } else {
            format!("about {}; its weight written down before and after", self.mass(mass))
        };
        format!(
            "{} and recover into the cylinder on the scale ({weighed}) until the gauge stays at {}. Shut the hand valves and stop the machine.{change}",
            match ports.as_slice() {
                [one] => format!("Open the hand valve of the hose on {one}"),
                several => format!("Open the hand valves of the hoses on {}", list(several.iter().cloned())),
            },
            self.absolute(to)
        )
    }

    fn open_up(&self, job: &Job, spaces: &[SpaceId], with_heat: bool) -> String {
        let what = self
            .parts(job, |opening| opening.open, POUR_OUT)
            .unwrap_or_else(|| format!("Open {}.", self.spaces(spaces)));
        let heat = if with_heat { " No flame before the section stands open to the air." } else { "" };
        format!("{what}{heat}")
    }

    fn close_up(&self, job: &Job, spaces: &[SpaceId], with_heat: bool) -> String {
        let what = self
            .parts(job, |opening| opening.close, POUR_IN)
            .unwrap_or_else(|| format!("Close {}.", self.spaces(spaces)));
        let heat = if with_heat {
            " Braze with a little dry nitrogen flowing through and a free way out; wet rags on what must stay cool."
        } else {
            ""
        };
        format!("{what}{heat}")
    }

    fn why_cut_off(&self, step: &Step) -> String {
        let Doing::Turn { valve, .. } = step.doing else { return "Parts the section from the rest.".into() };
        let Some(joint) = self.assembly.graph.joint(valve) else { return String::new() };
        let between = format!("Parts {} from {}", self.space(joint.a), self.space(joint.b));
        match joint.kind {
            JointKind::ServiceValve { port: Some(_), port_stays_with, .. } => {
                let side = if port_stays_with == End::Line { joint.a } else { joint.b };
                format!("{between}; its port stays with {}.", self.space(side))
            }
            _ => format!("{between}."),
        }
    }

    fn prove_port_side(&self, valve: JointId) -> String {
        let Some(joint) = self.assembly.graph.joint(valve) else { return String::new() };
        let stays = match joint.kind {
            JointKind::ServiceValve { port_stays_with: End::Line, .. } => self.space(joint.a),
            _ => self.space(joint.b),
        };
        format!(
            "Makes differ: prove that the port of {} stays with {stays} now: the gauge there follows that side and not the other.",
            self.joint(valve)
        )
    }

    fn joint(&self, id: JointId) -> String {
        self.assembly.graph.joint(id).map_or_else(String::new, |joint| with_article(&joint.name))
    }
    /// Whether a low-pressure control stops one of them there.
    fn cuts_out(&self, compressors: &[JointId], at: GaugePressure) -> bool {
        let cut = |joint: &JointId| match &self.assembly.graph.joint(*joint)?.kind {
            JointKind::Compressor(controls) => controls.low_cut_out,
            _ => None,
        };
        let near = |cut: GaugePressure| (cut.as_pa() - at.as_pa()).abs() < 2e3;
        compressors.iter().filter_map(cut).any(near)
    }

    fn joints(&self, ids: &[JointId]) -> String {
        list(ids.iter().map(|&id| self.joint(id)))
    }
    fn port(&self, id: PortId) -> String {
        self.assembly.graph.port(id).map_or_else(String::new, |port| format!("the {}", port.name))
    }
    fn space(&self, id: SpaceId) -> String {
        self.assembly.graph.space(id).map_or_else(String::new, |space| with_article(&space.name))
    }
    fn spaces(&self, ids: &[SpaceId]) -> String {
        list(ids.iter().map(|&id| self.space(id)))
    }
    fn gauge(&self, pressure: GaugePressure) -> String {
        self.units.gauge_pressure(pressure)
    }
    fn absolute(&self, pressure: Pressure) -> String {
        self.units.gauge_pressure(pressure.gauge(self.assembly.circuit.atmosphere))
    }
    fn vacuum(&self, pressure: Pressure) -> String {
        self.units.vacuum(pressure)
    }
    fn mass(&self, mass: Mass) -> String {
        self.units.mass(mass)
    }
}

/// "the drier", but "compressor 1" and "compressor 1's discharge side".
fn with_article(name: &str) -> String {
    let numbered =
        name.split_whitespace().nth(1).is_some_and(|word| word.starts_with(|c: char| c.is_ascii_digit()));
    if numbered { name.to_owned() } else { format!("the {name}") }
}

/// Whether a compressor draws what is charged.
fn runs_from_cylinder(step: &Step) -> bool {
    step.reason == Reason::FeedFromCylinder
}

/// A welded compressor has no drain (common practice).
const POUR_OUT: &str =
    "Cut {it} out and pour its oil through the suction tube into a measured can; plug every opening at once";
const POUR_IN: &str = "Pour as much new oil of the maker's kind in through the suction tube as came out, from a can opened only now, and fit {it} again";

impl Words<'_> {
    /// A sentence for each part of a job that opens something; none where none does. A welded compressor's oil has its own.
    fn parts(
        &self,
        job: &Job,
        text: fn(&crate::jobs::Opening) -> &'static str,
        poured: &'static str,
    ) -> Option<String> {
        let said = job.parts().iter().filter_map(|part| {
            let welded = part.kind == JobKind::ChangeOil && super::rigging::is_welded(self.assembly, part);
            let text = part.kind.opening().map(|opening| if welded { poured } else { text(opening) });
            text.map(|text| format!("{}.", text.replace("{it}", &part.it())))
        });
        let mut sentences: Vec<String> = Vec::new();
        for sentence in said {
            if !sentences.contains(&sentence) {
                sentences.push(sentence);
            }
        }
        (!sentences.is_empty()).then(|| sentences.join(" "))
    }
}

/// "a", "a and b", "a, b and c".
fn list(items: impl Iterator<Item = String>) -> String {
    let mut items: Vec<String> = items.collect();
    match items.pop() {
        None => String::new(),
        Some(last) if items.is_empty() => last,
        Some(last) => format!("{} and {last}", items.join(", ")),
    }
}
