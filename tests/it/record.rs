//! The record's schema, and records held against it.
use std::path::PathBuf;

fn schema() -> serde_json::Value {
    hearsheet::record::schema()
}

#[test]
fn the_schema_in_the_documents_is_that_of_the_types() {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("docs/record.schema.json");
    let text = serde_json::to_string_pretty(&schema()).unwrap() + "\n";
    if std::env::var_os("UPDATE_DOCS").is_some() {
        std::fs::write(&path, &text).unwrap();
    }
    let written = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(written == text, "docs/record.schema.json is behind: UPDATE_DOCS=1 cargo test --test it schema");
}

#[test]
fn what_the_program_prints_keeps_to_the_schema() {
    let visit = super::visit::Visit::new();
    visit.add_text("a.txt", "Fifty gallon electric, no pan. New heater. Leak at the base. Nice dog.");
    visit.run(&["draft", "v"]);
    visit.run(&["confirm", "v", "--set", "casing.leak=past", "--set", "2/water-system.static-pressure=61"]);
    let read = visit.run(&["read", "a.txt", "--json"]);
    let drafted = visit.run(&["draft", "v", "--json"]);
    let validator = jsonschema::validator_for(&schema()).unwrap();
    for printed in [read.stdout, drafted.stdout] {
        let record: serde_json::Value = serde_json::from_slice(&printed).unwrap();
        let wrong: Vec<String> = validator.iter_errors(&record).map(|e| e.to_string()).collect();
        assert_eq!(wrong, [""; 0]);
    }
}

#[test]
fn the_schema_refuses_what_is_no_record() {
    let validator = jsonschema::validator_for(&schema()).unwrap();
    for wrong in ["{}", r#"{"version": "one"}"#, r#"{"version":1,"facts":[{"component":1}]}"#] {
        assert!(!validator.is_valid(&serde_json::from_str(wrong).unwrap()), "{wrong} must not pass");
    }
}
