//! The JSON Schema of the record, made from its types.
use super::Record;

/// The schema of `record.json` and of what `--json` prints.
pub fn schema() -> serde_json::Value {
    let mut schema = schemars::schema_for!(Record).to_value();
    if let Some(object) = schema.as_object_mut() {
        object.insert("title".into(), "hearsheet record, version 1".into());
    }
    schema
}
