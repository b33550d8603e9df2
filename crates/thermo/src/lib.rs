//! Refrigerant properties from published Helmholtz equations of state.
