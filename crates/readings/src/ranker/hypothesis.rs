//! What may be wrong, with how far; and how a sound circuit may differ from what its file makes of it.

use stemwise_rehearse::{SteadyAsk, SteadyKind, SteadyPlant};

/// A fault with a size.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FaultKind {
    /// Part of the charge that is missing.
    Undercharge,
    /// Part of the charge that is too much.
    Overcharge,
    /// Pressure of air in the condenser, bar.
    NonCondensables,
    /// Part of the pressure difference that a restriction before the metering device takes.
    LiquidRestriction,
    /// Part of the metering device's opening that is gone; for one with a bulb, by how many kelvin it senses too cold.
    MeteringStarved,
    /// By how much the metering device's opening is too large; for one with a bulb, by how many kelvin it senses too warm.
    MeteringFlooding,
    /// Part of the condenser's air flow that is gone.
    CondenserFouling,
    /// Part of the evaporator's air flow that is gone.
    EvaporatorFouling,
    /// Part of the compressor's flow that leaks back.
    CompressorValves,
}

impl FaultKind {
    /// All of them.
    pub const ALL: [Self; 9] = [
        Self::Undercharge,
        Self::Overcharge,
        Self::NonCondensables,
        Self::LiquidRestriction,
        Self::MeteringStarved,
        Self::MeteringFlooding,
        Self::CondenserFouling,
        Self::EvaporatorFouling,
        Self::CompressorValves,
    ];

    /// Its id, that of its row among the published signs where it has one.
    pub const fn id(self) -> &'static str {
        match self {
            Self::Undercharge => "undercharge",
            Self::Overcharge => "overcharge",
            Self::NonCondensables => "non-condensables",
            Self::LiquidRestriction => "liquid-restriction",
            Self::MeteringStarved => "metering-starved",
            Self::MeteringFlooding => "metering-flooding",
            Self::CondenserFouling => "condenser-fouling",
            Self::EvaporatorFouling => "evaporator-fouling",
            Self::CompressorValves => "compressor-valves",
        }
    }

    /// What it is called.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Undercharge => "too little refrigerant (a leak)",
            Self::Overcharge => "too much refrigerant",
            Self::NonCondensables => "air in the system",
            Self::LiquidRestriction => "a restriction in the liquid line or drier",
            Self::MeteringStarved => "a metering device that passes too little",
            Self::MeteringFlooding => "a metering device that passes too much",
            Self::CondenserFouling => "too little air over the condenser (fouled, or its fan)",
            Self::EvaporatorFouling => "too little air over the evaporator (fouled, frosted, or its fan)",
            Self::CompressorValves => "leaking compressor valves",
        }
    }

    /// The sizes that are looked for; smaller ones nobody would call a fault, larger ones stop a system. Assumed.
    pub fn range(self, plant: &SteadyPlant) -> (f64, f64) {
        let by_bulb = plant.kind() == SteadyKind::BySuperheat;
        match self {
            Self::Undercharge | Self::Overcharge => (0.04, 0.6),
            Self::NonCondensables => (0.2, 6.0),
            Self::LiquidRestriction => (0.1, 0.95),
            Self::MeteringStarved if by_bulb => (1.5, 12.0),
            Self::MeteringFlooding if by_bulb => (1.5, 12.0),
            Self::MeteringStarved => (0.08, 0.75),
            Self::MeteringFlooding => (0.1, 1.5),
            Self::CondenserFouling | Self::EvaporatorFouling => (0.12, 0.93),
            Self::CompressorValves => (0.06, 0.7),
        }
    }

    /// Puts it into a question.
    pub fn put(self, size: f64, plant: &SteadyPlant, ask: &mut SteadyAsk) {
        let by_bulb = plant.kind() == SteadyKind::BySuperheat;
        let faults = &mut ask.faults;
        match self {
            Self::Undercharge => faults.charge -= size,
            Self::Overcharge => faults.charge += size,
            Self::NonCondensables => faults.air_kg += size * plant.air_kg_per_bar(),
            Self::LiquidRestriction => faults.restriction = size,
            Self::MeteringStarved if by_bulb => faults.bulb_k -= size,
            Self::MeteringFlooding if by_bulb => faults.bulb_k += size,
            Self::MeteringStarved => faults.metering *= 1.0 - size,
            Self::MeteringFlooding => faults.metering *= 1.0 + size,
            Self::CondenserFouling => faults.condenser_air *= 1.0 - size,
            Self::EvaporatorFouling => faults.evaporator_air *= 1.0 - size,
            Self::CompressorValves => faults.leak_back = size,
        }
    }

    /// A size in words; of an interval, both ends.
    pub fn size(self, plant: &SteadyPlant, low: f64, high: f64) -> String {
        let by_bulb = plant.kind() == SteadyKind::BySuperheat;
        let percent =
            |low: f64, high: f64, what: &str| format!("{:.0} to {:.0} % {what}", 100.0 * low, 100.0 * high);
        match self {
            Self::Undercharge => percent(1.0 - high, 1.0 - low, "of the charge"),
            Self::Overcharge => percent(1.0 + low, 1.0 + high, "of the charge"),
            Self::NonCondensables => format!(
                "{:.1} to {:.1} g of air, {low:.1} to {high:.1} bar",
                1e3 * low * plant.air_kg_per_bar(),
                1e3 * high * plant.air_kg_per_bar()
            ),
            Self::LiquidRestriction => {
                percent(low, high, "of the pressure difference lost before the metering device")
            }
            Self::MeteringStarved if by_bulb => format!("its bulb senses {low:.1} to {high:.1} K too cold"),
            Self::MeteringFlooding if by_bulb => format!("its bulb senses {low:.1} to {high:.1} K too warm"),
            Self::MeteringStarved => percent(1.0 - high, 1.0 - low, "of its opening"),
            Self::MeteringFlooding => percent(1.0 + low, 1.0 + high, "of its opening"),
            Self::CondenserFouling | Self::EvaporatorFouling => {
                percent(1.0 - high, 1.0 - low, "of the air flow")
            }
            Self::CompressorValves => percent(low, high, "of its flow leaks back"),
        }
    }

    /// Whether two can stand side by side as a double fault.
    pub fn beside(self, other: Self) -> bool {
        let group = |it: Self| match it {
            Self::Undercharge | Self::Overcharge => 0,
            Self::LiquidRestriction | Self::MeteringStarved | Self::MeteringFlooding => 1,
            Self::NonCondensables => 2,
            Self::CondenserFouling => 3,
            Self::EvaporatorFouling => 4,
            Self::CompressorValves => 5,
        };
        group(self) != group(other)
    }
}

/// One way in which a sound circuit may differ, with its standard deviation; of a factor that of its logarithm.
#[derive(Clone, Copy, Debug)]
pub(super) struct Unknown {
    /// What differs, in words.
    #[allow(dead_code, reason = "says what the number beside it is")]
    pub(super) name: &'static str,
    pub(super) standard: f64,
    pub(super) put: fn(&mut SteadyAsk, f64),
}

/// How well a circuit is known from its file: the sizes follow from capacity and approaches, which nameplates round. Assumed.
pub(super) const UNKNOWNS: [Unknown; 11] = [
    Unknown {
        name: "the condenser's heat transfer",
        standard: 0.08,
        put: |ask, x| ask.tuning.condenser *= libm::exp(x),
    },
    Unknown {
        name: "the evaporator's heat transfer",
        standard: 0.08,
        put: |ask, x| ask.tuning.evaporator *= libm::exp(x),
    },
    Unknown {
        name: "the condenser's air flow",
        standard: 0.07,
        put: |ask, x| ask.tuning.condenser_fan *= libm::exp(x),
    },
    Unknown {
        name: "the evaporator's air flow",
        standard: 0.07,
        put: |ask, x| ask.tuning.evaporator_fan *= libm::exp(x),
    },
    Unknown {
        name: "what the compressor sweeps",
        standard: 0.03,
        put: |ask, x| ask.tuning.swept *= libm::exp(x),
    },
    Unknown {
        name: "the compressor's losses",
        standard: 0.08,
        put: |ask, x| ask.tuning.losses *= libm::exp(x),
    },
    Unknown {
        name: "the metering device",
        standard: 0.045,
        put: |ask, x| ask.tuning.opening *= libm::exp(x),
    },
    Unknown {
        name: "the valve's setting",
        standard: 0.15,
        put: |ask, x| ask.tuning.superheat *= libm::exp(x),
    },
    Unknown { name: "the shell's loss", standard: 0.3, put: |ask, x| ask.tuning.shell *= libm::exp(x) },
    Unknown { name: "the suction line's gain", standard: 0.3, put: |ask, x| ask.tuning.line *= libm::exp(x) },
    Unknown {
        name: "the charge that it takes",
        standard: 0.025,
        put: |ask, x| ask.tuning.charge *= libm::exp(x),
    },
];
