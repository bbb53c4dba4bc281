//! Audit: checks packages, folders and single scans.
