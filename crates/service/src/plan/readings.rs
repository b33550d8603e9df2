//! Taking readings: nothing is isolated, so nothing is searched but the two ports.

use super::rigging::watching_port;
use super::run::Runs;
use super::skeleton::Skeleton;
use super::why_not::Missing;
use super::{NoWay, Plan, Planning, Way};

impl Planning<'_> {
    /// Hoses on a low-side and a high-side port, read, and off again. The ports are those that cost the fewest stem moves.
    pub(super) fn readings(&self) -> Result<Plan, NoWay> {
        let runs = Runs::new(self.assembly, self.refrigerant, self.stops, true, false);
        let found = [true, false].map(|low| watching_port(self.assembly, &runs, low));
        if found.iter().all(Option::is_none) {
            return Err(NoWay { missing: vec![Missing::NoPort], tried: Vec::new() });
        }
        let moves = found
            .iter()
            .flatten()
            .filter(|port| crate::plan::write::is_on_valve(self.assembly, **port))
            .count();
        let skeleton = Skeleton {
            moves: Vec::new(),
            critical: Vec::new(),
            cost: 40 * moves as u64,
            gap: None,
            expanded: 0,
        };
        match self.written(Way::Cheapest, &skeleton, true) {
            Ok((best, warnings)) => Ok(Plan { best, warnings, others: Vec::new() }),
            Err(_) => Err(NoWay { missing: vec![Missing::NoPort], tried: Vec::new() }),
        }
    }
}
