use super::file::{DrawingFile, JobFile, MachineFile, ToolsFile};
use schemars::{JsonSchema, schema_for};
use serde_json::Value;
use std::sync::LazyLock;

/// The JSON Schema of each file of a job, by its file name: `job.schema.json` and so on, as committed under
/// `fixtures/schema`.
///
/// ```
/// let names: Vec<_> = proofcut_core::job::schemas().into_iter().map(|(name, _)| name).collect();
/// assert_eq!(names, ["job.schema.json", "machine.schema.json", "tools.schema.json", "drawing.schema.json"]);
/// ```
pub fn schemas() -> Vec<(&'static str, String)> {
    [
        ("job.schema.json", job()),
        ("machine.schema.json", machine()),
        ("tools.schema.json", tools()),
        ("drawing.schema.json", drawing()),
    ]
    .into_iter()
    .map(|(name, schema)| (name, format!("{schema:#}\n")))
    .collect()
}

pub(crate) fn job() -> &'static Value {
    static SCHEMA: LazyLock<Value> = LazyLock::new(schema_of::<JobFile>);
    &SCHEMA
}

pub(crate) fn machine() -> &'static Value {
    static SCHEMA: LazyLock<Value> = LazyLock::new(|| with_units(schema_of::<MachineFile>()));
    &SCHEMA
}

pub(crate) fn tools() -> &'static Value {
    static SCHEMA: LazyLock<Value> = LazyLock::new(|| with_units(schema_of::<ToolsFile>()));
    &SCHEMA
}

pub(crate) fn drawing() -> &'static Value {
    static SCHEMA: LazyLock<Value> = LazyLock::new(|| with_units(schema_of::<DrawingFile>()));
    &SCHEMA
}

fn schema_of<T: JsonSchema>() -> Value {
    schema_for!(T).to_value()
}

/// A file of its own must say its units; in place inside a job file they may be left out.
fn with_units(mut schema: Value) -> Value {
    if let Some(required) = schema.get_mut("required").and_then(Value::as_array_mut) {
        required.insert(0, Value::from("units"));
    }
    // What is required may not be null.
    if let Some(units) = schema.pointer_mut("/properties/units").and_then(Value::as_object_mut) {
        units.remove("anyOf");
        units.insert("$ref".to_owned(), Value::from("#/$defs/Unit"));
    }
    schema
}
