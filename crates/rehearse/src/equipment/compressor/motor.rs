//! The motor that drives a compressor, how warm it gets, and the crankcase heater.

/// A compressor motor as one warm mass.
///
/// In the refrigerant (hermetic) it is cooled by the suction gas and by its shell; without gas, as in a vacuum, by the shell alone, and then
/// it overheats within minutes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Motor {
    /// Shaft power over electrical power: 0.75 to 0.93 (small to large; textbooks).
    pub efficiency: f64,
    /// Electrical power that it draws at no load, W.
    pub idle_w: f64,
    /// Whether it stands in the refrigerant (hermetic, semi-hermetic) or in the room (open).
    pub in_refrigerant: bool,
    /// Heat capacity of windings and iron, J/K: about 450 J/K for each kilogram.
    pub heat_capacity_j_per_k: f64,
    /// To the surroundings by way of the shell, W/K.
    pub to_room_w_per_k: f64,
    /// The part of the suction gas's heat capacity rate that it reaches, 0 to 1: 0.3 to 0.7 (assumed).
    pub gas_contact: f64,
    /// Where its protector cuts out, K. Insulation of thermal class 130 (IEC 60085) stands 403.15 K.
    pub cut_out_k: f64,
    /// Where its insulation is ruined, K: 473 is common practice.
    pub ruin_k: f64,
}

/// Where a motor's heat goes.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Warmth {
    /// Into the suction gas, W.
    pub to_gas_w: f64,
    /// Into the surroundings, W.
    pub to_room_w: f64,
    /// Rise of its temperature, K/s.
    pub k_per_s: f64,
}

impl Motor {
    /// Electrical power for that shaft power, W.
    #[must_use]
    pub fn electric_w(&self, shaft_w: f64) -> f64 {
        self.idle_w + shaft_w / self.efficiency.clamp(0.05, 1.0)
    }

    /// What happens to its heat: `loss_w` (electrical less shaft power, and the friction of a hermetic) against suction gas of that flow, heat
    /// capacity and temperature.
    #[must_use]
    pub fn warmth(&self, motor_k: f64, loss_w: f64, gas: (f64, f64, f64), room_k: f64) -> Warmth {
        let (kg_per_s, cp, gas_k) = gas;
        let reach = if self.in_refrigerant { self.gas_contact * kg_per_s.max(0.0) * cp } else { 0.0 };
        let to_gas_w = reach * (motor_k - gas_k);
        let to_room_w = self.to_room_w_per_k * (motor_k - room_k);
        Warmth {
            to_gas_w,
            to_room_w,
            k_per_s: (loss_w - to_gas_w - to_room_w) / self.heat_capacity_j_per_k.max(1.0),
        }
    }

    /// Seconds until it reaches a temperature if nothing changes; `None` if it never does.
    #[must_use]
    pub fn seconds_to(
        &self,
        target_k: f64,
        motor_k: f64,
        loss_w: f64,
        gas: (f64, f64, f64),
        room_k: f64,
    ) -> Option<f64> {
        if motor_k >= target_k {
            return Some(0.0);
        }
        let rise = self.warmth(motor_k, loss_w, gas, room_k).k_per_s;
        let at_target = self.warmth(target_k, loss_w, gas, room_k).k_per_s;
        if at_target <= 0.0 || rise <= 0.0 {
            return None;
        }
        let fall = (rise - at_target) / (target_k - motor_k);
        if fall.abs() < 1e-12 {
            return Some((target_k - motor_k) / rise);
        }
        Some(libm::log(rise / at_target) / fall)
    }
}

/// A crankcase heater.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CrankcaseHeater {
    /// Power when cold, W: 20 to 100 (common practice).
    pub power_w: f64,
    /// Where a self-regulating one gives nothing more, K; none: it gives the same at any temperature.
    pub self_regulating_k: Option<f64>,
}

impl CrankcaseHeater {
    /// Heat into a crankcase of that temperature, W. A self-regulating one fades in a straight line from 0 °C on (assumed).
    #[must_use]
    pub fn heat_w(&self, crankcase_k: f64) -> f64 {
        let part = match self.self_regulating_k {
            Some(end) if end > 273.15 => ((end - crankcase_k) / (end - 273.15)).clamp(0.0, 1.0),
            _ => 1.0,
        };
        self.power_w * part
    }
}
