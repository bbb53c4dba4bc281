use super::*;
use crate::record::Answer;
use crate::record::Certainty;
use crate::record::Claim;
use crate::record::CopyKind;
use crate::record::DateEntry;
use crate::record::Standing;
use crate::record::View;
use std::collections::BTreeMap;

#[test]
fn a_new_packet_says_the_record_and_reads_back() {
    let excerpt = excerpt("Cora Marrack", Certainty::Proved);
    let written = written(None, &excerpt);
    let back = read_back(&written.packet);
    assert!(
        written
            .packet
            .starts_with("<?xpacket begin=\"\u{FEFF}\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>")
    );
    assert!(written.packet.ends_with("<?xpacket end=\"w\"?>"));
    assert_eq!(back.record.as_ref(), Some(&excerpt));
    assert_eq!(back.title.as_deref(), Some("[Portrait of Cora Marrack]"));
    assert_eq!(back.persons, ["Cora Marrack"]);
    assert_eq!(back.certainty.as_deref(), Some("proved"));
    assert_eq!(back.creators, ["Trevanick & Sons <Art> \"Co.\""]);
    assert_eq!(back.date_created.as_deref(), Some("1884-05"));
    assert_eq!(back.digitised.as_deref(), Some("2026-03-02"));
    assert_eq!(back.undo, context().undo);
    assert_eq!(back.picture_digest, context().picture_digest);
    assert_eq!(back.source_sha256, context().source_sha256);
    assert!(!back.has_gps);
    let description = back.description.unwrap();
    assert!(
        description.contains("Sitter: Cora Marrack."),
        "{description}"
    );
    assert!(
        description.contains("“4417 / finish by Xmas”"),
        "{description}"
    );
}

#[test]
fn the_same_values_give_the_same_packet() {
    let excerpt = excerpt("Cora Marrack", Certainty::Probable);
    assert_eq!(written(None, &excerpt), written(None, &excerpt));
}

#[test]
fn every_script_and_sign_comes_back_exactly() {
    let names = [
        "Кора Марракова",
        "שרה בת משה",
        "𠮷田𩸽子",
        "<Cora> & \"Co\" ]]> 'x'",
        "two\nlines\r\nand\ttabs\r",
        "bell\u{7}nul\u{0}noncharacter\u{FFFE}\u{FFFF}delete\u{7F}\u{9F}",
        "é\u{301}\u{200F}\u{1F469}\u{200D}\u{1F466}\u{2028}",
        " blanks around ",
    ];
    for name in names {
        for certainty in [Certainty::Proved, Certainty::Possible] {
            println!("{name:?}");
            let mut excerpt = excerpt(name, certainty);
            excerpt.words[0].text = given(name);
            excerpt.portraits[0].shows = given(name);
            excerpt.portraits[0]
                .extra
                .insert(name.to_owned(), name.to_owned());
            let back = read_back(&written(None, &excerpt).packet);
            assert_eq!(back.record, Some(excerpt), "{name:?}");
        }
    }
}

/// A name that is less than probable stands in our own block and nowhere else, in UTF-8 and in UTF-16.
#[test]
fn candidates_stand_only_in_our_own_block() {
    for certainty in [
        Certainty::Possible,
        Certainty::Suggested,
        Certainty::Doubtful,
        Certainty::RuledOut,
    ] {
        let mut excerpt = excerpt("Anna Zzcandidate", certainty);
        let portrait = &mut excerpt.portraits[0];
        portrait.title_as_printed = given("Anna Zzcandidate at home");
        portrait.shows = given("Anna Zzcandidate in a chair");
        portrait.maker.as_printed = given("Anna Zzcandidate's studio");
        portrait.original_now_at = given("with Anna Zzcandidate");
        excerpt.words[0].text = given("Zzcandidate 1884");
        excerpt.scans[0].made_by = given("Anna Zzcandidate");
        excerpt.about.kept_by = given("Anna Zzcandidate");
        excerpt.claims.push(Claim {
            standing: Answer::Given(Standing::Withdrawn),
            ..claim("P-1", Certainty::Proved)
        });
        let packet = written(None, &excerpt).packet;
        assert!(packet.contains("Zzcandidate"));
        for (path, value) in foreign_leaves(&packet) {
            assert!(!value.contains("Zzcandidate"), "{path}: {value}");
        }
        let back = read_back(&packet);
        assert_eq!(
            back.title.as_deref(),
            Some("[Portrait of an unidentified sitter]")
        );
        assert!(back.persons.is_empty());
        let wide: Vec<u8> = "Zzcandidate"
            .encode_utf16()
            .flat_map(u16::to_le_bytes)
            .collect();
        assert!(
            !packet
                .as_bytes()
                .windows(wide.len())
                .any(|window| window == wide)
        );
    }
}

#[test]
fn a_probable_name_always_carries_probably() {
    let packet = written(None, &excerpt("Cora Marrack", Certainty::Probable)).packet;
    for (path, value) in foreign_leaves(&packet) {
        let rest = value.replace("probably Cora Marrack", "");
        assert!(!rest.contains("Marrack"), "{path}: {value}");
    }
    let back = read_back(&packet);
    assert!(back.persons.is_empty());
    assert_eq!(
        back.title.as_deref(),
        Some("[Portrait of probably Cora Marrack]")
    );
}

#[test]
fn an_altered_version_says_so_first() {
    let mut excerpt = excerpt("Cora Marrack", Certainty::Proved);
    excerpt.scans[0].copy_kind = Answer::Given(CopyKind::Altered);
    excerpt.scans[0].altered_how = given("coloured by an AI app");
    let packet = written(None, &excerpt).packet;
    let back = read_back(&packet);
    assert!(
        back.title
            .unwrap()
            .starts_with("Altered version, not evidence: ")
    );
    assert!(
        back.description
            .unwrap()
            .starts_with("Altered version, not evidence. ")
    );
    assert!(packet.contains("digitalsourcetype/algorithmicallyEnhanced"));
    assert!(!packet.contains("ImageRegion"));
}

#[test]
fn the_back_shows_nobody() {
    let mut excerpt = excerpt("Cora Marrack", Certainty::Proved);
    excerpt.scans[0].view = Answer::Given(View::Back);
    let back = read_back(&written(None, &excerpt).packet);
    assert!(back.persons.is_empty());
    assert_eq!(
        back.title.as_deref(),
        Some("[Portrait of Cora Marrack] (back)")
    );
}

/// The same face: IPTC counts from the corner, MWG from the centre.
#[test]
fn faces_are_marked_from_the_corner_and_from_the_centre() {
    let packet = written(None, &excerpt("Cora Marrack", Certainty::Proved)).packet;
    let leaves: BTreeMap<String, String> = foreign_leaves(&packet).into_iter().collect();
    let iptc = |field: &str| {
        &leaves
            [&format!("Iptc4xmpExt:ImageRegion[1]/Iptc4xmpExt:RegionBoundary/Iptc4xmpExt:{field}")]
    };
    let mwg = |field: &str| {
        &leaves[&format!("mwg-rs:Regions/mwg-rs:RegionList[1]/mwg-rs:Area/stArea:{field}")]
    };
    assert_eq!(
        [iptc("rbX"), iptc("rbY"), iptc("rbW"), iptc("rbH")],
        ["0.25", "0.1", "0.5", "0.6"]
    );
    assert_eq!(
        [mwg("x"), mwg("y"), mwg("w"), mwg("h")],
        ["0.5", "0.4", "0.5", "0.6"]
    );
    assert_eq!(
        leaves["mwg-rs:Regions/mwg-rs:AppliedToDimensions/stDim:w"],
        "4000"
    );
    assert_eq!(
        leaves["mwg-rs:Regions/mwg-rs:RegionList[1]/mwg-rs:Name"],
        "Cora Marrack"
    );
    let packet = written(None, &excerpt("Cora Marrack", Certainty::Probable)).packet;
    assert!(packet.contains("ImageRegion"));
    assert!(
        foreign_leaves(&packet)
            .iter()
            .all(|(path, _)| !path.ends_with(":Name"))
    );
}

#[test]
fn dates_that_are_not_exact_stay_out_of_date_fields() {
    for (edtf, expected) in [
        ("1884", Some("1884")),
        ("1884-05-02", Some("1884-05-02")),
        ("1884~", None),
        ("1884?", None),
        ("188X", None),
        ("1884/1886", None),
        ("1884-21", None),
    ] {
        let mut excerpt = excerpt("Cora Marrack", Certainty::Proved);
        let Ok(entry) = DateEntry::read(edtf) else {
            panic!("{edtf}");
        };
        excerpt.portraits[0].dates.sitting = Answer::Given(entry);
        let packet = written(None, &excerpt).packet;
        assert_eq!(
            read_back(&packet).date_created.as_deref(),
            expected,
            "{edtf}"
        );
        assert!(packet.contains(&format!("<kb:sittingDateEDTF>{edtf}</kb:sittingDateEDTF>")));
    }
}
