//! The forms that settings take, each a small schema.

use serde_json::{Map, Value as Json, json};

/// A whole file: a table with a title, the version of the schema language, and what it refers to.
pub(super) fn file(title: &str, table: Table, definitions: Option<Json>) -> Json {
    let mut schema = table.done();
    if let Some(definitions) = definitions {
        schema["definitions"] = definitions;
    }
    schema["$schema"] = json!("http://json-schema.org/draft-07/schema#");
    schema["title"] = json!(title);
    schema
}

/// A table that holds its own keys and no others.
pub(super) struct Table {
    about: String,
    required: Vec<String>,
    properties: Map<String, Json>,
}

impl Table {
    pub(super) fn new(about: &str) -> Self {
        Self { about: about.to_owned(), required: Vec::new(), properties: Map::new() }
    }

    /// With a setting that may be left out.
    pub(super) fn may(mut self, key: &str, about: &str, mut form: Json) -> Self {
        if !about.is_empty() {
            form["description"] = json!(about);
        }
        self.properties.insert(key.to_owned(), form);
        self
    }

    /// With a setting that must be there.
    pub(super) fn must(mut self, key: &str, about: &str, form: Json) -> Self {
        self.required.push(key.to_owned());
        self.may(key, about, form)
    }

    pub(super) fn done(self) -> Json {
        let mut schema = json!({
            "type": "object",
            "description": self.about,
            "properties": self.properties,
            "additionalProperties": false,
        });
        if !self.required.is_empty() {
            schema["required"] = json!(self.required);
        }
        schema
    }
}

/// A table whose keys are the file's own.
pub(super) fn names_of(form: &Json) -> Json {
    json!({ "type": "object", "additionalProperties": form })
}

pub(super) fn list(form: &Json) -> Json {
    json!({ "type": "array", "items": form })
}

/// One, or a list of them.
pub(super) fn one_or_list(form: &Json) -> Json {
    json!({ "anyOf": [form, list(form)] })
}

pub(super) fn text() -> Json {
    json!({ "type": "string" })
}

/// A text that says something.
pub(super) fn words() -> Json {
    json!({ "type": "string", "pattern": r"\S" })
}

/// One of these words.
pub(super) fn word<'w>(words: impl IntoIterator<Item = &'w str>) -> Json {
    let words: Vec<&str> = words.into_iter().collect();
    json!({ "enum": words })
}

pub(super) fn count(least: u32) -> Json {
    json!({ "type": "integer", "minimum": least, "maximum": u32::MAX })
}
