use super::at::name_of;
use super::{At, Reports, nearest};
use crate::job::kinds;
use jsonc_parser::ast::{Object, Value as Node};
use serde_json::Value as Schema;
use std::collections::BTreeSet;

/// Holds a value against a schema and reports every difference: unknown, missing and doubled fields, wrong types,
/// unknown words.
///
/// Understands what the derive of schemas writes for the file types: `$ref`, `anyOf` for "a file name or the thing
/// in place" and for optional things, `oneOf` for words and for objects with one of several names, `properties`,
/// `items`. Whatever it would not understand is found again when the value is read.
pub(crate) fn check_shape(schema: &Schema, at: &At, reports: &mut Reports) {
    Shape { root: schema, reports }.check(schema, at);
}

struct Shape<'a> {
    root: &'a Schema,
    reports: &'a mut Reports,
}

impl<'a> Shape<'a> {
    fn check(&mut self, schema: &'a Schema, at: &At) {
        let Some(node) = at.node() else { return };
        let schema = self.resolve(schema);
        if let Some(choices) = schema.get("anyOf").and_then(Schema::as_array) {
            match choices.iter().find(|c| self.accepts(c, node)) {
                Some(choice) => self.check(choice, at),
                None => self.wrong_type(schema, at),
            }
        } else if !self.accepts(schema, node) {
            self.wrong_type(schema, at);
        } else if let Some(words) = words(schema) {
            self.check_word(&words, at);
        } else if let Some(choices) = schema.get("oneOf").and_then(Schema::as_array) {
            self.check_single(choices, at);
        } else {
            self.check_plain(schema, at);
        }
    }

    fn check_plain(&mut self, schema: &'a Schema, at: &At) {
        match at.node() {
            Some(Node::Object(object)) => self.check_object(schema, object, at),
            Some(Node::Array(array)) => {
                let limit =
                    |name| schema.get(name).and_then(Schema::as_u64).and_then(|n| usize::try_from(n).ok());
                if let Some(wanted) = limit("minItems").or(limit("maxItems"))
                    && wanted != array.elements.len()
                {
                    let message =
                        format!("{} must have {wanted} numbers, not {}", called(at), array.elements.len());
                    let help = if wanted == 3 { "write [x, y, z]" } else { "write two numbers: [a, b]" };
                    self.reports.fault(kinds::WRONG_TYPE, at, message, "", help);
                }
                if let Some(items) = schema.get("items") {
                    for index in 0..array.elements.len() {
                        if self.reports.is_full() {
                            break;
                        }
                        self.check(items, &at.item(index));
                    }
                }
            }
            Some(Node::NumberLit(number)) => self.check_number(schema, number.value, at),
            Some(Node::StringLit(_) | Node::BooleanLit(_) | Node::NullKeyword(_)) | None => {}
        }
    }

    fn check_object(&mut self, schema: &'a Schema, object: &Object, at: &At) {
        let known: Vec<&str> = match schema.get("properties").and_then(Schema::as_object) {
            Some(properties) => properties.keys().map(String::as_str).collect(),
            None => Vec::new(),
        };
        let others = schema.get("additionalProperties");
        let mut seen = BTreeSet::new();
        let mut misspelt = BTreeSet::new();
        for index in 0..object.properties.len() {
            if self.reports.is_full() {
                return;
            }
            let Some(property) = at.object().and_then(|o| o.properties.get(index)) else { continue };
            let name = name_of(property);
            let inside = at.property(property);
            if !seen.insert(name.to_owned()) {
                let message = format!("{} is given twice", called(&inside));
                self.reports.fault_span(
                    kinds::DUPLICATE_FIELD,
                    at.source(),
                    inside.key(),
                    message,
                    "again here",
                    "keep one of the two",
                );
            } else if let Some(inner) = schema.get("properties").and_then(|p| p.get(name)) {
                self.check(inner, &inside);
            } else if let Some(inner) = others.filter(|o| o.is_object()) {
                self.check(inner, &inside);
            } else {
                let meant = nearest(name, known.iter().copied().filter(|k| *k != "$schema"));
                misspelt.extend(meant);
                self.unknown_field(&inside, meant, &known);
            }
        }
        for name in required(schema) {
            if !seen.contains(name) && !misspelt.contains(name) {
                self.missing_field(name, at);
            }
        }
    }

    /// An object with exactly one of several names, such as `{"box": {...}}`.
    fn check_single(&mut self, choices: &'a [Schema], at: &At) {
        let names: Vec<&str> = choices.iter().flat_map(required).collect();
        let Some(object) = at.object() else { return };
        if object.properties.len() != 1 {
            let message = format!("{} must say exactly one of {}", called(at), listed(&names));
            let example = format!("write {{\"{}\": {{...}}}}", names.first().unwrap_or(&"name"));
            self.reports.fault(kinds::WRONG_TYPE, at, message, "", &example);
        }
        for property in &object.properties {
            let name = name_of(property);
            let inside = at.property(property);
            let choice = choices.iter().find(|c| required(c).any(|n| n == name));
            match choice.and_then(|c| c.pointer("/properties")).and_then(|p| p.get(name)) {
                Some(inner) => self.check(inner, &inside),
                None => self.unknown_field(&inside, nearest(name, names.iter().copied()), &names),
            }
        }
    }

    fn check_word(&mut self, words: &[&str], at: &At) {
        let Some(Node::StringLit(text)) = at.node() else { return };
        if words.contains(&text.value.as_ref()) {
            return;
        }
        let message = format!("{} cannot be {:?}", called(at), shortened(&text.value));
        let meant = match (words, text.value.chars().next()) {
            // The unit in full, or in another tongue, begins with the same letter.
            (["inch", "mm"], Some('i' | 'I')) => Some("inch"),
            (["inch", "mm"], Some('m' | 'M')) => Some("mm"),
            _ => nearest(&text.value, words.iter().copied()),
        };
        let beside = meant.map(|m| format!("did you mean \"{m}\"?")).unwrap_or_default();
        let help = format!("write one of {}", listed(words));
        self.reports.fault(kinds::UNKNOWN_CHOICE, at, message, &beside, &help);
    }

    fn check_number(&mut self, schema: &Schema, text: &str, at: &At) {
        let value = text.parse::<f64>().unwrap_or(f64::INFINITY);
        if !value.is_finite() {
            let message = format!("{} is larger than any number can be", called(at));
            self.reports.fault(
                kinds::OUT_OF_RANGE,
                at,
                message,
                "",
                "write a number that a machine could meet",
            );
        } else if types(schema).any(|t| t == "integer") && text.parse::<u32>().is_err() {
            let message =
                format!("{} must be a whole number of 0 or more, not {}", called(at), shortened(text));
            self.reports.fault(kinds::WRONG_TYPE, at, message, "", "write it without a point or a sign");
        }
    }

    fn unknown_field(&mut self, inside: &At, meant: Option<&str>, known: &[&str]) {
        let beside = meant.map(|m| format!("did you mean \"{m}\"?")).unwrap_or_default();
        let known: Vec<&str> = known.iter().copied().filter(|k| *k != "$schema").collect();
        let help = match meant {
            Some(m) => format!("write \"{m}\", or take the field out"),
            None => format!("take it out; fields here are {}", listed(&known)),
        };
        let message = format!("unknown field {}", shortened(inside.path()));
        self.reports.fault_span(kinds::UNKNOWN_FIELD, inside.source(), inside.key(), message, &beside, &help);
    }

    fn missing_field(&mut self, name: &str, at: &At) {
        let owner = if at.path().is_empty() { at.source().name() } else { at.path() };
        let message = format!("{} has no \"{name}\"", shortened(owner));
        let help = match name {
            "units" => "add \"units\": \"inch\" or \"units\": \"mm\"; there is no default".to_owned(),
            "proofcut" => "add \"proofcut\": 1, the version of this file form".to_owned(),
            "workholding" => {
                "add \"workholding\"; [] when nothing stands where a tool could meet it".to_owned()
            }
            _ => format!("add \"{name}\""),
        };
        self.reports.fault(kinds::MISSING_FIELD, at, message, &format!("\"{name}\" belongs here"), &help);
    }

    fn wrong_type(&mut self, schema: &'a Schema, at: &At) {
        let mut wanted: Vec<&str> =
            self.kinds_of(schema).into_iter().filter(|t| *t != "null").map(word).collect();
        wanted.dedup();
        let wanted = wanted.join(" or ");
        let found = at.node().map_or("nothing", |n| word(kind_of(n)));
        let message = format!("{} must be {wanted}, not {found}", called(at));
        let help = match (at.node(), wanted.as_str()) {
            (Some(Node::StringLit(text)), "a number" | "a whole number")
                if text.value.trim().parse::<f64>().is_ok() =>
            {
                "take the quotes away".to_owned()
            }
            _ => match self.words_of(schema) {
                Some(words) => {
                    let or_list = if wanted.contains("a list") { ", or a list in [ ]" } else { "" };
                    format!("write one of {}{or_list}", listed(&words))
                }
                None => format!("write {wanted}"),
            },
        };
        self.reports.fault(kinds::WRONG_TYPE, at, message, "", &help);
    }

    fn resolve(&self, schema: &'a Schema) -> &'a Schema {
        let mut schema = schema;
        // A reference to a reference is rare; a circle of them would be a mistake of ours, so the steps are counted.
        for _ in 0..8 {
            match schema.get("$ref").and_then(Schema::as_str).and_then(|r| r.strip_prefix('#')) {
                Some(path) => schema = self.root.pointer(path).unwrap_or(schema),
                None => break,
            }
        }
        schema
    }

    fn accepts(&self, schema: &'a Schema, node: &Node) -> bool {
        let found = kind_of(node);
        let kinds = self.kinds_of(schema);
        kinds.is_empty() || kinds.iter().any(|k| *k == found || (*k == "integer" && found == "number"))
    }

    /// The words of a schema that permits words.
    fn words_of(&self, schema: &'a Schema) -> Option<Vec<&'a str>> {
        let schema = self.resolve(schema);
        let choices = schema.get("anyOf").and_then(Schema::as_array);
        words(schema).or_else(|| choices?.iter().find_map(|c| self.words_of(c)))
    }

    /// The JSON types that a schema lets pass, as far as it says.
    fn kinds_of(&self, schema: &'a Schema) -> Vec<&'a str> {
        let schema = self.resolve(schema);
        let choices = ["anyOf", "oneOf"].into_iter().find_map(|n| schema.get(n)).and_then(Schema::as_array);
        match choices {
            Some(choices) => choices.iter().flat_map(|c| self.kinds_of(c)).collect(),
            None => types(schema).collect(),
        }
    }
}

fn required(schema: &Schema) -> impl Iterator<Item = &str> {
    schema.get("required").and_then(Schema::as_array).into_iter().flatten().filter_map(Schema::as_str)
}

fn types(schema: &Schema) -> impl Iterator<Item = &str> {
    let one = schema.get("type").and_then(Schema::as_str);
    let many = schema.get("type").and_then(Schema::as_array).into_iter().flatten().filter_map(Schema::as_str);
    one.into_iter().chain(many)
}

fn kind_of(node: &Node) -> &'static str {
    match node {
        Node::StringLit(_) => "string",
        Node::NumberLit(_) => "number",
        Node::BooleanLit(_) => "boolean",
        Node::Object(_) => "object",
        Node::Array(_) => "array",
        Node::NullKeyword(_) => "null",
    }
}

fn word(kind: &str) -> &'static str {
    match kind {
        "string" => "a text in quotes",
        "number" => "a number",
        "integer" => "a whole number",
        "boolean" => "true or false",
        "object" => "an object in { }",
        "array" => "a list in [ ]",
        _ => "null",
    }
}

fn called(at: &At) -> String {
    if at.path().is_empty() { "the file".to_owned() } else { shortened(at.path()) }
}

/// A name that someone wrote may be of any length; a message is not.
fn shortened(text: &str) -> String {
    if text.chars().count() <= 120 {
        return text.to_owned();
    }
    text.chars().take(117).chain("...".chars()).collect()
}

fn listed(names: &[&str]) -> String {
    names.iter().map(|n| format!("\"{n}\"")).collect::<Vec<_>>().join(", ")
}

/// The words that are permitted, for a schema of words.
fn words(schema: &Schema) -> Option<Vec<&str>> {
    if let Some(words) = schema.get("enum").and_then(Schema::as_array) {
        return Some(words.iter().filter_map(Schema::as_str).collect());
    }
    if let Some(word) = schema.get("const").and_then(Schema::as_str) {
        return Some(vec![word]);
    }
    let choices = schema.get("oneOf").and_then(Schema::as_array)?;
    let each = choices.iter().map(words).collect::<Option<Vec<_>>>()?;
    Some(each.into_iter().flatten().collect())
}
