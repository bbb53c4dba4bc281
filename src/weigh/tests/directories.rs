//! What directories say of a maker's address, and which step would narrow the dates most.

use super::*;
use crate::record::Unit;

/// A card by a maker, with a directory of each of these years.
fn listed(address: &str, years: &[(&str, YesNo)]) -> Collection {
    let mut one = portrait("1", PortraitKind::Other);
    one.maker.as_printed = given("E. Lisle");
    if !address.is_empty() {
        one.maker.address_as_printed = given(address);
    }
    Collection {
        portraits: vec![one],
        listings: years
            .iter()
            .map(|(year, listed)| Listing {
                maker: given("E. Lisle"),
                address: given("3 Ropewalk"),
                year: given(year),
                listed: Answer::Given(*listed),
                source: given(&format!("directory of {year}")),
                ..Listing::default()
            })
            .collect(),
        ..Collection::default()
    }
}

#[test]
fn directories_give_firm_years_outer_years_and_gaps() {
    let years = [
        ("1860", YesNo::No),
        ("1863", YesNo::No),
        ("1865", YesNo::Yes),
        ("1867", YesNo::No),
        ("1868-69", YesNo::Yes),
        ("1870", YesNo::No),
        ("1874", YesNo::No),
        ("186", YesNo::Yes),
        ("no year", YesNo::Yes),
        ("18700", YesNo::Yes),
    ];
    let weighing = weighed(&listed("3 Ropewalk", &years));
    let dates = &only(&weighing).dates;
    let stay = dates.stay.as_ref().unwrap();
    assert_eq!(stay.firm, (1865, 1868));
    assert_eq!(
        (stay.absent_before, stay.absent_after),
        (Some(1863), Some(1870))
    );
    assert_eq!(stay.gaps, [1867]);
    assert_eq!(
        (stay.maker.as_str(), stay.address.as_str()),
        ("E. Lisle", "3 Ropewalk")
    );
    let print = dates.print.as_deref();
    assert_eq!(limits(print), "[1863..1870]");
    assert_eq!(estimate(print), "[1865..1868]");
    // Only the directories of years that can be read are named: of many the first and the last.
    assert_eq!(
        print.unwrap().used[0].source,
        "directory of 1860; 5 more; directory of 1874"
    );
}

#[test]
fn up_to_four_directories_are_all_named() {
    let source = |years: &[&str]| {
        let years: Vec<(&str, YesNo)> = years.iter().map(|year| (*year, YesNo::Yes)).collect();
        let weighing = weighed(&listed("3 Ropewalk", &years));
        only(&weighing).dates.print.as_ref().unwrap().used[0]
            .source
            .to_string()
    };
    assert_eq!(source(&["1861"]), "directory of 1861");
    assert_eq!(
        source(&["1861", "1862", "1863", "1864"]),
        "directory of 1861; directory of 1862; directory of 1863; directory of 1864"
    );
    assert_eq!(
        source(&["1861", "1862", "1863", "1864", "1865"]),
        "directory of 1861; 3 more; directory of 1865"
    );
    let mut unnamed = listed("3 Ropewalk", &[("1861", YesNo::Yes)]);
    unnamed.listings[0].source = Answer::Blank;
    let weighing = weighed(&unnamed);
    let print = only(&weighing).dates.print.as_ref().unwrap();
    assert!(print.used[0].source.contains("Makers’ addresses"));
}

/// One directory without the maker bounds one side, and leaves the other open.
#[test]
fn outer_years_count_one_by_one() {
    let bounds = |years: &[(&str, YesNo)]| {
        let weighing = weighed(&listed("3 Ropewalk", years));
        limits(only(&weighing).dates.print.as_deref()).to_owned()
    };
    let (yes, no) = (YesNo::Yes, YesNo::No);
    assert_eq!(bounds(&[("1860", no), ("1865", yes)]), "[1860..]");
    assert_eq!(bounds(&[("1865", yes), ("1870", no)]), "[..1870]");
    assert_eq!(bounds(&[("1865", yes)]), "");
}

/// A maker who moved is missing at the old address, but not from the town.
#[test]
fn without_a_printed_address_every_address_counts() {
    let mut collection = listed(
        "",
        &[
            ("1861", YesNo::Yes),
            ("1865", YesNo::No),
            ("1870", YesNo::No),
        ],
    );
    collection.listings.push(Listing {
        address: given("8 Quay Street"),
        year: given("1865"),
        listed: Answer::Given(YesNo::Yes),
        ..collection.listings[0].clone()
    });
    let stay = |collection: &Collection| only(&weighed(collection)).dates.stay.clone();
    let anywhere = stay(&collection).unwrap();
    assert_eq!(anywhere.firm, (1861, 1865));
    assert_eq!(anywhere.absent_after, Some(1870));
    assert_eq!(anywhere.address, "any address");
    collection.portraits[0].maker.address_as_printed = given("3 ROPEWALK");
    let here = stay(&collection).unwrap();
    assert_eq!((here.firm, here.absent_after), ((1861, 1861), Some(1865)));
    collection.portraits[0].maker.address_as_printed = given("1 Elsewhere");
    assert_eq!(stay(&collection), None);
    // Where nothing is printed, the maker that was worked out is looked up.
    collection.portraits[0].maker.address_as_printed = Answer::Blank;
    collection.portraits[0].maker.as_printed = Answer::Blank;
    collection.portraits[0].maker.name = given("e. lisle");
    assert_eq!(stay(&collection), Some(anywhere));
}

/// The one thing that would narrow the dates most.
#[test]
fn the_next_step_follows_from_what_is_missing() {
    let next = |collection: &Collection| only(&weighed(collection)).dates.would_narrow.clone();
    let of_stay = |years: &[(&str, YesNo)]| next(&listed("3 Ropewalk", years)).unwrap_or_default();
    let (yes, no) = (YesNo::Yes, YesNo::No);
    for (years, told) in [
        (vec![("1865", yes), ("1868", yes)], "years before 1865"),
        (
            vec![("1860", no), ("1865", yes), ("1868", yes)],
            "years after 1868",
        ),
        (
            vec![("1860", no), ("1865", yes), ("1868", yes), ("1870", no)],
            "between 1860 and 1865",
        ),
        (
            vec![("1863", no), ("1865", yes), ("1868", yes), ("1872", no)],
            "between 1868 and 1872",
        ),
        (
            vec![("1863", no), ("1865", yes), ("1868", yes), ("1870", no)],
            "between 1863 and 1865",
        ),
        (
            vec![("1864", no), ("1865", yes), ("1868", yes), ("1869", no)],
            "a date on the object",
        ),
        (
            vec![("1864", no), ("1865", yes), ("1868", yes), ("1870", no)],
            "between 1868 and 1870",
        ),
        (
            vec![("1862", no), ("1865", yes), ("1868", yes), ("1869", no)],
            "between 1862 and 1865",
        ),
    ] {
        let said = of_stay(&years);
        assert!(said.contains(told), "{years:?}: {said}");
    }
    // One year is as narrow as a directory can make it.
    assert_eq!(next(&listed("3 Ropewalk", &[("1865", yes)])), None);
    let said = next(&listed("3 Ropewalk", &[])).unwrap_or_default();
    assert!(said.contains("look E. Lisle up in directories"), "{said}");
    let mut plain = with(vec![]);
    assert!(next(&plain).is_some_and(|said| said.contains("measure the mount")));
    plain.portraits[0].size.height = given("30");
    plain.portraits[0].size.width = given("20");
    plain.portraits[0].size.unit = Answer::Given(Unit::Centimetre);
    assert!(next(&plain).is_some_and(|said| said.contains("a maker’s name")));
    plain.portraits[0].kind = Answer::Blank;
    assert!(next(&plain).is_some_and(|said| said.contains("say what it is")));
    let hard = |number: &str, gives: &str| {
        hard(
            clue(number, "1", ClueKind::Record, "a book", gives),
            DateTarget::Print,
        )
    };
    let torn = with(vec![hard("C-1", "[1870..]"), hard("C-2", "[..1860]")]);
    assert!(
        next(&torn).is_some_and(|said| said.contains("which is wrong") && said.contains("C-2"))
    );
    assert_eq!(next(&with(vec![hard("C-1", "1871-05")])), None);
}
