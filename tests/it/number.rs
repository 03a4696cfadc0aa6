//! Spoken numbers against num2words, conversions against pint, and any text at all.
use hearsheet::read::number::{self, Dimension, Unit};
use hearsheet::read::tokenize;
use hearsheet::recognize::Transcript;
use proptest::prelude::*;
use sha2::{Digest, Sha256};

/// The words of num2words for 0 to 999, and its checksum over 0 to 99,999 (tests/tables/number_words.py).
fn small_words() -> (String, Vec<&'static str>) {
    let mut lines = include_str!("../tables/number_words.tsv").lines();
    let sum = lines.next().unwrap().split('\t').nth(1).unwrap().to_owned();
    (sum, lines.map(|line| line.split('\t').nth(1).unwrap()).collect())
}

/// A number in words, put together as num2words does.
fn words(number: usize, small: &[&str]) -> String {
    let rest = number % 1000;
    match number / 1000 {
        0 => small[rest].to_owned(),
        thousands if rest == 0 => format!("{} thousand", small[thousands]),
        thousands if rest < 100 => format!("{} thousand and {}", small[thousands], small[rest]),
        thousands => format!("{} thousand, {}", small[thousands], small[rest]),
    }
}

fn values(text: &str) -> Vec<f64> {
    number::quantities(&tokenize(&Transcript::from_text(text))).into_iter().map(|q| q.value).collect()
}

#[test]
fn every_integer_to_99_999_in_the_words_of_num2words_comes_back() {
    let (sum, small) = small_words();
    let mut all = Sha256::new();
    for number in 0..100_000 {
        let said = words(number, &small);
        all.update(format!("{said}\n"));
        let mut forms = vec![said.clone()];
        // Other ways of writing them, for a seventh and for all below 3,000.
        if number < 3000 || number % 7 == 0 {
            forms.extend([said.replace(" and ", " "), said.replace('-', " ")]);
            forms.push(said.replace(" and ", " ").replace(['-', ','], " "));
        }
        for form in forms {
            assert_eq!(values(&form), [number as f64], "{form}");
        }
    }
    let hex: String = all.finalize().iter().map(|byte| format!("{byte:02x}")).collect();
    assert_eq!(hex, sum, "the words put together here are those of num2words");
}

#[test]
fn conversions_equal_those_of_pint() {
    let table = include_str!("../tables/conversion.tsv");
    for line in table.lines().skip(1) {
        let cells: Vec<&str> = line.split('\t').collect();
        let unit = Unit::ALL.iter().find(|u| u.ucum() == cells[0]).unwrap();
        let (value, expected): (f64, f64) = (cells[1].parse().unwrap(), cells[3].parse().unwrap());
        let converted = number::convert(value, *unit, cells[2]).unwrap();
        // uom keeps seven digits of a factor.
        assert!((converted - expected).abs() <= 1e-6 * expected.abs().max(1.0), "{line}: {converted}");
    }
}

/// Words that numbers are made of, among others and among signs.
fn chatter() -> impl Strategy<Value = String> {
    const WORDS: &[&str] = &[
        "one",
        "two",
        "oh",
        "ten",
        "twenty",
        "forty-five",
        "hundred",
        "thousand",
        "and",
        "a",
        "an",
        "half",
        "quarter",
        "eighths",
        "point",
        "to",
        "over",
        "p",
        "s",
        "i",
        "volts",
        "amp",
        "inch",
        "foot",
        "per",
        "3/4\"",
        "120/240",
        "20-16",
        "4,500",
        "$5",
        "5'4\"",
        "double",
        "model",
        "dash",
        "K",
        "hotel",
        "um",
        ".",
        ",",
        "½",
        "1.5.2",
        "#10",
        "couple",
        "of",
        "dozen",
        "second",
        "third",
        "80psi",
        "two,",
        "six.",
        "–",
        "minus",
        "by",
        "x",
        "between",
        "10:30",
        "İ5",
        "ß",
        "１２",
    ];
    proptest::collection::vec(proptest::sample::select(WORDS), 0..40).prop_map(|words| words.join(" "))
}

fn holds_together(text: &str) -> Result<(), TestCaseError> {
    let tokens = tokenize(&Transcript::from_text(text));
    let mut end = 0;
    for quantity in number::quantities(&tokens) {
        prop_assert!(quantity.span.start < quantity.span.end && quantity.span.end <= tokens.len());
        prop_assert!(quantity.span.start <= quantity.number.start && quantity.number.end <= quantity.span.end);
        prop_assert!(quantity.value.is_finite() && (0.0..=1.0).contains(&quantity.certainty));
        prop_assert!(quantity.range.is_none_or(|[low, high]| low < high));
        // Two quantities may share a token that holds both ("2x4"), never more.
        prop_assert!(quantity.span.end > end || quantity.span.start + 1 >= end);
        end = quantity.span.end;
    }
    let mut end = 0;
    for run in number::spelled(&tokens) {
        prop_assert!(
            run.span.start < run.span.end
                && run.span.end <= tokens.len()
                && run.span.start >= end
                && !run.text.is_empty()
        );
        end = run.span.end;
    }
    let chars: Vec<char> = text.chars().collect();
    for found in number::find(text) {
        let part: String = chars[found.span[0]..found.span[1]].iter().collect();
        prop_assert_eq!(part, found.text);
    }
    Ok(())
}

proptest! {
    #[test]
    fn any_text_is_read_without_panic_and_spans_lie_inside_it(text in "\\PC{0,200}") {
        holds_together(&text)?;
    }

    #[test]
    fn any_run_of_number_words_is_read_without_panic(text in chatter()) {
        holds_together(&text)?;
    }
}

/// The dimensions of what a unit measures; none where units of many kinds share the class.
fn dimensions(of: Dimension) -> Option<&'static str> {
    Some(match of {
        Dimension::Volume => "length^3",
        Dimension::Power => "length^2 mass^1 time^-3",
        Dimension::Voltage => "current^-1 length^2 mass^1 time^-3",
        Dimension::Current => "current^1",
        Dimension::Resistance => "current^-2 length^2 mass^1 time^-3",
        Dimension::Pressure => "length^-1 mass^1 time^-2",
        Dimension::Length => "length^1",
        Dimension::Mass => "mass^1",
        Dimension::Time => "time^1",
        Dimension::Area => "length^2",
        Dimension::Speed => "length^1 time^-1",
        Dimension::Flow => "length^3 time^-1",
        Dimension::Energy => "length^2 mass^1 time^-2",
        Dimension::Frequency => "time^-1",
        Dimension::Slope | Dimension::Ratio | Dimension::Angle => "",
        Dimension::Gauge | Dimension::Money => "annotation",
        Dimension::Temperature | Dimension::Other => return None,
    })
}

#[test]
fn every_code_is_ucum_and_measures_what_its_unit_does() {
    let table: Vec<(&str, &str)> =
        include_str!("../tables/ucum.tsv").lines().skip(1).filter_map(|line| line.split_once('\t')).collect();
    // The four codes with cubic feet and yards that ucumvert misreads; UCUM table 9 lists both.
    let misread = Unit::ALL.iter().filter(|u| u.ucum().starts_with("[cft_i]") || u.ucum() == "[cyd_i]").count();
    assert_eq!((table.len(), misread), (Unit::ALL.len() - misread, 4));
    for unit in Unit::ALL {
        let Some((_, measured)) = table.iter().find(|(code, _)| *code == unit.ucum()) else { continue };
        if let Some(expected) = dimensions(unit.dimension()) {
            assert_eq!(*measured, expected, "{unit:?}");
        }
    }
}
