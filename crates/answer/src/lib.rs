//! One composition function for each task; every face calls these.
