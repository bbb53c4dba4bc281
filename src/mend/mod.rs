//! Mend: rebuilds a sound package from damaged copies.
