//! What to bring, from the steps.

use stemwise_circuit::{JointId, Wrench};
use stemwise_service::JudgedBy;
use stemwise_service::plan::{Doing, Procedure};

use super::Telling;

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
                format!("{how_many} in date, {size} water capacity, which may hold {room}")
            },
        );
        add(recovers, format!("recovery machine, scale, and {cylinders}"));
        let tests = does(|doing| {
            matches!(doing, Doing::PressureTest { .. } | Doing::BreakVacuum | Doing::PullAndBreak { .. })
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
        add(tests, "dry nitrogen with a regulator and its relief valve".into());
        let evacuates = does(|doing| matches!(doing, Doing::Evacuate { .. } | Doing::PullAndBreak { .. }));
        add(evacuates, "vacuum pump with fresh oil, and a vacuum gauge".into());
        let charges = does(|doing| matches!(doing, Doing::Charge { .. }));
        add(charges && !recovers, format!("{} and a scale", self.assembly.circuit.refrigerant));
        add(
            does(|doing| matches!(doing, Doing::HoldOpen { .. })),
            "service magnet for the solenoid valves".into(),
        );
        for what in best.job.parts().iter().filter_map(|part| part.kind.bring()) {
            if !list.iter().any(|known| known == what) {
                list.push(what.to_owned());
            }
        }
        list
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
