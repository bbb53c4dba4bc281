//! Inscribe: writes described copies.
