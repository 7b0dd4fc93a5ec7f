use crate::job::JobPlace;
use crate::source::{SourceText, Span};
use jsonc_parser::ast::{Object, ObjectProp, Value};
use jsonc_parser::common::{Range, Ranged};

/// A place in a job file that is walked along with the values read from it: it knows what to underline and how to
/// name itself.
#[derive(Clone)]
pub(crate) struct At<'a> {
    source: &'a SourceText,
    /// `None`: the field was left out; the place is then that of its owner.
    node: Option<&'a Value<'a>>,
    key: Option<Span>,
    span: Span,
    path: String,
}

fn span(range: Range) -> Span {
    Span::new(range.start, range.end)
}

/// The name of a property, without its quotes.
pub(crate) fn name_of<'a>(property: &'a ObjectProp<'a>) -> &'a str {
    property.name.as_str()
}

impl<'a> At<'a> {
    /// The whole file.
    pub(crate) fn root(source: &'a SourceText, node: &'a Value<'a>) -> Self {
        Self { source, node: Some(node), key: None, span: span(node.range()), path: String::new() }
    }

    /// A field of an object; the object itself if it is not there.
    pub(crate) fn field(&self, name: &str) -> Self {
        let found = self.object().and_then(|o| o.properties.iter().find(|p| name_of(p) == name));
        match found {
            Some(property) => self.property(property),
            None => Self { node: None, path: self.path_of(name), ..self.clone() },
        }
    }

    /// A field of an object, from the property itself.
    pub(crate) fn property(&self, property: &'a ObjectProp<'a>) -> Self {
        Self {
            source: self.source,
            node: Some(&property.value),
            key: Some(span(property.name.range())),
            span: span(property.value.range()),
            path: self.path_of(name_of(property)),
        }
    }

    /// An item of a list; the list itself if it is not there.
    pub(crate) fn item(&self, index: usize) -> Self {
        let path = format!("{}[{index}]", self.path);
        let Some(Value::Array(array)) = self.node else { return Self { path, ..self.clone() } };
        match array.elements.get(index) {
            Some(value) => {
                Self { source: self.source, node: Some(value), key: None, span: span(value.range()), path }
            }
            None => Self { node: None, path, ..self.clone() },
        }
    }

    /// The value.
    pub(crate) fn node(&self) -> Option<&'a Value<'a>> {
        self.node
    }

    /// The value, if it is an object.
    pub(crate) fn object(&self) -> Option<&'a Object<'a>> {
        match self.node {
            Some(Value::Object(object)) => Some(object),
            _ => None,
        }
    }

    /// How the place is called: `tools[2].diameter`; empty for the whole file.
    pub(crate) fn path(&self) -> &str {
        &self.path
    }

    /// The file.
    pub(crate) fn source(&self) -> &'a SourceText {
        self.source
    }

    /// What to underline: the value, or for one that goes over several lines its key, or else its first character.
    pub(crate) fn span(&self) -> Span {
        if self.source.slice(self.span).contains('\n') {
            return self.key.unwrap_or(Span::new(self.span.start, (self.span.start + 1).min(self.span.end)));
        }
        self.span
    }

    /// The key that names the value, or the value where there is none.
    pub(crate) fn key(&self) -> Span {
        self.key.unwrap_or_else(|| self.span())
    }

    /// The same place, with the key underlined in place of the value.
    pub(crate) fn named(&self) -> Self {
        Self { span: self.key(), ..self.clone() }
    }

    /// The place, for findings that come later.
    pub(crate) fn place(&self) -> JobPlace {
        JobPlace { source: self.source.clone(), span: self.span() }
    }

    fn path_of(&self, name: &str) -> String {
        // Names that are not plain words are quoted, so that a path can be read back.
        let plain = !name.is_empty() && name.chars().all(|c| c.is_alphanumeric() || "_$.+-".contains(c));
        let name = if plain { name.to_owned() } else { format!("{name:?}") };
        if self.path.is_empty() { name } else { format!("{}.{name}", self.path) }
    }
}
