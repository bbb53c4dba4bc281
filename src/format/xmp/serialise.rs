//! Writes properties as RDF/XML in the plain element form, which even weak readers understand. [ISO 16684-1 7]

use super::value::Item;
use super::value::Property;
use super::value::Value;
use super::vocabulary::Name;
use super::vocabulary::Namespace;
use super::vocabulary::RDF;
use super::vocabulary::WRITTEN;
use super::vocabulary::XML;

/// Returns one `rdf:Description` with these properties. Its namespaces are declared on it, except those already in scope.
pub(super) fn description(about: &str, properties: &[Property], in_scope: &[Namespace]) -> String {
    let mut inside = String::new();
    for property in properties {
        write_property(property, 3, &mut inside);
    }
    let declared = declarations(properties.iter().map(Used::Property), in_scope);
    format!(
        "<rdf:Description rdf:about=\"{}\"{declared}>{inside}\n  </rdf:Description>",
        escape_attribute(about)
    )
}

/// Returns one `rdf:li`, with the namespaces that are not in scope declared on it.
pub(super) fn item(item: &Item, in_scope: &[Namespace]) -> String {
    let mut out = String::new();
    let declared = declarations(std::iter::once(Used::Value(&item.value)), in_scope);
    write_item(item, &declared, 5, &mut out);
    out
}

/// Returns the XML of a text. Carriage returns are written as references, because readers turn them into line feeds.
pub(super) fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for one in text.chars() {
        match one {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '\r' => out.push_str("&#xD;"),
            _ => out.push(one),
        }
    }
    out
}

fn escape_attribute(text: &str) -> String {
    escape(text)
        .replace('"', "&quot;")
        .replace('\n', "&#xA;")
        .replace('\t', "&#x9;")
}

fn write_property(property: &Property, depth: usize, out: &mut String) {
    let name = property.name.qualified();
    new_line(depth, out);
    write_value(&name, "", &property.value, depth, out);
}

fn write_item(item: &Item, declared: &str, depth: usize, out: &mut String) {
    let language = item.language.as_ref().map_or_else(String::new, |language| {
        format!(" xml:lang=\"{}\"", escape_attribute(language))
    });
    write_value(
        "rdf:li",
        &(declared.to_owned() + &language),
        &item.value,
        depth,
        out,
    );
}

/// Writes an element of this name and its content; `attributes` begins with a blank or is empty.
fn write_value(name: &str, attributes: &str, value: &Value, depth: usize, out: &mut String) {
    match value {
        Value::Text(text) => {
            out.push_str(&format!("<{name}{attributes}>{}</{name}>", escape(text)));
        }
        Value::Structure(fields) => {
            out.push_str(&format!("<{name}{attributes} rdf:parseType=\"Resource\">"));
            for field in fields {
                write_property(field, depth.saturating_add(1), out);
            }
            new_line(depth, out);
            out.push_str(&format!("</{name}>"));
        }
        Value::Array(kind, items) => {
            out.push_str(&format!("<{name}{attributes}>"));
            new_line(depth.saturating_add(1), out);
            out.push_str(&format!("<rdf:{}>", kind.name()));
            for one in items {
                new_line(depth.saturating_add(2), out);
                write_item(one, "", depth.saturating_add(2), out);
            }
            new_line(depth.saturating_add(1), out);
            out.push_str(&format!("</rdf:{}>", kind.name()));
            new_line(depth, out);
            out.push_str(&format!("</{name}>"));
        }
    }
}

fn new_line(depth: usize, out: &mut String) {
    out.push('\n');
    out.extend(std::iter::repeat_n(' ', depth));
}

enum Used<'a> {
    Property(&'a Property),
    Value(&'a Value),
}

fn declarations<'a>(used: impl Iterator<Item = Used<'a>>, in_scope: &[Namespace]) -> String {
    let mut names: Vec<&Name> = Vec::new();
    for one in used {
        match one {
            Used::Property(property) => {
                names.push(&property.name);
                collect_names(&property.value, &mut names);
            }
            Used::Value(value) => collect_names(value, &mut names),
        }
    }
    let is_used =
        |namespace: &Namespace| *namespace == RDF || names.iter().any(|name| namespace.owns(name));
    WRITTEN
        .iter()
        .filter(|namespace| {
            **namespace != XML && !in_scope.contains(namespace) && is_used(namespace)
        })
        .map(|namespace| format!("\n    xmlns:{}=\"{}\"", namespace.prefix, namespace.uri))
        .collect()
}

fn collect_names<'a>(value: &'a Value, names: &mut Vec<&'a Name>) {
    match value {
        Value::Text(_) => {}
        Value::Array(_, items) => items
            .iter()
            .for_each(|item| collect_names(&item.value, names)),
        Value::Structure(fields) => fields.iter().for_each(|field| {
            names.push(&field.name);
            collect_names(&field.value, names);
        }),
    }
}
