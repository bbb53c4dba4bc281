//! Pack: makes the package for one audience.
