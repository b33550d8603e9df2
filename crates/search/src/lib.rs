//! Optimal search over transition models, and the abstract service model with its minimum-cut bound.
