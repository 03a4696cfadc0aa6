//! How long it takes to list ten thousand visits; the aim is under two seconds on two cores.
#![allow(clippy::unwrap_used, reason = "a bench that cannot go on has failed")]
use hearsheet::confirm::queue;
use hearsheet::record::{About, Evidence, Fact, OpenKind, OpenQuestion, RECORD_VERSION, Record, Value, Visit};

const VISITS: usize = 10_000;
/// About as many facts as a thorough dictation gives.
const FACTS: usize = 35;

fn main() {
    divan::main();
}

/// A record as a dictation gives it; invented.
fn record(number: usize) -> Record {
    let fact = |at: usize| {
        let evidence = Evidence {
            note: "garage.wav".into(),
            start_ms: Some(1000 * at as u64),
            end_ms: Some(1000 * at as u64 + 900),
            words: "static pressure sixty one at the hose bib".into(),
            span: [8 * at, 8 * at + 8],
            rule: "static-pressure".into(),
        };
        let confidence = 0.5 + ((number + at) % 50) as f64 / 100.0;
        let value = if at.is_multiple_of(4) { Value::Number(at as f64) } else { Value::Text("present".into()) };
        Fact { confidence, evidence: vec![evidence], ..Fact::new("water-system", "static-pressure", value) }
    };
    let open = OpenQuestion {
        component: "expansion-valve".into(),
        attribute: "presence".into(),
        item: 1,
        kind: OpenKind::Conditional,
        why: "Expansion valve anywhere in the house?".into(),
    };
    Record { version: RECORD_VERSION, facts: (0..FACTS).map(fact).collect(), open: vec![open], ..Record::default() }
}

#[divan::bench(sample_count = 5, sample_size = 1)]
fn ten_thousand_visits(bencher: divan::Bencher) {
    let root = tempfile::tempdir().unwrap();
    let model =
        Visit::create(&root.path().join("model"), About::new("41 Larkspur Lane", "2026-03-14".parse().unwrap()));
    let model = model.unwrap().root().join("visit.toml");
    // Written without waiting for the disk each time: what is measured is the listing.
    for number in 1..VISITS {
        let path = root.path().join(format!("{:02}/visit-{number}", number % 100));
        std::fs::create_dir_all(&path).unwrap();
        std::fs::copy(&model, path.join("visit.toml")).unwrap();
        std::fs::write(path.join("record.json"), serde_json::to_string_pretty(&record(number)).unwrap()).unwrap();
    }
    let today = "2026-03-20".parse().unwrap();
    bencher.bench_local(|| assert_eq!(queue(root.path(), today).unwrap().len(), VISITS));
}
