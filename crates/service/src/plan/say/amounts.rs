//! What is said of tests, of levels and of how much is charged.

use stemwise_circuit::SpaceId;
use stemwise_units::{GaugePressure, Pressure, Temperature, Time};

use super::Words;
use crate::plan::procedure::{Doing, Step};
use crate::plan::testing::SetBy;
use crate::{ChargeTarget, JudgedBy, TargetFrom};

impl Words<'_> {
    pub(super) fn pressure_test(&self, to: GaugePressure, stand: Time, set_by: SetBy) -> String {
        format!(
            "Let dry nitrogen in through the regulator (its relief set above the test pressure): first to a tenth, soap the \
             joints, then in steps to {} ({}). Shut the supply and note pressure and temperature; let it stand {:.0} minutes.",
            self.gauge(to),
            self.set_by(set_by),
            stand.as_min()
        )
    }

    /// What sets a test pressure.
    pub fn set_by(&self, set_by: SetBy) -> String {
        match set_by {
            SetBy::Design(space) => {
                let guess = self.guessed(space);
                format!("what {} is built for, the least of all that is joined{guess}", self.space(space))
            }
            SetBy::DesignWarming(space) => format!(
                "so far below what {}, the weakest of all that is joined, is built for that it stays there while what is cold warms up{}",
                self.space(space),
                self.guessed(space)
            ),
            SetBy::DesignWatched(space) => format!(
                "less would prove nothing of {}; while what is cold warms up it would pass what that is built for: warm it first, or let gas out in time",
                self.space(space)
            ),
            SetBy::Relief(valve) => format!("15 % below where {} lifts", self.joint(valve)),
            SetBy::Behind(space) => {
                format!("below the pressure in {}, so that no gas passes into it", self.space(space))
            }
            SetBy::NoWayOut(space) => format!(
                "no more than the atmosphere: from {} the gas could not be taken out again",
                self.space(space)
            ),
            SetBy::Regulator => {
                "as far as a usual nitrogen regulator goes; what is joined is built for more, or nothing is on file: never above the maker's".into()
            }
        }
    }

    pub(super) fn guessed(&self, space: SpaceId) -> &'static str {
        let design = self.assembly.graph.space(space).and_then(|found| found.design);
        if design.is_some_and(|design| design.is_estimate()) {
            "; estimated, for no design pressure is on file: the nameplate goes first"
        } else {
            ""
        }
    }

    pub(super) fn judge_again(&self, target: &ChargeTarget) -> String {
        let kelvin = |difference| self.units.temperature_difference(difference);
        let measure = match target.by {
            JudgedBy::Subcooling => "subcooling",
            JudgedBy::Superheat => "superheat",
        };
        format!(
            "Measure the {measure} again, and write it down: it should be {}, {} either way.",
            kelvin(target.value),
            kelvin(target.tolerance)
        )
    }

    pub(super) fn judge(&self, target: &ChargeTarget, saturation: Temperature, pipe: Temperature) -> String {
        let kelvin = |difference| self.units.temperature_difference(difference);
        let at = |temperature| self.units.temperature(temperature);
        let (value, tolerance) = (kelvin(target.value), kelvin(target.tolerance));
        let why = match target.from {
            TargetFrom::Given => "as the nameplate or the maker gives it".to_owned(),
            TargetFrom::Usual => "the usual one where the nameplate gives none".to_owned(),
            TargetFrom::Table { outdoor, wet_bulb } => format!(
                "by the published table for air at {} onto the condenser and a wet bulb of {} onto the evaporator: measure both, and read the \
                 table again where they differ",
                at(outdoor),
                at(wet_bulb)
            ),
        };
        match target.by {
            JudgedBy::Subcooling => format!(
                "Strap a probe to the liquid line beside the high-side gauge, insulated, and read both. Subcooling is the bubble point at the gauge \
                 less the pipe: it should be {value}, {tolerance} either way ({why}). At the pressure expected here the bubble point is {} and the \
                 pipe should be at {}. Less subcooling is too little refrigerant, more is too much.",
                at(saturation),
                at(pipe)
            ),
            JudgedBy::Superheat => format!(
                "Strap a probe to the suction line beside the low-side gauge, insulated, and read both. Superheat is the pipe less the dew point at \
                 the gauge: it should be {value}, {tolerance} either way ({why}). At the pressure expected here the dew point is {} and the pipe \
                 should be at {}. More superheat is too little refrigerant, less is too much.",
                at(saturation),
                at(pipe)
            ),
        }
    }

    pub(super) fn evacuate(&self, to: Pressure, stand: Time, limit: Pressure) -> String {
        format!(
            "Evacuate to {}, the vacuum gauge on the section, not on the pump. Shut the pump off and let it stand {:.0} minutes: \
             it may not pass {}. A rise that stops is water: break the vacuum with dry nitrogen and go again; one that goes on \
             is a leak.",
            self.vacuum(to),
            stand.as_min(),
            self.vacuum(limit)
        )
    }

    /// The rule that a recovery level comes from.
    pub(super) fn why_so_low(&self, step: &Step) -> &'static str {
        let circuit = &self.assembly.circuit;
        let small = crate::level::small_level(circuit.atmosphere);
        match step.doing {
            Doing::Recover { to, .. }
                if crate::level::is_small_appliance(circuit) && (to.as_pa() - small.as_pa()).abs() < 1.0 =>
            {
                "What is left must come down to the required level (40 CFR 82.156(b), small appliances: 4 inHg of vacuum; elsewhere the local code decides)."
            }
            _ => {
                "What is left must come down to the required level before the section may be opened (40 CFR 82.156, Table 1; elsewhere the local code decides)."
            }
        }
    }

    /// A top-up without an amount, and what would tell it.
    pub(super) fn why_so_much(&self) -> &'static str {
        let tells = |by| crate::jobs::tells_charge(&self.assembly.circuit.graph, by);
        if tells(JudgedBy::Subcooling) {
            "Nobody said how much is missing: a tenth of the charge is assumed, and may be far off. The subcooling of the running system tells it: \
             \"charge by subcooling\" goes by that."
        } else if tells(JudgedBy::Superheat) {
            "Nobody said how much is missing: a tenth of the charge is assumed, and may be far off. The superheat of the running system tells it: \
             \"charge by superheat\" goes by that."
        } else {
            "Nobody said how much is missing: a tenth of the charge is assumed, and may be far off. What was lost by the scale tells it, \"top up: 200 g\"; \
             or everything is recovered, weighed, and the nameplate's charge weighed in."
        }
    }
}
