//! What must hold for every date.

use super::Bound;
use super::DateEntry;
use super::Day;
use super::Edtf;
use crate::record::date::parse;
use crate::record::date::syntax::Component;
use crate::record::date::syntax::Date;
use crate::record::date::syntax::Endpoint;
use crate::record::date::syntax::Expression;
use crate::record::date::syntax::Gathering;
use crate::record::date::syntax::Mark;
use crate::record::date::syntax::Member;
use crate::record::date::syntax::Moment;
use crate::record::date::syntax::Pattern;
use crate::record::date::syntax::Year;
use crate::record::date::syntax::Zone;
use proptest::option;
use proptest::prelude::*;

fn mark() -> impl Strategy<Value = Option<Mark>> {
    option::weighted(
        0.3,
        prop_oneof![
            Just(Mark::Uncertain),
            Just(Mark::Approximate),
            Just(Mark::Both)
        ],
    )
}

fn component<T: std::fmt::Debug>(
    value: impl Strategy<Value = T>,
) -> impl Strategy<Value = Component<T>> {
    (mark(), value, mark()).prop_map(|(before, value, after)| Component {
        before,
        value,
        after,
    })
}

fn digits(count: usize) -> impl Strategy<Value = Pattern> {
    proptest::collection::vec(option::weighted(0.85, 0..10_u8), count).prop_map(Pattern)
}

fn year() -> impl Strategy<Value = Year> {
    prop_oneof![
        8 => (prop::bool::weighted(0.1), digits(4), option::weighted(0.1, 1..5_u32)).prop_map(
            |(negative, digits, significant)| Year::Four { negative, digits, significant }
        ),
        1 => (any::<bool>(), 1..99_999_999_u64, option::of(1..12_u32), option::of(1..5_u32)).prop_map(
            |(negative, digits, exponent, significant)| Year::Long {
                negative,
                digits: digits.to_string(),
                exponent,
                significant
            }
        ),
    ]
}

fn date() -> BoxedStrategy<Date> {
    (
        component(year()),
        option::of((component(digits(2)), option::of(component(digits(2))))),
    )
        .prop_map(|(year, rest)| {
            let (month, day) = rest.map_or((None, None), |(month, day)| (Some(month), day));
            Date { year, month, day }
        })
        .prop_filter("a date of the calendar", |date| {
            parse::expression(&date.to_string()).is_ok()
        })
        .boxed()
}

fn endpoint() -> impl Strategy<Value = Endpoint> {
    prop_oneof![
        6 => date().prop_map(Endpoint::Date),
        1 => Just(Endpoint::Open),
        1 => Just(Endpoint::Unknown),
    ]
}

fn member() -> impl Strategy<Value = Member> {
    prop_oneof![
        date().prop_map(Member::One),
        date().prop_map(Member::UpTo),
        date().prop_map(Member::From),
        date().prop_map(|date| Member::Through(date.clone(), date)),
    ]
}

fn zone() -> impl Strategy<Value = Zone> {
    prop_oneof![
        Just(Zone::Local),
        Just(Zone::Universal),
        (any::<bool>(), 0..24_u8, option::of(0..60_u8)).prop_map(|(behind, hours, minutes)| {
            Zone::Shift {
                behind,
                hours,
                minutes,
            }
        }),
    ]
}

/// A day of the calendar without any doubt.
fn plain_day() -> impl Strategy<Value = Date> {
    (0..10_000_u32, 1..13_u32, 1..29_u32).prop_map(|(year, month, day)| {
        match parse::expression(&format!("{year:04}-{month:02}-{day:02}")) {
            Ok(Expression::Date(date)) => date,
            other => panic!("{other:?}"),
        }
    })
}

fn moment() -> impl Strategy<Value = Moment> {
    let time = (0..24_u8, 0..60_u8, 0..60_u8);
    (plain_day(), time, zone()).prop_map(|(date, time, zone)| Moment { date, time, zone })
}

fn expression() -> BoxedStrategy<Expression> {
    let gathering = prop_oneof![Just(Gathering::OneOf), Just(Gathering::AllOf)];
    prop_oneof![
        4 => date().prop_map(Expression::Date),
        2 => (endpoint(), endpoint()).prop_map(|(start, end)| Expression::Interval(start, end)),
        2 => (gathering, proptest::collection::vec(member(), 1..5))
            .prop_map(|(gathering, members)| Expression::Set(gathering, members)),
    ]
    .boxed()
}

proptest! {
    #[test]
    fn what_is_written_is_read_back_as_the_same(expression in expression()) {
        let text = expression.to_string();
        match parse::expression(&text) {
            Ok(read) => {
                prop_assert_eq!(&read, &expression);
                prop_assert_eq!(read.to_string(), text);
            }
            // Only the order and the presence of dates can be wrong in what was put together here.
            Err(fault) => prop_assert!(
                fault.why.contains("before the first") || fault.why.contains("needs a date"),
                "{}: {}", text, fault
            ),
        }
    }

    #[test]
    fn bounds_are_in_order_and_only_widen(expression in expression()) {
        if let Ok(date) = Edtf::parse(&expression.to_string()) {
            let (earliest, latest) = date.bounds();
            let (first, last) = date.generous_bounds();
            if let (Bound::Day(earliest), Bound::Day(latest)) = (earliest, latest) {
                let (Bound::Day(first), Bound::Day(last)) = (first, last) else {
                    return Err(TestCaseError::fail("a bound was lost"));
                };
                // An interval may begin late in a period and end early in it.
                if !matches!(expression, Expression::Interval(..)) {
                    prop_assert!(earliest <= latest);
                }
                prop_assert!(first <= earliest && latest <= last);
                let counted = |day: Day| day.year().unsigned_abs() <= 9999;
                if earliest <= latest && counted(earliest) && counted(latest) {
                    let back = Edtf::between(Bound::Day(earliest), Bound::Day(latest));
                    prop_assert_eq!(back.map(|date| date.bounds()), Some((Bound::Day(earliest), Bound::Day(latest))));
                }
            }
            prop_assert!(!date.in_words().is_empty());
            let gedcom = date.to_gedcom();
            prop_assert!(!gedcom.value.is_empty() || gedcom.phrase.is_some());
        }
    }

    #[test]
    fn a_moment_is_read_back_as_the_same(moment in moment()) {
        let expression = Expression::Moment(moment);
        prop_assert_eq!(parse::expression(&expression.to_string()), Ok(expression));
    }

    #[test]
    fn no_text_can_make_reading_fail_badly(text in "\\PC{0,24}") {
        if let Ok(date) = Edtf::parse(&text) {
            prop_assert_eq!(date.0.expression.to_string(), text.clone());
        }
        if let Err(fault) = DateEntry::read(&text) {
            prop_assert!(fault.position >= 1);
            prop_assert!(fault.position <= text.chars().count().saturating_add(1));
        }
    }

    #[test]
    fn neither_can_texts_of_the_right_letters(text in "[-0-9XYESTZ?~%/.,{}:+ \\[\\]]{0,16}") {
        if let Ok(date) = Edtf::parse(&text) {
            prop_assert_eq!(date.0.expression.to_string(), text);
        }
    }

    #[test]
    fn nor_words_of_the_right_kind(words in proptest::collection::vec(
        prop_oneof![
            Just("c."), Just("before"), Just("after"), Just("between"), Just("and"), Just("1890"), Just("1890s"), Just("May"),
            Just("3"), Just("early"), Just("or"), Just("to"), Just("?"), Just("19"), Just("th"), Just("century"), Just("summer"),
            Just("/"), Just("-"), Just("00"), Just("99999999999999999999"), Just("from"), Just("["), Just("]"), Just(","),
        ], 0..7))
    {
        let typed = words.join(" ");
        if let Ok(entry) = DateEntry::read(&typed) {
            prop_assert_eq!(Edtf::parse(entry.edtf.as_str()), Ok(entry.edtf));
        }
    }
}
