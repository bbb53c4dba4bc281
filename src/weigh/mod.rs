//! Weigh: checks the catalogue and weighs the evidence.
