//! The catalogue: the sheets that the person fills, as a record, and back.
