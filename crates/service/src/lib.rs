//! Service work on a circuit: settle, hazards, jobs and the planner.
