use super::*;

/// Made by `tests/tables/word_error.py` with jiwer and whisper-normalizer.
const NORMAL: &str = include_str!("../../../tests/tables/normal.tsv");
const ERRORS: &str = include_str!("../../../tests/tables/word_error.tsv");

#[test]
fn texts_come_out_as_whisper_normalizer_writes_them() {
    let mut wrong = Vec::new();
    let mut rows = 0;
    for line in NORMAL.lines() {
        let (text, expected) = line.split_once('\t').unwrap();
        rows += 1;
        if normalize(text) != expected {
            wrong.push(format!("{text}: {} for {expected}", normalize(text)));
        }
    }
    assert!(wrong.is_empty(), "{} of {rows}:\n{}", wrong.len(), wrong.join("\n"));
    assert!(rows > 200, "the table has {rows} rows");
}

#[test]
fn errors_are_counted_as_jiwer_counts_them() {
    let mut rows = 0;
    for line in ERRORS.lines() {
        let cells: Vec<&str> = line.split('\t').collect();
        let found = word_errors(cells[0], cells[1]);
        assert_eq!((found.errors, found.words), (cells[2].parse().unwrap(), cells[3].parse().unwrap()), "{line}");
        rows += 1;
    }
    assert!(rows > 20, "the table has {rows} rows");
}

#[test]
fn nothing_spoken_and_something_heard_is_an_error_without_a_rate() {
    assert_eq!(word_errors("", "thank you"), WordErrors { errors: 2, words: 0 });
    assert_eq!(word_errors("", "thank you").rate(), 0.0);
}
