//! The sheet "People".

use super::sheet;
use crate::record::Person;

sheet! {
    Person, "People", "people.csv",
    "One row for each person who is, or might be, somebody in a portrait.";
    "Person no." / "Person number", required, 12, number, "A short number of your own for the person, for example P-01.";
    "Name as best known" / "Name", required, 26, name, "The name as best known.";
    "Other names", optional, 24, other_names, "Other names and spellings, with “ ; ” between them.";
    "Born" / "Born when", optional, 16, born, "When they were born, for example 1831 or about 1850.";
    "Born at" / "Born where", optional, 20, born_at, "Where they were born.";
    "Died" / "Died when", optional, 16, died, "When they died.";
    "Died at" / "Died where", optional, 20, died_at, "Where they died.";
    "Living?", optional, 10, living, "Whether they live, from the list; leave it empty if nobody has looked.";
    "Married", optional, 24, married, "Whom they married and when.";
    "Parents", optional, 24, parents, "Their parents.";
    "Where we looked", optional, 30, where_we_looked, "Where you looked, when, and what you found or did not find.";
    "Consent on file?" / "Consent", optional, 24, consent, "What a living person agreed to, and when.";
    "Show to", optional, 12, show_to, "How far the person may be shown, from the list.";
}
