//! How finely a date is given, and which level of EDTF it needs.

use super::Precision;
use super::bounds;
use super::syntax::Component;
use super::syntax::Date;
use super::syntax::Pattern;
use super::syntax::Year;

/// Returns how finely a date is given.
pub(super) fn precision_of(date: &Date) -> Precision {
    if date.day.is_some() {
        Precision::Day
    } else if date.season().is_some() {
        Precision::PartOfYear
    } else if date.month.is_some() {
        Precision::Month
    } else {
        match bounds::years(&date.year.value) {
            Some((first, last)) if first != last => Precision::Years,
            _ => Precision::Year,
        }
    }
}

/// Returns the lowest level of EDTF that has this date.
pub(super) fn level_of(date: &Date) -> u8 {
    if date.is_plain() {
        return 0;
    }
    let marks = date.marks().count();
    let marked_as_level_1 = marks == 0 || date.whole_mark().is_some();
    let year_given = match &date.year.value {
        Year::Four {
            negative,
            digits,
            significant: None,
        } => match digits.unspecified_tail() {
            Some(0) => true,
            Some(1 | 2) if date.month.is_none() && !negative => {
                return u8::from(!marked_as_level_1).saturating_add(1);
            }
            _ => return 2,
        },
        Year::Long {
            exponent: None,
            significant: None,
            ..
        } => true,
        _ => return 2,
    };
    let unspecified = |part: &Option<Component<Pattern>>| {
        part.as_ref()
            .is_none_or(|part| part.value.number().is_some() || part.value.is_unspecified())
    };
    let month_unspecified = date
        .month
        .as_ref()
        .is_some_and(|month| month.value.is_unspecified());
    let day_given = date
        .day
        .as_ref()
        .is_some_and(|day| day.value.number().is_some());
    let level_1 = marked_as_level_1
        && year_given
        && unspecified(&date.month)
        && unspecified(&date.day)
        && !(month_unspecified && day_given)
        && date.season().is_none_or(|season| season <= 24);
    if level_1 { 1 } else { 2 }
}
