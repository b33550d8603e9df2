//! Compositions: mole fractions and mass fractions are different things and different types.

use crate::Error;

/// So many components a mixture may have: what service blends need, and what the solvers' fixed arrays hold.
pub const MOST_COMPONENTS: usize = 8;

macro_rules! fractions {
    ($(#[$meta:meta])* $name:ident) => {
        $(#[$meta])*
        #[derive(Clone, Debug, PartialEq)]
        pub struct $name(Vec<f64>);

        impl $name {
            /// From parts in any unit (fractions, per cent, grams, moles): each is divided by their sum, so that they sum to one.
            ///
            /// # Errors
            /// [`Error::Composition`] where there is no part, there are more than [`MOST_COMPONENTS`], one is negative or not finite, or
            /// all are zero.
            ///
            /// ```
            /// use stemwise_thermo::MassFractions;
            /// assert_eq!(MassFractions::of_parts(&[50.0, 50.0])?.values(), [0.5, 0.5]);
            /// assert!(MassFractions::of_parts(&[1.0, -1.0]).is_err());
            /// # Ok::<(), stemwise_thermo::Error>(())
            /// ```
            pub fn of_parts(parts: &[f64]) -> Result<Self, Error> {
                normalised(parts).map(Self)
            }

            /// The fractions, in the order of the components.
            ///
            /// ```
            /// use stemwise_thermo::MoleFractions;
            /// assert_eq!(MoleFractions::of_parts(&[1.0, 3.0])?.values(), [0.25, 0.75]);
            /// # Ok::<(), stemwise_thermo::Error>(())
            /// ```
            pub fn values(&self) -> &[f64] {
                &self.0
            }
        }
    };
}

fractions!(
    /// Fractions by amount of substance; they sum to one.
    MoleFractions
);
fractions!(
    /// Fractions by mass; they sum to one.
    ///
    /// ```
    /// use stemwise_thermo::MassFractions;
    /// let half = MassFractions::of_parts(&[50.0, 50.0])?;
    /// assert_eq!(half.values(), [0.5, 0.5]);
    /// assert!(MassFractions::of_parts(&[1.0, -0.1]).is_err());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    MassFractions
);

fn normalised(parts: &[f64]) -> Result<Vec<f64>, Error> {
    let sum: f64 = parts.iter().sum();
    let fine = parts.iter().all(|part| part.is_finite() && *part >= 0.0);
    if !fine || sum <= 0.0 || !sum.is_finite() || parts.len() > MOST_COMPONENTS {
        return Err(Error::Composition { parts: parts.iter().take(MOST_COMPONENTS + 1).copied().collect() });
    }
    Ok(parts.iter().map(|part| part / sum).collect())
}

impl MoleFractions {
    /// By mass, with the components' molar masses.
    ///
    /// # Errors
    /// [`Error::Composition`] where the lists differ in length or a molar mass is not positive.
    ///
    /// ```
    /// use stemwise_thermo::MoleFractions;
    /// let mass = MoleFractions::of_parts(&[1.0, 1.0])?.by_mass(&[0.05, 0.15])?;
    /// assert!((mass.values()[0] - 0.25).abs() < 1e-15);
    /// assert!(MoleFractions::of_parts(&[1.0, 1.0])?.by_mass(&[0.05]).is_err());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn by_mass(&self, molar_masses: &[f64]) -> Result<MassFractions, Error> {
        let parts: Vec<f64> = self.0.iter().zip(molar_masses).map(|(x, molar)| x * molar).collect();
        if parts.len() != self.0.len() || molar_masses.len() != parts.len() {
            return Err(Error::Composition { parts: self.0.clone() });
        }
        MassFractions::of_parts(&parts)
    }
}

impl MassFractions {
    /// By amount of substance, with the components' molar masses.
    ///
    /// # Errors
    /// As [`MoleFractions::by_mass`].
    ///
    /// ```
    /// use stemwise_thermo::MassFractions;
    /// let mole = MassFractions::of_parts(&[1.0, 1.0])?.by_mole(&[0.05, 0.15])?;
    /// assert!((mole.values()[0] - 0.75).abs() < 1e-15);
    /// assert!(MassFractions::of_parts(&[1.0, 1.0])?.by_mole(&[0.05]).is_err());
    /// # Ok::<(), stemwise_thermo::Error>(())
    /// ```
    pub fn by_mole(&self, molar_masses: &[f64]) -> Result<MoleFractions, Error> {
        let parts: Vec<f64> = self.0.iter().zip(molar_masses).map(|(w, molar)| w / molar).collect();
        if parts.len() != self.0.len() || molar_masses.len() != parts.len() {
            return Err(Error::Composition { parts: self.0.clone() });
        }
        MoleFractions::of_parts(&parts)
    }
}
