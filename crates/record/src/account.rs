//! The refrigerant so far, from the weighings of cylinders.

use std::collections::BTreeMap;

use stemwise_units::Mass;

use crate::{Account, CylinderAccount};

/// One weighing that counts: the cylinder, its weight, and whether counting begins anew.
pub(crate) struct Weighing<'a> {
    pub(crate) cylinder: &'a str,
    pub(crate) mass: Mass,
    pub(crate) anew: bool,
}

/// Weighings in the order in which they were made; what a cylinder gained was recovered, what it gave was charged.
pub(crate) fn account(weighings: &[Weighing<'_>], lost: Mass) -> Account {
    let mut cylinders: BTreeMap<&str, CylinderAccount> = BTreeMap::new();
    for weighing in weighings {
        let nothing = Mass::from_kg(0.0);
        let cylinder = cylinders.entry(weighing.cylinder).or_insert_with(|| CylinderAccount {
            cylinder: weighing.cylinder.into(),
            weighings: 0,
            recovered: nothing,
            charged: nothing,
            last: weighing.mass,
        });
        if !weighing.anew {
            let gained = weighing.mass - cylinder.last;
            cylinder.recovered = cylinder.recovered + gained.max(nothing);
            cylinder.charged = cylinder.charged - gained.min(nothing);
        }
        cylinder.weighings += 1;
        cylinder.last = weighing.mass;
    }
    let cylinders: Vec<CylinderAccount> = cylinders.into_values().collect();
    Account {
        recovered: cylinders.iter().map(|cylinder| cylinder.recovered).sum(),
        charged: cylinders.iter().map(|cylinder| cylinder.charged).sum(),
        lost,
        cylinders,
        reckoned: None,
    }
}
