use super::*;
use crate::read::tokenize;
use crate::recognize::Transcript;

fn read(text: &str) -> Vec<Quantity> {
    quantities(&tokenize(&Transcript::from_text(text)))
}

/// Numbers and units of the readings in a text, distractors left out.
fn readings(text: &str) -> Vec<(f64, Option<Unit>)> {
    read(text).into_iter().filter(|q| q.distractor.is_none()).map(|q| (q.value, q.unit)).collect()
}

fn only(text: &str) -> Quantity {
    let found = read(text);
    assert_eq!(found.len(), 1, "{text}: {found:?}");
    found.into_iter().next().unwrap()
}

fn spelled_in(text: &str) -> Vec<String> {
    spelled(&tokenize(&Transcript::from_text(text))).into_iter().map(|s| s.text).collect()
}

// Expected values below are the plain meaning of the words, worked out by hand.

#[test]
fn one_number_and_its_unit_are_read_as_spoken() {
    use Unit::*;
    let cases = [
        ("two hundred and eight volts", 208.0, Volt),
        ("one thirty degrees", 130.0, Degree),
        ("thirty-eight hundred watts", 3800.0, Watt),
        ("hundred eighty litres", 180.0, Litre),
        ("point two five inches", 0.25, Inch),
        ("four point five kilowatts", 4.5, Kilowatt),
        ("five eighths of an inch per foot", 0.625, InchPerFoot),
        ("three and a half inches", 3.5, Inch),
        ("three quarter inch", 0.75, Inch),
        ("an inch and a half", 1.5, Inch),
        ("inch and a quarter", 1.25, Inch),
        ("half an inch", 0.5, Inch),
        ("a quarter inch per foot", 0.25, InchPerFoot),
        ("two foot six", 30.0, Inch),
        ("five feet four inches", 64.0, Inch),
        ("couple of inches", 2.0, Inch),
        ("4,500-watt", 4500.0, Watt),
        ("2-40 volts", 240.0, Volt),
        ("5/8 of an inch per foot", 0.625, InchPerFoot),
        ("80PSI", 80.0, Psi),
        ("sixty eight p s i", 68.0, Psi),
        ("sixty P.S.I.", 60.0, Psi),
        ("#10 copper", 10.0, Gauge),
        ("number ten wire", 10.0, Gauge),
        ("10-2 Romex", 10.0, Gauge),
        ("one ninety nine thousand B T U an hour", 199_000.0, BtuPerHour),
        ("one two zero volts", 120.0, Volt),
        ("two oh eight volts", 208.0, Volt),
        ("minus five degrees Celsius", -5.0, Celsius),
    ];
    for (text, value, unit) in cases {
        let found = only(text);
        assert_eq!((found.value, found.unit), (value, Some(unit)), "{text}");
        assert_eq!(found.distractor, None, "{text}");
    }
}

#[test]
fn numbers_side_by_side_are_not_glued() {
    use Unit::*;
    assert_eq!(readings("forty gallon twenty twenty two"), [(40.0, Some(Gallon)), (2022.0, None)]);
    assert_eq!(readings("thirty amps forty five hundred watts"), [(30.0, Some(Amp)), (4500.0, Some(Watt))]);
    assert_eq!(readings("forty. Five amps"), [(40.0, None), (5.0, Some(Amp))]);
    assert_eq!(readings("forty thousand, fifty gallons"), [(40_000.0, None), (50.0, Some(Gallon))]);
    assert_eq!(readings("two forty gallon tanks"), [(40.0, Some(Gallon))]);
    assert_eq!(readings("one thirty amp breaker"), [(30.0, Some(Amp))]);
    assert_eq!(readings("two three quarter inch lines"), [(0.75, Some(Inch))]);
}

#[test]
fn a_range_keeps_both_ends_and_a_pair_both_voltages() {
    let ranges = [
        ("seventy five to eighty pounds", [75.0, 80.0]),
        ("between 60 and 65", [60.0, 65.0]),
        ("60-65 psi", [60.0, 65.0]),
        ("sixty, sixty five pounds", [60.0, 65.0]),
        ("sixty sixty five pounds", [60.0, 65.0]),
        ("thirty to forty thousand btu", [30_000.0, 40_000.0]),
        ("three four inches", [3.0, 4.0]),
    ];
    for (text, ends) in ranges {
        let found = only(text);
        assert_eq!((found.range, found.value), (Some(ends), ends[1]), "{text}");
    }
    for text in
        ["one twenty over two forty volts", "120/240 volts", "120v/240v", "120-240 volt", "one twenty two forty volts"]
    {
        let found = only(text);
        assert_eq!((found.value, found.other, found.range), (240.0, Some(120.0), None), "{text}");
    }
    assert_eq!(readings("reduced from three quarter to half inch"), [(0.75, None), (0.5, Some(Unit::Inch))]);
}

#[test]
fn years_are_told_from_other_numbers() {
    let years = [
        ("twenty fourteen", 2014),
        ("oh nine", 2009),
        ("two thousand and eleven", 2011),
        ("nineteen ninety eight", 1998),
        ("20-16", 2016),
        ("20 19", 2019),
        ("made in ninety eight", 1998),
        ("two zero one nine", 2019),
        ("March of eleven", 2011),
    ];
    for (text, year) in years {
        assert_eq!(only(text).year, Some(year), "{text}");
    }
    for text in ["two thousand watts", "sixty pounds", "twenty twenty five psi", "ninety eight"] {
        assert!(read(text).iter().all(|q| q.year.is_none()), "{text}");
    }
}

#[test]
fn what_is_no_reading_is_marked_with_its_reason() {
    use Distractor::*;
    let cases = [
        ("forty one Larkspur Lane", StreetNumber),
        ("call five five five oh one nine nine", Phone),
        ("555-1234", Phone),
        ("ten thirty a m", Time),
        ("10:30", Time),
        ("ten minutes late", Duration),
        ("twelve years old", Age),
        ("four hundred dollars", Money),
        ("$400", Money),
        ("three bedrooms", Count),
        ("two car garage", Count),
        ("testing one two three", Count),
        ("third floor", Floor),
        ("the first heater", Order),
        ("March third", Date),
        ("P twenty eight oh one point six", CodeSection),
        ("P2801.6", CodeSection),
        ("unit four oh two", UnitNumber),
        ("circuit fourteen", Label),
        ("schedule forty", Grade),
        ("ninety degree elbow", Angle),
    ];
    for (text, reason) in cases {
        assert_eq!(only(text).distractor, Some(reason), "{text}");
    }
    assert!(read("H E five two D").iter().all(|q| q.distractor == Some(Spelled)));
}

#[test]
fn a_pronoun_and_an_article_are_no_numbers() {
    for text in [
        "this one",
        "neither one's leaking",
        "one of them is new",
        "there is one",
        "a meter",
        "at the low point. Hot",
        "a bar",
    ] {
        assert_eq!(read(text), [], "{text}");
    }
}

#[test]
fn hedges_are_kept() {
    let cases = [
        ("about nine inches", Approx::About),
        ("maybe an inch and a half", Approx::About),
        ("sixty or so pounds", Approx::About),
        ("over eighty", Approx::Over),
        ("at least eighteen inches", Approx::Over),
        ("just under four inches", Approx::Under),
        ("a hundred above, eighteen inches", Approx::Exact),
    ];
    for (text, approx) in cases {
        assert_eq!(read(text).last().unwrap().approx, approx, "{text}");
    }
}

#[test]
fn a_misheard_unit_is_believed_by_half() {
    for text in ["fifty two P S eye", "sixty BSI", "two forty bolts", "a hundred eighteen degrease"] {
        let found = only(text);
        assert!(found.unit.is_some() && found.certainty <= 0.5, "{text}: {found:?}");
    }
    assert_eq!(only("two bolts").unit, None);
}

#[test]
fn model_and_serial_numbers_are_joined_from_their_letters() {
    let cases = [
        ("Model, H E five two D", "HE52D"),
        ("hotel echo five two delta", "HE52D"),
        ("Serial number R one four, double six, two B", "R14662B"),
        ("K seven, triple zero, four M", "K70004M"),
        ("model number BR-5X40", "BR5X40"),
        ("model H-E-5-2-D", "HE52D"),
        ("model HE52D", "HE52D"),
        ("serial R14-66-2B", "R14662B"),
        ("Serial number R14 662B year 2016", "R14662B"),
        ("model V forty E, thirty amp breaker", "V40E"),
        ("serial one two oh seven X ray yankee", "1207XY"),
        ("serial A 1 2 B dash 4 4 5", "A12B-445"),
        ("serial number is nineteen forty four B as in boy, nine nine", "1944B99"),
        ("serial four four zero Q N seven, N like November", "440QN7"),
        ("serial four four zero Q N seven, K like kilo", "440QN7K"),
        ("s n one one four five", "1145"),
        ("five, five, charlie, zero, zero, one, two, eight", "55C00128"),
    ];
    for (text, joined) in cases {
        assert_eq!(spelled_in(text), [joined], "{text}");
    }
    for text in [
        "sixty p s i",
        "one twenty two forty volts",
        "T and P valve",
        "C P V C",
        "P twenty eight oh one point six",
        "three quarter P V C",
    ] {
        assert_eq!(spelled_in(text), [""; 0], "{text}");
    }
}
