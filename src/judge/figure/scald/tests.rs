use super::*;

fn at(fahrenheit: f64) -> Vec<(String, f64)> {
    let found = burns(ThermodynamicTemperature::new::<degree_fahrenheit>(fahrenheit)).unwrap();
    found.into_iter().map(|burn| (burn.series, burn.seconds)).collect()
}

#[test]
fn every_line_of_the_table_is_read() {
    assert_eq!(table().len(), TABLE.trim().lines().count() - 1);
    assert_eq!(table().len(), 17, "four, eight and five rows");
}

#[test]
fn at_140_degrees_each_table_keeps_its_own_time() {
    // CPSC document 5098: 6 s; hospital chart: under 5 s; Moritz and Henriques 1947: 5 s.
    let expected = [("CPSC alert", 6.0), ("hospital chart", 5.0), ("skin experiments", 5.0)];
    assert_eq!(at(140.0), expected.map(|(series, seconds)| (series.to_owned(), seconds)));
}

#[test]
fn between_two_rows_the_cooler_one_bounds_the_time() {
    let water = ThermodynamicTemperature::new::<degree_fahrenheit>(136.0);
    let figure = figure(water).unwrap();
    // Hospital chart: 10 s at 135 °F, so less at 136.
    assert!(figure.summary().contains("under 10 s (row 135 °F)"), "{}", figure.summary());
}

#[test]
fn hotter_water_never_burns_later_in_any_table() {
    let rows = table();
    for (a, b) in rows.iter().flat_map(|a| rows.iter().map(move |b| (a, b))) {
        if a.series == b.series && a.temp_f > b.temp_f {
            assert!(a.seconds <= b.seconds, "{}: {} and {} °F", a.series, a.temp_f, b.temp_f);
        }
    }
}

#[test]
fn a_figure_from_memory_says_so_and_the_caution_is_there() {
    let figure = figure(ThermodynamicTemperature::new::<degree_fahrenheit>(140.0)).unwrap();
    assert!(figure.source.contains("(from memory)"), "{}", figure.source);
    assert_eq!(figure.caution, Some("scald"));
}

#[test]
fn water_below_every_table_is_refused_and_not_called_safe() {
    let error = burns(ThermodynamicTemperature::new::<degree_fahrenheit>(100.0)).unwrap_err().to_string();
    assert!(error.contains("111.2 to 210 °F") && !error.contains("safe"), "{error}");
}
