//! Refrigerant properties from published Helmholtz equations of state.
//!
//! Pure fluids, blends and any mixture of them; a result is returned only if it reproduces what was given and is stable, otherwise an error
//! says why. Enthalpy and entropy have the IIR reference state. Native and wasm give the same bits: all transcendental functions come from `libm`.

mod blend;
mod composition;
mod coverage;
mod curves;
mod data;
mod envelope;
mod eos;
mod error;
mod flash;
mod fluid;
mod fractionation;
mod kernel;
mod lanes;
mod mixture;
mod names;
mod other_pairs;
mod pieces;
mod saturation;
mod starts;
mod state;
mod substance;
mod table;
mod tolerance;
pub mod transport;

pub use blend::{Blend, blends};
pub use composition::{MOST_COMPONENTS, MassFractions, MoleFractions};
pub use coverage::{Coverage, LibraryAgreement, PairSource, PrintedPoint, coverage};
pub use envelope::{Envelope, EnvelopePoint, Line};
pub use error::Error;
pub use fluid::{Fluid, Given, Saturation, fluids};
pub use fractionation::{
    Composition, Content, Draw, Drawn, Fill, FractionationError, Fresh, Moment, Round, Shift, Stage, Until,
    Vessel,
};
pub use mixture::{Mixture, MixtureState};
pub use state::{Phase, RawState, State};
pub use substance::{BubbleDew, RawSaturation, Substance};
pub use table::{StateTable, TableDetail, TablePhases, TableState};
pub use tolerance::{ComponentDeviation, Deviation};
