//! The table of cautions.

use super::Act;
use super::Audience;
use super::Caution;
use super::Glass;
use super::GlassContact;
use super::Mould;
use super::PortraitKind;
use super::Trigger;
use super::YesNo;
use super::has_mould;
use super::has_old_surface;
use super::has_place;
use super::has_unproved_name;
use super::is_framed;
use super::is_loose;
use super::is_minor;
use super::is_not_flat;
use super::is_sensitive;
use super::may_be_disputed;
use super::may_be_living;
use super::says;

/// Every caution. The order is the order in which people see them.
pub(super) const TABLE: &[Caution] = &[
    Caution {
        id: "C1",
        about: "convex glass",
        text: "Convex glass stands out past the frame and breaks if leaned, stacked or laid face down. Keep it on its back on padding, or hanging. Carry the frame in both hands with the glass towards you, never by the wire.",
        source: "Canadian Conservation Institute, CCI Notes 11/6; face up on padding is common practice",
        trigger: Trigger::Portrait(|portrait| says(&portrait.glass, &Glass::Convex)),
    },
    Caution {
        id: "C2",
        about: "picture against the glass",
        text: "Do not pull, cut, wet, heat or freeze a picture that touches its glass. Photograph it through the glass first. A photograph conservator decides what happens next.",
        source: "Iowa State University Library Preservation; Conservation DistList, 12 February 1995 (gelatin that dissolved in water)",
        trigger: Trigger::Portrait(|portrait| {
            matches!(
                portrait.glass_touching.given(),
                Some(GlassContact::Touching | GlassContact::Stuck | GlassContact::Unsure)
            )
        }),
    },
    Caution {
        id: "C3",
        about: "tape at the glass",
        text: "Tape round the edge may hold both glass and picture. Cutting it can drop the glass or tear the edge. If you are not sure what the tape holds, stop.",
        source: "Canadian Conservation Institute, CCI Notes 11/6; common practice",
        trigger: Trigger::Portrait(|portrait| says(&portrait.glass_touching, &GlassContact::Taped)),
    },
    Caution {
        id: "C4",
        about: "broken glass",
        text: "Do not lift the picture out through broken glass. Keep it flat, picture side up, cover it, and ask a conservator. Wear cut-resistant gloves for loose pieces; wrap and dispose of glass as your area requires.",
        source: "common practice; no single published source",
        trigger: Trigger::Portrait(|portrait| says(&portrait.glass, &Glass::Broken)),
    },
    Caution {
        id: "C5",
        about: "opening a frame",
        text: "A blade can cut you, the print, or writing hidden under the paper. Photograph the back first, including the paper. Cut away from you, shallow, with the frame supported; retract the blade at once. If the paper carries any writing or label, do not cut it.",
        source: "common practice; no single published source",
        trigger: Trigger::Portrait(|portrait| {
            is_framed(portrait) && !says(&portrait.opened, &YesNo::Yes)
        }),
    },
    Caution {
        id: "C6",
        about: "active mould",
        text: "Stop. Do not brush, wipe or scan it. Put it in a bag or box away from other items, keep it dry and cool, wash hands, keep children, asthmatics and people with weak immunity away. Ask a conservator.",
        source: "US National Archives, family salvage notes (1993); US National Park Service, Conserve O Gram 3/4; Conservation Center for Art & Historic Artifacts, Managing a Mold Infestation",
        trigger: Trigger::Portrait(|portrait| says(&portrait.mould, &Mould::Active)),
    },
    Caution {
        id: "C7",
        about: "dry mould",
        text: "Dry mould still harms lungs and spreads. Handle little, with disposable nitrile gloves and a close-fitting particulate mask (N95 or better); never on an open scanner that others use. Ask a conservator.",
        source: "US National Archives, family salvage notes (1993); US National Park Service, Conserve O Gram 3/4; the grade of mask is common practice",
        trigger: Trigger::Portrait(|portrait| says(&portrait.mould, &Mould::Powdery)),
    },
    Caution {
        id: "C8",
        about: "brown spots",
        text: "Flat brown spots (“foxing”) are not the same as mould. Note them; do not bleach or rub. Interleave, keep dry. If you see fuzz or powder, treat as mould.",
        source: "American Institute for Conservation Wiki, BPG Foxing",
        trigger: Trigger::Portrait(|portrait| {
            says(&portrait.brown_spots, &YesNo::Yes) && !has_mould(portrait)
        }),
    },
    Caution {
        id: "C9",
        about: "loose drawing",
        text: "The surface may come off on anything that touches it. Do not touch, blow, wipe or press. No plastic sleeves, no cling film, no fixative or hairspray. Store flat, face up, nothing resting on it.",
        source: "Conservation Center for Art & Historic Artifacts, Introduction to Friable Media; Yale University, Manuscripts and Archives processing manual 5.1.3",
        trigger: Trigger::Portrait(is_loose),
    },
    Caution {
        id: "C10",
        about: "scanner pressure",
        text: "Do not put this on a flatbed and do not press it flat. Photograph it from above with side light.",
        source: "American Institute for Conservation Wiki, Treatment of Crayon Portraits (2023), on brittle boards; common practice",
        trigger: Trigger::Portrait(|portrait| {
            is_loose(portrait) || is_not_flat(portrait) || says(&portrait.brittle, &YesNo::Yes)
        }),
    },
    Caution {
        id: "C11",
        about: "old paint and gilding",
        text: "Old paint, gesso and some pigments may contain lead, arsenic or mercury. Do not sand, scrape or burn. Do not eat or drink while handling; wash hands; wipe dust with a damp cloth; keep from children. Ask your health agency about testing and disposal.",
        source: "US limit on lead in household paint (1978); American Institute for Conservation, Hazardous Collections; State Historical Society of Iowa, Hazardous Materials",
        trigger: Trigger::Portrait(has_old_surface),
    },
    Caution {
        id: "C12",
        about: "brittle board",
        text: "Support the whole board from below; never lift by an edge or corner.",
        source: "American Institute for Conservation Wiki, Treatment of Crayon Portraits (2023)",
        trigger: Trigger::Portrait(|portrait| says(&portrait.brittle, &YesNo::Yes)),
    },
    Caution {
        id: "C13",
        about: "writing on things",
        text: "Label the folder, not the picture. If you must write, soft pencil (2B), lightly, on the back near the edge, on a hard surface. No ballpoint, marker, sticky labels or tape.",
        source: "Cornell University Library, preservation brochure; American Library Association, How to Safely Label Photos",
        trigger: Trigger::Act(Act::Label),
    },
    Caution {
        id: "C14",
        about: "negatives and film",
        text: "Old film may be cellulose nitrate, which can burn fiercely. kithbag is for prints. Do not scan; ask an archive or fire authority.",
        source: "from memory; no published source was read",
        trigger: Trigger::Portrait(|portrait| says(&portrait.kind, &PortraitKind::Negative)),
    },
    Caution {
        id: "L1",
        about: "owning is not copyright",
        text: "Owning a portrait does not mean owning its copyright; that starts with the photographer.",
        source: "17 USC 202; The Legal Genealogist (2012)",
        trigger: Trigger::Collection(|_, _| true),
    },
    Caution {
        id: "L2",
        about: "rights",
        text: "kithbag sets out facts and a possible status. It cannot decide the law. Rules differ by country. Ask the archive or a lawyer before publishing or selling.",
        source: "Society of American Archivists, Guide to Implementing Rights Statements (2016)",
        trigger: Trigger::Collection(|collection, _| !collection.rights.is_empty()),
    },
    Caution {
        id: "L3",
        about: "living people",
        text: "This package names people who may be alive. Ask them first, in writing, about each use. Leave out ages, addresses, phone numbers, schools, jobs.",
        source: "National Genealogical Society, Standards for Sharing Information with Others (2000)",
        trigger: Trigger::Collection(|collection, circumstances| {
            let mut people = collection.people.iter();
            people.any(|person| may_be_living(person, circumstances))
        }),
    },
    Caution {
        id: "L4",
        about: "place of the camera",
        text: "This picture holds the place it was taken, often someone’s home to within metres. It is removed from every copy you give away.",
        source: "several public pages on location data in photographs",
        trigger: Trigger::Around(has_place),
    },
    Caution {
        id: "L5",
        about: "gifts to an archive",
        text: "Only the archive’s own signed deed transfers anything. This sheet helps you prepare. Talk to the archive before sending or altering files. Ask about copyright, restrictions and what happens to things they do not keep.",
        source: "Society of American Archivists, A Guide to Deeds of Gift; CLIR Publication 159, Born Digital (2013); Missouri Historical Records Advisory Board, Deed of Gift",
        trigger: Trigger::Collection(|_, circumstances| {
            circumstances.audience == Some(Audience::Archive)
        }),
    },
    Caution {
        id: "L6",
        about: "value and tax",
        text: "The archive cannot value your gift for you. Use an independent appraiser and a tax adviser.",
        source: "University of South Carolina Upstate Archives; Society of American Archivists, ethics",
        trigger: Trigger::Act(Act::AskValue),
    },
    Caution {
        id: "L7",
        about: "children",
        text: "A minor appears. Guardian’s consent needed; default: leave out.",
        source: "Western New York Library Resources Council; common practice",
        trigger: Trigger::Sitter(is_minor),
    },
    Caution {
        id: "L8",
        about: "subjects that ask for care",
        text: "Some images need the consent of a community or family, whatever the copyright. Ask before showing.",
        source: "common practice; no single published source",
        trigger: Trigger::Portrait(is_sensitive),
    },
    Caution {
        id: "L9",
        about: "a name that is not proved",
        text: "This name is not proved. Please copy the words “possibly” or “probably” with it.",
        source: "The Genealogical Proof Standard, as genealogists publish it",
        trigger: Trigger::Around(has_unproved_name),
    },
    Caution {
        id: "L10",
        about: "altered picture",
        text: "This version was changed by hand or by a program. It is an illustration, not evidence. See the untouched scan.",
        source: "Coalition for Responsible AI in Genealogy, statement of 4 November 2025",
        trigger: Trigger::Around(|around| around.scans.iter().any(|scan| scan.is_altered())),
    },
    Caution {
        id: "L11",
        about: "who it belonged to",
        text: "If someone shows the picture was taken from them, stop and talk; keep your purchase record.",
        source: "common practice; no single published source",
        trigger: Trigger::Around(may_be_disputed),
    },
    Caution {
        id: "L12",
        about: "writing to a descendant",
        text: "Write once, kindly; say who you are, what you hold and how you got it; ask for nothing private; accept “no”.",
        source: "public accounts by family historians who were written to (2011, 2018)",
        trigger: Trigger::Act(Act::WriteToHeir),
    },
];
