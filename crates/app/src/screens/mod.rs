//! The screens; each answers one question.

pub(crate) mod carry;
pub(crate) mod change;
mod follow;
mod hands;
pub(crate) mod home;
pub(crate) mod look;
pub(crate) mod measure;
pub(crate) mod plan;
pub(crate) mod rehearse;
pub(crate) mod settings;
pub(crate) mod teach;
