//! The quantities, one type each, with constructors and getters named by unit.
//!
//! A value is stored in its SI unit. Constructors accept any number, NaN included: whoever computes one
//! checks it where it arises ([`is_finite`](Pressure::is_finite)).

macro_rules! quantity {
    ($(#[$meta:meta])* $name:ident, $si_from:ident, $si_as:ident; $($from:ident, $as_:ident = $factor:expr, $unit:literal;)*) => {
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            /// From the SI unit in which the value is stored.
            pub const fn $si_from(value: f64) -> Self {
                Self(value)
            }
            /// In the SI unit in which the value is stored.
            pub const fn $si_as(self) -> f64 {
                self.0
            }
            /// Whether the value is neither infinite nor NaN.
            pub const fn is_finite(self) -> bool {
                self.0.is_finite()
            }
            /// The smaller of two.
            pub const fn min(self, other: Self) -> Self {
                Self(self.0.min(other.0))
            }
            /// The larger of two.
            pub const fn max(self, other: Self) -> Self {
                Self(self.0.max(other.0))
            }
            $(
                #[doc = concat!("From ", $unit, ".")]
                pub const fn $from(value: f64) -> Self {
                    Self(value * $factor)
                }
                #[doc = concat!("In ", $unit, ".")]
                pub const fn $as_(self) -> f64 {
                    self.0 / $factor
                }
            )*
        }
    };
}

macro_rules! additive {
    ($($name:ident),*) => {$(
        impl core::ops::Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }
        impl core::ops::Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }
        impl core::ops::Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }
        impl core::ops::Div<f64> for $name {
            type Output = Self;
            fn div(self, factor: f64) -> Self {
                Self(self.0 / factor)
            }
        }
        impl core::ops::Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }
        impl core::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
                Self(iter.map(|q| q.0).sum())
            }
        }
    )*};
}

/// One pound-force per square inch, in pascal (from 4.4482216152605 N / (0.0254 m)²).
pub(crate) const PSI: f64 = 4.448_221_615_260_5 / (0.0254 * 0.0254);
/// One conventional inch of mercury, in pascal.
pub(crate) const INHG: f64 = 3386.389;
/// One micron of mercury (a thousandth of a torr), in pascal.
pub(crate) const MICRON: f64 = 101_325.0 / 760_000.0;

quantity! {
    /// An absolute pressure.
    Pressure, from_pa, as_pa;
    from_kpa, as_kpa = 1e3, "kilopascal";
    from_bar, as_bar = 1e5, "bar";
    from_mpa, as_mpa = 1e6, "megapascal";
    from_psi, as_psi = PSI, "pounds per square inch, absolute";
    from_micron, as_micron = MICRON, "microns of mercury";
}
quantity! {
    /// A pressure above (or, negative, below) the atmosphere at the site.
    GaugePressure, from_pa, as_pa;
    from_kpa, as_kpa = 1e3, "kilopascal";
    from_bar, as_bar = 1e5, "bar";
    from_psi, as_psi = PSI, "pounds per square inch, gauge";
    from_inhg, as_inhg = INHG, "inches of mercury";
}
quantity! {
    /// A difference between two pressures.
    PressureDifference, from_pa, as_pa;
    from_kpa, as_kpa = 1e3, "kilopascal";
    from_bar, as_bar = 1e5, "bar";
    from_psi, as_psi = PSI, "pounds per square inch";
}
quantity! {
    /// A thermodynamic temperature.
    Temperature, from_k, as_k;
}
quantity! {
    /// A difference between two temperatures.
    TemperatureDifference, from_k, as_k;
    from_fahrenheit_degrees, as_fahrenheit_degrees = 5.0 / 9.0, "Fahrenheit degrees";
}
quantity! {
    /// A mass.
    Mass, from_kg, as_kg;
    from_g, as_g = 1e-3, "gram";
    from_lb, as_lb = 0.453_592_37, "pound";
    from_oz, as_oz = 0.453_592_37 / 16.0, "ounce";
}
quantity! {
    /// A volume.
    Volume, from_m3, as_m3;
    from_l, as_l = 1e-3, "litre";
    from_ml, as_ml = 1e-6, "millilitre";
    from_ft3, as_ft3 = 0.028_316_846_592, "cubic foot";
    from_in3, as_in3 = 1.638_706_4e-5, "cubic inch";
}
quantity! {
    /// A length.
    Length, from_m, as_m;
    from_mm, as_mm = 1e-3, "millimetre";
    from_in, as_in = 0.0254, "inch";
    from_ft, as_ft = 0.3048, "foot";
}
quantity! {
    /// A mass density.
    Density, from_kg_per_m3, as_kg_per_m3;
    from_lb_per_ft3, as_lb_per_ft3 = 0.453_592_37 / 0.028_316_846_592, "pounds per cubic foot";
}
quantity! {
    /// An energy per mass (enthalpy, internal energy).
    SpecificEnergy, from_j_per_kg, as_j_per_kg;
    from_kj_per_kg, as_kj_per_kg = 1e3, "kilojoule per kilogram";
    from_btu_per_lb, as_btu_per_lb = 2326.0, "Btu per pound";
}
quantity! {
    /// An energy per mass and temperature (entropy, heat capacity).
    SpecificHeat, from_j_per_kg_k, as_j_per_kg_k;
    from_kj_per_kg_k, as_kj_per_kg_k = 1e3, "kilojoule per kilogram and kelvin";
    from_btu_per_lb_f, as_btu_per_lb_f = 4186.8, "Btu per pound and Fahrenheit degree";
}
quantity! {
    /// A speed.
    Speed, from_m_per_s, as_m_per_s;
    from_ft_per_s, as_ft_per_s = 0.3048, "foot per second";
}
quantity! {
    /// A duration.
    Time, from_s, as_s;
    from_min, as_min = 60.0, "minute";
    from_h, as_h = 3600.0, "hour";
}
quantity! {
    /// A power.
    Power, from_w, as_w;
    from_kw, as_kw = 1e3, "kilowatt";
}
quantity! {
    /// A volume per time: a pump's speed, a conductance, a flow of air.
    VolumeFlow, from_m3_per_s, as_m3_per_s;
    from_l_per_s, as_l_per_s = 1e-3, "litre per second";
    from_m3_per_h, as_m3_per_h = 1.0 / 3600.0, "cubic metre per hour";
    from_cfm, as_cfm = 0.028_316_846_592 / 60.0, "cubic foot per minute";
}
quantity! {
    /// A flow of gas by pressure times volume per time: a leak rate.
    GasFlow, from_pa_m3_per_s, as_pa_m3_per_s;
    from_mbar_l_per_s, as_mbar_l_per_s = 0.1, "millibar litre per second";
}
quantity! {
    /// A mass per time.
    MassFlow, from_kg_per_s, as_kg_per_s;
    from_g_per_year, as_g_per_year = 1e-3 / (365.25 * 86_400.0), "gram per year of 365.25 days";
}
quantity! {
    /// A mass per length: what a metre of tube holds.
    LinearDensity, from_kg_per_m, as_kg_per_m;
    from_g_per_m, as_g_per_m = 1e-3, "gram per metre";
    from_oz_per_ft, as_oz_per_ft = 0.453_592_37 / 16.0 / 0.3048, "ounce per foot";
}
quantity! {
    /// An electric current.
    ElectricCurrent, from_a, as_a;
}
quantity! {
    /// An electric voltage.
    Voltage, from_v, as_v;
}
quantity! {
    /// A dynamic viscosity.
    DynamicViscosity, from_pa_s, as_pa_s;
    from_micropascal_s, as_micropascal_s = 1e-6, "micropascal second";
    from_lb_per_ft_h, as_lb_per_ft_h = 0.453_592_37 / 0.3048 / 3600.0, "pound per foot and hour";
}
quantity! {
    /// A thermal conductivity.
    ThermalConductivity, from_w_per_m_k, as_w_per_m_k;
    from_mw_per_m_k, as_mw_per_m_k = 1e-3, "milliwatt per metre and kelvin";
    from_btu_per_h_ft_f, as_btu_per_h_ft_f = 2326.0 * 0.453_592_37 / 3600.0 / 0.3048 * 1.8, "Btu (IT) per hour, foot and degree Fahrenheit";
}
quantity! {
    /// A surface tension.
    SurfaceTension, from_n_per_m, as_n_per_m;
    from_mn_per_m, as_mn_per_m = 1e-3, "millinewton per metre (one dyne per centimetre)";
}

additive!(
    PressureDifference,
    GaugePressure,
    TemperatureDifference,
    Mass,
    Volume,
    Length,
    SpecificEnergy,
    SpecificHeat,
    Time,
    Power,
    VolumeFlow,
    GasFlow
);

impl Temperature {
    /// From degrees Celsius.
    pub const fn from_celsius(value: f64) -> Self {
        Self(value + 273.15)
    }
    /// In degrees Celsius.
    pub const fn as_celsius(self) -> f64 {
        self.0 - 273.15
    }
    /// From degrees Fahrenheit.
    pub const fn from_fahrenheit(value: f64) -> Self {
        Self((value + 459.67) * 5.0 / 9.0)
    }
    /// In degrees Fahrenheit.
    pub const fn as_fahrenheit(self) -> f64 {
        self.0 * 9.0 / 5.0 - 459.67
    }
}

impl core::ops::Sub for Temperature {
    type Output = TemperatureDifference;
    fn sub(self, other: Self) -> TemperatureDifference {
        TemperatureDifference(self.0 - other.0)
    }
}
impl core::ops::Add<TemperatureDifference> for Temperature {
    type Output = Self;
    fn add(self, other: TemperatureDifference) -> Self {
        Self(self.0 + other.0)
    }
}
impl core::ops::Sub<TemperatureDifference> for Temperature {
    type Output = Self;
    fn sub(self, other: TemperatureDifference) -> Self {
        Self(self.0 - other.0)
    }
}
impl core::ops::Sub for Pressure {
    type Output = PressureDifference;
    fn sub(self, other: Self) -> PressureDifference {
        PressureDifference(self.0 - other.0)
    }
}
impl core::ops::Add<PressureDifference> for Pressure {
    type Output = Self;
    fn add(self, other: PressureDifference) -> Self {
        Self(self.0 + other.0)
    }
}
impl core::ops::Div<Volume> for Mass {
    type Output = Density;
    fn div(self, volume: Volume) -> Density {
        Density(self.0 / volume.0)
    }
}
impl core::ops::Mul<Volume> for Density {
    type Output = Mass;
    fn mul(self, volume: Volume) -> Mass {
        Mass(self.0 * volume.0)
    }
}

impl Pressure {
    /// What a gauge at a site with this atmospheric pressure shows.
    pub const fn gauge(self, atmosphere: Self) -> GaugePressure {
        GaugePressure(self.0 - atmosphere.0)
    }
}
impl GaugePressure {
    /// The absolute pressure at a site with this atmospheric pressure.
    pub const fn absolute(self, atmosphere: Pressure) -> Pressure {
        Pressure(self.0 + atmosphere.0)
    }
}
