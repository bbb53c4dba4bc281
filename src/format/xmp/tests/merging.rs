use super::*;
use crate::format::xmp::screen;
use crate::record::Certainty;

const FOREIGN: &str = r#"<rdf:Description rdf:about="uuid:f" xmlns:dc="http://purl.org/dc/elements/1.1/"
    xmlns:photoshop="http://ns.adobe.com/photoshop/1.0/" xmlns:exif="http://ns.adobe.com/exif/1.0/"
    xmlns:own="http://example.org/own/" xmlns:Iptc4xmpExt="http://iptc.org/std/Iptc4xmpExt/2008-02-29/"
    photoshop:Credit="Uncle Zeb" own:flag="1 &lt; 2" exif:GPSLatitude="50,13.2N">
   <dc:title><rdf:Alt><rdf:li xml:lang="x-default">scan0001</rdf:li><rdf:li xml:lang="de">Bild</rdf:li></rdf:Alt></dc:title>
   <dc:subject><rdf:Bag><rdf:li>portrait</rdf:li><rdf:li>attic</rdf:li></rdf:Bag></dc:subject>
   <dc:creator><rdf:Seq/></dc:creator>
   <Iptc4xmpExt:PersonInImage>
    <rdf:Bag>
     <rdf:li>Aunt May</rdf:li>
    </rdf:Bag>
   </Iptc4xmpExt:PersonInImage>
   <own:place rdf:parseType="Resource"><own:a>x</own:a><exif:GPSLongitude>5,28.0W</exif:GPSLongitude></own:place>
   <!-- a remark -->
  </rdf:Description>
  <rdf:Description rdf:about="uuid:f" xmlns:aux="http://ns.adobe.com/exif/1.0/aux/" aux:SerialNumber="12345"/>"#;

#[test]
fn what_others_wrote_survives_and_conflicts_are_told() {
    let before = packet_of(FOREIGN);
    let written = written(Some(&before), &excerpt("Cora Marrack", Certainty::Proved));
    let after = foreign_leaves(&written.packet);
    for leaf in foreign_leaves(&before) {
        assert!(after.contains(&leaf), "{leaf:?} is lost");
    }
    let back = read_back(&written.packet);
    assert_eq!(back.title.as_deref(), Some("scan0001"));
    assert_eq!(
        back.titles,
        ["scan0001", "Bild", "[Portrait of Cora Marrack]"]
    );
    assert_eq!(back.persons, ["Aunt May", "Cora Marrack"]);
    assert_eq!(back.creators, ["Trevanick & Sons <Art> \"Co.\""]);
    assert!(
        back.subjects
            .starts_with(&["portrait".to_owned(), "attic".to_owned()])
    );
    assert_eq!(
        back.subjects
            .iter()
            .filter(|one| *one == "portrait")
            .count(),
        1
    );
    assert!(written.packet.contains("<!-- a remark -->"));
    assert!(back.has_gps);
    let title = written
        .conflicts
        .iter()
        .find(|one| one.property == "dc:title")
        .unwrap();
    assert_eq!(title.theirs, "scan0001; Bild");
    assert!(title.ours_stands_beside);
    assert!(
        title
            .in_words()
            .starts_with("The title in the file was “scan0001; Bild”")
    );
    assert!(written.removed_private.is_empty());
}

#[test]
fn writing_again_replaces_only_what_is_ours() {
    let before = packet_of(FOREIGN);
    let mut record = excerpt("Cora Marrack", Certainty::Proved);
    let first = written(Some(&before), &record).packet;
    let mut packet = first.clone();
    for _ in 0..10 {
        packet = written(Some(&packet), &record).packet;
    }
    assert_eq!(packet, first);
    record.people[0].name = given("Dora Trewin");
    let changed = written(Some(&packet), &record).packet;
    assert_eq!(changed, written(Some(&before), &record).packet);
    assert!(!changed.contains("Cora"));
    let fresh = written(None, &record).packet;
    assert_eq!(written(Some(&fresh), &record).packet, fresh);
}

#[test]
fn a_value_of_ours_that_somebody_changed_is_theirs() {
    let record = excerpt("Cora Marrack", Certainty::Proved);
    let first = written(None, &record).packet;
    let edited = first.replacen(">[Portrait of Cora Marrack]<", ">Great-aunt Cora<", 1);
    let again = written(Some(&edited), &record);
    let back = read_back(&again.packet);
    assert_eq!(
        back.titles,
        ["Great-aunt Cora", "[Portrait of Cora Marrack]"]
    );
    assert_eq!(again.conflicts.len(), 1);
    assert_eq!(written(Some(&again.packet), &record).packet, again.packet);
}

/// Another program may save the packet in its own way; what is ours is still known.
#[test]
fn what_is_ours_is_known_in_another_spelling() {
    let record = excerpt("Cora Marrack", Certainty::Proved);
    let first = written(None, &record).packet;
    let meta: xmp_toolkit::XmpMeta = first.parse().unwrap();
    let options = xmp_toolkit::ToStringOptions::default().use_compact_format();
    let other = meta.to_string_with_options(options).unwrap();
    assert_ne!(other, first);
    let other = screen(other.as_bytes()).unwrap();
    let again = written(Some(&other), &record);
    assert!(again.conflicts.is_empty(), "{:?}", again.conflicts);
    assert_eq!(foreign_leaves(&again.packet), foreign_leaves(&first));
}

#[test]
fn private_facts_are_cut_where_asked() {
    let before = packet_of(FOREIGN);
    let asked = PacketContext {
        drop_private: true,
        ..context()
    };
    let record = excerpt("Cora Marrack", Certainty::Proved);
    let written = write(Some(&before), &record, &asked).unwrap();
    for gone in ["GPS", "50,13.2N", "5,28.0W", "12345", "SerialNumber"] {
        assert!(!written.packet.contains(gone), "{gone}");
    }
    assert_eq!(
        written.removed_private,
        [private::PLACE, "camera serial number"]
    );
    let back = read_back(&written.packet);
    assert!(!back.has_gps);
    assert!(back.private_found.is_empty());
    let mut expected = foreign_leaves(&before);
    expected.retain(|(path, _)| !path.contains("GPS") && !path.contains("SerialNumber"));
    assert!(foreign_leaves(&written.packet).is_superset(&expected));
}

#[test]
fn packets_in_unusual_shapes_are_merged_with() {
    let record = excerpt("Cora Marrack", Certainty::Proved);
    let rdf = "http://www.w3.org/1999/02/22-rdf-syntax-ns#";
    let shapes = [
        format!("<rdf:RDF xmlns:rdf='{rdf}'/>"),
        format!("<r:RDF xmlns:r='{rdf}'><r:Description r:about=''/></r:RDF>"),
        format!(
            "<?xml version='1.0'?><x:xapmeta xmlns:x='adobe:ns:meta/'><rdf:RDF xmlns:rdf='{rdf}'></rdf:RDF></x:xapmeta>"
        ),
        format!(
            "<r:RDF xmlns:r='{rdf}' xmlns:rdf='urn:other' xmlns:dc='urn:dc' xmlns:d='http://purl.org/dc/elements/1.1/'>\
             <r:Description r:about='' d:identifier='7'><d:title><r:Alt/></d:title><d:subject><r:Bag><r:li>a</r:li>\
             </r:Bag></d:subject><d:creator>text</d:creator><d:description><r:Alt><r:li r:parseType='Resource'>\
             <r:value>old</r:value><rdf:q>1</rdf:q></r:li></r:Alt></d:description></r:Description></r:RDF>"
        ),
    ];
    for shape in shapes {
        let before = screen(shape.as_bytes()).unwrap().into_owned();
        let written = written(Some(&before), &record);
        assert_eq!(
            read_back(&written.packet).record.as_ref(),
            Some(&record),
            "{shape}"
        );
        assert!(
            foreign_leaves(&written.packet).is_superset(&foreign_leaves(&before)),
            "{shape}"
        );
        assert_eq!(
            write(Some(&written.packet), &record, &context())
                .unwrap()
                .packet,
            written.packet
        );
    }
}
