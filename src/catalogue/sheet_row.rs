//! What all rows of the record have in common: the row of the sheet they came from, and the person's own columns.

use crate::record::Extra;
use crate::record::Row;

/// A row of a sheet.
pub(super) trait SheetRow: Default + PartialEq {
    /// Returns the row of the sheet.
    fn row_mut(&mut self) -> &mut Row;

    /// Returns the person's own columns, and texts that no field could take over.
    fn extra(&self) -> &Extra;

    /// Returns the same for changing.
    fn extra_mut(&mut self) -> &mut Extra;
}

macro_rules! sheet_rows {
    ($($name:ident)+) => {
        $(impl SheetRow for crate::record::$name {
            fn row_mut(&mut self) -> &mut Row {
                &mut self.row
            }

            fn extra(&self) -> &Extra {
                &self.extra
            }

            fn extra_mut(&mut self) -> &mut Extra {
                &mut self.extra
            }
        })+
    };
}

sheet_rows! { About Portrait Scan Transcription Person Claim Clue Lot Listing Rights Receiver }
