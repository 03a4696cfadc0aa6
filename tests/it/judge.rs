//! Judging whole records: labelled dictations, the command, and the page of the rules.
use hearsheet::judge::{Context, Rules, judge};
use hearsheet::record::{Fact, Limit, OpenKind};
use std::collections::BTreeSet;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

/// A dictation with what a careful person hears in it.
#[derive(serde::Deserialize)]
struct Labelled {
    facts: Vec<Fact>,
    limits: Vec<Limit>,
    concerns: Vec<String>,
    open: Vec<String>,
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn sorted(mut list: Vec<String>) -> Vec<String> {
    list.sort();
    list
}

#[test]
fn every_labelled_dictation_has_exactly_its_concerns_and_conditional_questions() {
    let rules = Rules::shipped().unwrap();
    // The labels count ages to 2026.
    let context = Context { today: jiff::civil::date(2026, 6, 1), ..Context::default() };
    let mut count = 0;
    for entry in std::fs::read_dir(root().join("tests/dictations")).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|extension| extension != "json") {
            continue;
        }
        let labelled: Labelled = serde_json::from_str(&std::fs::read_to_string(&path).unwrap()).unwrap();
        let judgement = judge(&labelled.facts, &labelled.limits, &rules, &context);
        let drawn = judgement.concerns.len();
        let each: BTreeSet<_> = judgement.concerns.into_iter().map(|concern| (concern.item, concern.rule)).collect();
        assert_eq!(each.len(), drawn, "a concern is drawn once a heater, in {}", path.display());
        // The labels of a note with two heaters are of both together.
        let concerns = each.into_iter().map(|(_, rule)| rule).collect::<BTreeSet<_>>().into_iter().collect();
        // Expected: the labels that a person wrote beside the words.
        assert_eq!(sorted(concerns), sorted(labelled.concerns), "concerns of {}", path.display());
        let open = judgement.open.into_iter().filter(|question| question.kind == OpenKind::Conditional);
        let open = open.map(|question| format!("{}.{}", question.component, question.attribute)).collect();
        assert_eq!(sorted(open), sorted(labelled.open), "open questions of {}", path.display());
        count += 1;
    }
    assert!(count > 0, "tests/dictations holds labelled dictations");
}

#[test]
fn the_page_of_rules_is_what_the_rules_say() {
    let path = root().join("docs/rules.md");
    let page = Rules::shipped().unwrap().page();
    if std::env::var_os("UPDATE_DOCS").is_some() {
        std::fs::write(&path, &page).unwrap();
    }
    let written = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(written == page, "docs/rules.md is behind: UPDATE_DOCS=1 cargo test --test it page_of_rules");
}

/// The office's file that the page shows, with its examples.
#[test]
fn the_example_of_an_office_on_the_page_of_rules_is_accepted() {
    let page = Rules::shipped().unwrap().page();
    let example = page.split("```toml\n").nth(1).and_then(|rest| rest.split("```").next()).unwrap();
    let file = tempfile::NamedTempFile::new().unwrap();
    std::fs::write(file.path(), example).unwrap();
    let out = run(&["-", "--rules", &file.path().to_string_lossy(), "--standard", "our-town", "--json"], PRESSURE_78);
    // The example lowers the limit to 75 psi.
    assert!(String::from_utf8_lossy(&out.stdout).contains("pressure-high"), "{out:?}");
}

const PRESSURE_78: &str =
    r#"{"facts":[{"component":"water-system","attribute":"static-pressure","value":78,"unit":"psi"}]}"#;

fn run(args: &[&str], input: &str) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_hearsheet"));
    command.arg("judge").args(args).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().unwrap();
    // A program that refused its arguments may be gone before it reads.
    let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
    child.wait_with_output().unwrap()
}

#[test]
fn the_command_prints_concerns_and_open_questions_and_exits_1_while_any_is_open() {
    let out = run(&["-", "--json"], PRESSURE_78);
    let json: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    assert_eq!(json["concerns"].as_array().unwrap().len(), 0, "78 psi is under the limit of 80");
    let open = json["open"].as_array().unwrap();
    assert!(open.iter().any(|q| q["component"] == "drain-pan" && q["kind"] == "unsaid"), "{open:?}");
    assert_eq!(out.status.code(), Some(1));
}

#[test]
fn a_record_that_lacks_nothing_exits_0() {
    // Everything that the catalogue asks of a tankless heater with no gas: only what is asked of all.
    let said = [
        ("water-heater", "energy", "oil"),
        ("water-heater", "style", "tankless"),
        ("water-heater", "brand", "Halvorsen"),
        ("water-heater", "place", "basement"),
        ("casing", "corrosion", "none"),
        ("casing", "leak", "none-seen"),
        ("drain-pan", "presence", "absent"),
        ("surround", "finish", "unfinished"),
        ("expansion-tank", "presence", "present"),
        ("water-system", "loop", "closed"),
    ];
    let fact = |(component, attribute, value): (&str, &str, &str)| serde_json::json!({"component": component, "attribute": attribute, "value": value});
    let mut facts: Vec<_> = said.into_iter().map(fact).collect();
    facts.push(serde_json::json!({"component": "water-heater", "attribute": "made-year", "value": 2024}));
    facts.push(
        serde_json::json!({"component": "water-system", "attribute": "static-pressure", "value": 60, "unit": "psi"}),
    );
    let out = run(&["-", "--today", "2026-01-01"], &serde_json::json!({"facts": facts}).to_string());
    assert_eq!(out.status.code(), Some(0), "{}", String::from_utf8_lossy(&out.stdout));
}

#[test]
fn a_file_that_is_no_record_names_itself_and_what_was_expected() {
    let missing = run(&["no-such-file.json"], "");
    assert_eq!(missing.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&missing.stderr).contains("no-such-file.json"));
    let wrong = run(&["-"], r#"{"fact": []}"#);
    assert_eq!(wrong.status.code(), Some(2));
    let said = String::from_utf8_lossy(&wrong.stderr).into_owned();
    assert!(said.contains("`facts`") && said.contains("component"), "{said}");
}

#[test]
fn a_standard_that_nobody_defined_is_refused_with_the_known_ones() {
    let out = run(&["-", "--standard", "irc-1999"], PRESSURE_78);
    assert_eq!(out.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&out.stderr).contains("irc-2021, upc-2021"));
}

#[test]
fn an_offices_broken_file_is_named_with_the_place_and_the_cure() {
    let file = tempfile::NamedTempFile::new().unwrap();
    std::fs::write(file.path(), "drop = [\"no-such-rule\"]").unwrap();
    let out = run(&["-", "--rules", &file.path().to_string_lossy()], PRESSURE_78);
    assert_eq!(out.status.code(), Some(2));
    let said = String::from_utf8_lossy(&out.stderr).into_owned();
    assert!(said.contains("no-such-rule") && said.contains(&*name(file.path())), "{said}");
}

#[test]
fn what_can_hurt_is_told_on_screen_with_its_caution() {
    let mut child = Command::new(env!("CARGO_BIN_EXE_hearsheet"))
        .args(["read", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(b"There is a gas leak at the union. There is no relief valve.").unwrap();
    let page = String::from_utf8(child.wait_with_output().unwrap().stdout).unwrap();
    for words in ["leave at once", "from outside", "Do not lift the lever", "Local codes", "licensed trades"] {
        assert!(page.contains(words), "{words}: {page}");
    }
}

#[test]
fn a_visit_goes_by_the_rules_of_its_office() {
    let folder = tempfile::tempdir().unwrap();
    let page = Rules::shipped().unwrap().page();
    let example = page.split("```toml\n").nth(1).and_then(|rest| rest.split("```").next()).unwrap();
    std::fs::write(folder.path().join("office.toml"), example).unwrap();
    std::fs::write(folder.path().join("note.txt"), "The static pressure is seventy eight psi at the hose bib.")
        .unwrap();
    let hearsheet = |words: &str| {
        let words: Vec<&str> = words.split_whitespace().collect();
        Command::new(env!("CARGO_BIN_EXE_hearsheet")).args(words).current_dir(folder.path()).output().unwrap()
    };
    let refused = hearsheet("visit new v --standard our-town");
    assert_eq!(refused.status.code(), Some(2), "nobody defined it yet");
    let made = hearsheet("visit new v --standard our-town --rules office.toml --date 2026-03-14");
    assert_eq!(made.status.code(), Some(0), "{made:?}");
    // The visit holds its own copy: the office's file may go.
    std::fs::remove_file(folder.path().join("office.toml")).unwrap();
    hearsheet("visit add v note.txt");
    let drafted = hearsheet("draft v --json");
    // The example lowers the limit to 75 psi.
    assert!(String::from_utf8_lossy(&drafted.stdout).contains("pressure-high"), "{drafted:?}");
}

fn name(path: &Path) -> String {
    path.file_name().unwrap().to_string_lossy().into_owned()
}
