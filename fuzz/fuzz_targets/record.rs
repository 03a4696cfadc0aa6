//! Any JSON that claims to be a record, judged and reported.
#![no_main]
use hearsheet::judge::{Context, Rules, judge};
use hearsheet::lexicon::Catalogue;
use hearsheet::record::{About, Record};
use hearsheet::report::{Source, Wording, csv, html};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Ok(mut record) = serde_json::from_slice::<Record>(bytes) else { return };
    let (Ok(rules), Ok(wording)) = (Rules::shipped(), Wording::shipped()) else { return };
    let about = About::new("somewhere", jiff::civil::date(2026, 11, 25));
    let context = Context { today: about.date, ..Context::default() };
    let judged = judge(&record.facts, &record.limits, &rules, &context);
    (record.concerns, record.open) = (judged.concerns, judged.open);
    let catalogue = Catalogue::shipped();
    let source = Source {
        about: &about,
        record: &record,
        decisions: &[],
        rules: &rules,
        wording: &wording,
        catalogue: &catalogue,
        photographs: &[],
        unread: &[],
    };
    let _ = html(&source);
    let _ = csv(&source);
});
