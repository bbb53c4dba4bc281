use super::*;
use crate::format::xmp::rdf;
use crate::format::xmp::screen;
use crate::format::xmp::toolkit;
use crate::format::xmp::value::Property;
use crate::record::Certainty;
use crate::record::Collection;
use crate::record::Portrait;
use std::collections::BTreeSet;
use std::path::Path;
use std::path::PathBuf;

#[test]
fn damage_is_refused_or_told() {
    let record = excerpt("Cora Marrack", Certainty::Proved);
    assert!(matches!(
        write(Some("<a/>"), &record, &context()),
        Err(PacketError::Existing(PacketFault::NoRdf))
    ));
    assert!(matches!(
        write(Some("<a>"), &record, &context()),
        Err(PacketError::Existing(PacketFault::NotWellFormed { .. }))
    ));
    let two = Collection {
        portraits: vec![Portrait::default(), Portrait::default()],
        ..record.clone()
    };
    assert!(matches!(
        write(None, &two, &context()),
        Err(PacketError::NotOnePortrait {
            portraits: 2,
            scans: 1
        })
    ));
    let packet = written(None, &record).packet;
    let broken = read_back(&packet.replace("<kb:record>{", "<kb:record>[{"));
    assert_eq!(broken.record, None);
    assert!(broken.record_fault.is_some());
    assert_eq!(broken.persons, ["Cora Marrack"]);
    let newer = read_back(&packet.replace("<kb:recordVersion>1<", "<kb:recordVersion>99<"));
    assert!(newer.record_fault.unwrap().contains("version 99"));
}

#[test]
fn cut_at_every_byte_never_panics_and_never_passes() {
    let packet = written(None, &excerpt("Cora Marrack", Certainty::Proved)).packet;
    let end = packet.find("</x:xmpmeta>").unwrap();
    for length in (0..end).filter(|length| length % 7 == 0) {
        let cut = packet.as_bytes().get(..length).unwrap();
        assert!(screen(cut).is_err(), "{length}");
    }
}

/// The toolkit's model and our own reader find the same in every form of RDF that XMP permits.
#[test]
fn our_reader_and_the_toolkit_agree() {
    let forms = packet_of(
        r#"<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:o="urn:o:"
           xmlns:xmpMM="http://ns.adobe.com/xap/1.0/mm/" xmlns:stRef="http://ns.adobe.com/xap/1.0/sType/ResourceRef#"
           dc:source="as attribute &amp; more">
           <xmpMM:DerivedFrom stRef:instanceID="i" stRef:documentID="d"/>
           <o:nested><rdf:Description o:a="1"><o:b>2</o:b></rdf:Description></o:nested>
           <o:typed rdf:resource="http://example.org/x"/>
           <o:qualified rdf:parseType="Resource"><rdf:value>v</rdf:value><o:q>w</o:q></o:qualified>
           <o:list><rdf:Seq><rdf:li o:a="1" o:b="2"/><rdf:li rdf:parseType="Resource"><o:a>3</o:a></rdf:li></rdf:Seq></o:list>
           <dc:description><rdf:Alt><rdf:li xml:lang="x-default">d<![CDATA[<&>]]>e</rdf:li></rdf:Alt></dc:description>
           </rdf:Description>"#,
    );
    let packet = written(None, &excerpt("Cora <&> Marrack\r\nЖ", Certainty::Probable)).packet;
    for text in [forms, packet] {
        let theirs: BTreeSet<(String, String)> = toolkit::leaves(&text)
            .unwrap()
            .into_iter()
            .filter(|(_, path, _)| !path.contains("/?o:") && !path.contains("rdf:type"))
            .map(|(_, path, value)| (local_path(&path), value))
            .collect();
        assert_eq!(theirs, our_leaves(&text));
    }
}

fn our_leaves(packet: &str) -> BTreeSet<(String, String)> {
    let document = screen::parse(packet).unwrap();
    let properties = rdf::properties(rdf::root(&document).unwrap());
    let leaves = |one: Property| one.value.leaves(&one.name.qualified());
    properties
        .into_iter()
        .flat_map(|one| leaves(one.property))
        .map(|(path, value)| (local_path(&path), value))
        .collect()
}

/// Leaves the prefixes and addresses of namespaces out of a path: readers may choose them.
fn local_path(path: &str) -> String {
    let mut plain = String::new();
    for (index, part) in path.split('{').enumerate() {
        let after = if index == 0 {
            part
        } else {
            part.split_once('}').unwrap().1
        };
        plain.push_str(after);
    }
    let parts: Vec<&str> = plain
        .split('/')
        .map(|part| part.rsplit(':').next().unwrap())
        .collect();
    parts.join("/")
}

/// Real packets of ordinary files: every old value survives, ours reads back, and ten rounds change nothing.
#[test]
fn ordinary_packets_keep_every_value() {
    let Some(shared) = std::env::var_os("KITHBAG_SHARED") else {
        println!("not run: KITHBAG_SHARED is not set");
        return;
    };
    let folder = Path::new(&shared).join("data/images/ordinary");
    let record = excerpt("Cora Marrack", Certainty::Proved);
    let (mut merged, mut refused, mut without) = (0, Vec::new(), 0);
    for path in files_under(&folder) {
        let bytes = std::fs::read(&path).unwrap();
        let Some(packet) = packet_in(&bytes) else {
            without += 1;
            continue;
        };
        let Ok(before) = screen(packet) else {
            refused.push(path);
            continue;
        };
        match write(Some(&before), &record, &context()) {
            Ok(written) => {
                merged += 1;
                let after = foreign_leaves(&written.packet);
                for leaf in foreign_leaves(&before) {
                    assert!(
                        after.contains(&leaf),
                        "{}: {leaf:?} is lost",
                        path.display()
                    );
                }
                let again = write(Some(&written.packet), &record, &context()).unwrap();
                assert_eq!(again.packet, written.packet, "{}", path.display());
            }
            Err(error) => panic!("{}: {error}", path.display()),
        }
    }
    println!("merged {merged}, refused {refused:?}, without a packet {without}");
    assert!(merged > 10, "too few packets were found: {merged}");
    assert!(refused.len() <= 2, "{refused:?}");
}

fn files_under(folder: &Path) -> Vec<PathBuf> {
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files.extend(files_under(&path));
        } else {
            files.push(path);
        }
    }
    files.sort();
    files
}

fn packet_in(bytes: &[u8]) -> Option<&[u8]> {
    let find = |what: &[u8]| bytes.windows(what.len()).position(|window| window == what);
    let start = find(b"<x:xmpmeta").or_else(|| find(b"<x:xapmeta"))?;
    let rest = &bytes[start..];
    let end = rest
        .windows(12)
        .position(|window| window == b"</x:xmpmeta>" || window == b"</x:xapmeta>")?;
    Some(&rest[..end.saturating_add(12)])
}
