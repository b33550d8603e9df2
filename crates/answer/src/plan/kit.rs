//! What to bring, from the steps.

use stemwise_circuit::{JointId, PlaceId, PortId, PortOn, SpaceId, Wrench};
use stemwise_service::plan::{Doing, Procedure, Reason, Step};
use stemwise_service::{Action, JudgedBy};
use stemwise_units::Mass;

use super::Telling;

/// Below this part of a cylinder's room nobody thinks about its size.
const WORTH_SAYING: f64 = 0.1;

impl Telling<'_> {
    pub(super) fn bring(&self, best: &Procedure) -> Vec<String> {
        let does = |wanted: fn(&Doing) -> bool| best.steps.iter().any(|step| wanted(&step.doing));
        let mut list = vec!["safety glasses, gloves, leak detector".to_owned()];
        list.extend(self.wrenches(best));
        let mut add = |needed: bool, what: String| {
            if needed {
                list.push(what);
            }
        };
        add(does(|doing| matches!(doing, Doing::FitHose { .. })), "manifold with gauges and hoses".into());
        add(does(|doing| matches!(doing, Doing::LockOut)), "lock and tag for the disconnect".into());
        let recovers = does(|doing| matches!(doing, Doing::Recover { .. }));
        let cylinders = best.cylinders.map_or_else(
            || "a cylinder".to_owned(),
            |needed| {
                let mass = |mass| self.units.mass(mass);
                let (size, room) = (mass(needed.water_capacity), mass(needed.room));
                let how_many = match needed.count {
                    1 => "an empty cylinder".to_owned(),
                    count => format!("{count} empty cylinders"),
                };
                format!(
                    "{how_many} in date, {size} water capacity, which may hold {room}{}",
                    self.smaller(best)
                )
            },
        );
        add(recovers, format!("recovery machine, scale, and {cylinders}"));
        let nitrogen = does(|doing| {
            matches!(
                doing,
                Doing::PressureTest { .. }
                    | Doing::BreakVacuum
                    | Doing::PullAndBreak { .. }
                    | Doing::SweepOut { .. }
                    | Doing::BrazeAccess { .. }
            )
        });
        let judges = best.steps.iter().find_map(|step| {
            if let Doing::Judge { target, .. } = step.doing { Some(target.by) } else { None }
        });
        add(judges.is_some(), "pipe thermometer with its insulation".into());
        add(judges == Some(JudgedBy::Superheat), "wet-bulb and dry-bulb thermometer for the air".into());
        let swaps = does(|doing| matches!(doing, Doing::SwapCore { .. }));
        add(swaps, "core removal tool and a new core".into());
        add(
            does(|doing| matches!(doing, Doing::AddOil { .. })),
            "hand oil pump and oil of the compressor's kind".into(),
        );
        add(
            does(|doing| matches!(doing, Doing::BrazeAccess { .. })),
            "a braze-on access valve with its core and cap, and what it is brazed on with".into(),
        );
        add(nitrogen, "dry nitrogen with a regulator and its relief valve".into());
        let evacuates = does(|doing| {
            matches!(doing, Doing::Evacuate { .. } | Doing::PullAndBreak { .. } | Doing::PullSwept { .. })
        });
        let pulls_hoses = best
            .steps
            .iter()
            .any(|step| matches!(step.doing, Doing::FitHose { .. }) && step.actions.iter().any(purges));
        add(evacuates || pulls_hoses, "vacuum pump with fresh oil, and a vacuum gauge".into());
        let checks = does(|doing| matches!(doing, Doing::CheckAir));
        let burns = "a detector for the refrigerant that burns, a fan, an extinguisher, and a recovery machine and a pump that are fit for it";
        add(checks, burns.into());
        let charges = does(|doing| matches!(doing, Doing::Charge { .. }));
        add(charges && !recovers, format!("{} and a scale", self.assembly.circuit.refrigerant));
        let magnet = best
            .steps
            .iter()
            .any(|step| matches!(step.doing, Doing::HoldOpen { .. }) && step.reason != Reason::NotHeldUp);
        add(magnet, "service magnet for the solenoid valves".into());
        list.extend(self.second_technician(best));
        for what in best.job.parts().iter().filter_map(|part| part.kind.bring()) {
            if !list.iter().any(|known| known == what) {
                list.push(what.to_owned());
            }
        }
        list
    }

    /// From which size on a single cylinder would do, and that a smaller one changes the plan.
    fn smaller(&self, best: &Procedure) -> String {
        let taken = best.cost.removed_kg;
        match best.cylinders {
            Some(needed) if needed.count == 1 && taken > WORTH_SAYING * needed.room.as_kg() => {
                let least = needed.water_capacity * (taken / needed.room.as_kg());
                format!(
                    " ({} is expected: with less than {} water capacity left it takes a second one, changed under way)",
                    self.units.mass(Mass::from_kg(taken)),
                    self.units.mass(least)
                )
            }
            _ => String::new(),
        }
    }

    /// Where a stem is turned in one place and the gauge that says when to stop is in another.
    fn second_technician(&self, best: &Procedure) -> Option<String> {
        let graph = &self.assembly.graph;
        let place = |space: SpaceId| graph.space(space).and_then(|found| found.place);
        let at_stem = |valve: JointId| graph.joint(valve).map(|joint| [place(joint.a), place(joint.b)]);
        let read = |step: &Step| {
            step.expect.iter().filter_map(|expect| self.place_of(expect.port)).collect::<Vec<_>>()
        };
        best.steps.windows(2).find_map(|pair| {
            let [turned, watched] = pair else { return None };
            let (Doing::Turn { valve, .. }, Doing::PumpDown { .. }) = (&turned.doing, &watched.doing) else {
                return None;
            };
            let (stem, gauges) = (at_stem(*valve)?, read(watched));
            let apart = !gauges.is_empty() && stem.iter().flatten().all(|at| !gauges.contains(at));
            let name = |at: PlaceId| self.assembly.circuit.places.get(at.index()).map(|place| place.name.clone());
            let (there, here) = (name((*stem.iter().flatten().next()?).to_owned())?, name(*gauges.first()?)?);
            apart.then(|| {
                format!(
                    "a second technician with a radio, if there is one: {} is turned in the {there}, the gauge that says when to stop hangs in the \
                     {here}; one alone goes to the gauge first and lets the low-pressure control stop the compressor",
                    graph.joint(*valve).map_or("the valve", |joint| joint.name.as_str())
                )
            })
        })
    }

    fn place_of(&self, port: PortId) -> Option<PlaceId> {
        let graph = &self.assembly.graph;
        let space = match graph.port(port)?.on {
            PortOn::Space(space) => space,
            PortOn::ServiceValve(valve) => graph.joint(valve)?.b,
        };
        graph.space(space)?.place
    }

    /// What turns the stems that are turned.
    fn wrenches(&self, best: &Procedure) -> Vec<String> {
        let turned = |wrench: Wrench| {
            let is = |valve: JointId| {
                let stem = self.assembly.graph.joint(valve).and_then(|joint| joint.stem.as_ref());
                stem.is_some_and(|stem| stem.wrench == wrench)
            };
            best.steps.iter().any(|step| matches!(step.doing, Doing::Turn { valve, .. } if is(valve)))
        };
        let kinds =
            [(Wrench::Square, "square service wrench with a ratchet"), (Wrench::HexKey, "hexagon keys")];
        kinds.iter().filter(|(kind, _)| turned(*kind)).map(|(_, name)| (*name).to_owned()).collect()
    }
}

const fn purges(action: &Action) -> bool {
    matches!(action, Action::PurgeHose { .. })
}
