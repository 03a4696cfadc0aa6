//! The command that computes one figure.
use std::process::{Command, Output};

fn figure(words: &str) -> Output {
    Command::new(env!("CARGO_BIN_EXE_hearsheet")).arg("figure").args(words.split_whitespace()).output().unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

#[test]
fn help_lists_every_figure_with_an_example_that_works() {
    // A backslash at the end of a line goes on in the next, as in a shell.
    let help = text(&figure("--help").stdout).replace("\\\n", " ");
    let listed: Vec<&str> = help
        .lines()
        .skip_while(|line| *line != "Commands:")
        .skip(1)
        .take_while(|line| !line.is_empty())
        .filter_map(|line| line.split_whitespace().next())
        .filter(|name| *name != "help")
        .collect();
    let examples: Vec<&str> = help.lines().filter_map(|line| line.trim().strip_prefix("hearsheet figure ")).collect();
    for name in &listed {
        assert!(examples.iter().any(|example| example.starts_with(name)), "{name} has no example");
    }
    assert_eq!(listed.len(), examples.len());
    for example in examples {
        let out = figure(example);
        assert_eq!(out.status.code(), Some(0), "{example}: {}", text(&out.stderr));
        for part in ["formula: ", "source: ", "= "] {
            assert!(text(&out.stdout).contains(part), "{example} shows no {part}");
        }
    }
}

#[test]
fn inputs_formula_source_and_result_are_shown_with_their_units() {
    let out = figure("expansion --volume 50gal --cold 40F --hot 140F --precharge 60psi --supply 60psi --max 80psi");
    let page = text(&out.stdout);
    // The second of the worked examples in tests/tables/expansion.csv: 4.040 gal.
    for part in ["volume", "50 gal", "140 °F", "80 psi", "Boyle", "IAPWS", "4.04 gal", "caution"] {
        assert!(page.contains(part), "{part}: {page}");
    }
}

#[test]
fn a_wrong_unit_a_negative_volume_and_a_missing_input_say_what_was_expected() {
    let cases = [
        ("pressure 60gal", "psi, kPa, bar"),
        ("expansion --volume -5gal", "never negative"),
        ("expansion --volume 50", "such as 50gal"),
        ("vent-rise --rise 5in", "--run <8ft>"),
        ("circuit --watts 4500W", "any two of"),
        ("scald --temperature 300F", "111.2 to 210 °F"),
        ("recovery --power 4500W --efficiency 76 --rise 90F", "0.3 to 1"),
        ("discharge-end --gap 6in --standard irc-1999", "irc-2021, upc-2021"),
        ("circuit --watts 4500W --volts 240V --gauge 11", "14, 12, 10"),
    ];
    for (words, expected) in cases {
        let out = figure(words);
        assert_eq!(out.status.code(), Some(2), "{words}");
        assert!(text(&out.stderr).contains(expected), "{words}: {}", text(&out.stderr));
        assert!(out.stdout.is_empty(), "{words} prints no figure");
    }
}

#[test]
fn metric_and_customary_inputs_give_the_same_figure() {
    // 181.8436 L is an imperial 40 gal; here 189.2705892 L is 50 US gal, 60 °C is 140 °F, 4 bar is 58.015 psi.
    let result =
        |words: &str| text(&figure(words).stdout).lines().find(|l| l.contains("smallest tank")).map(str::to_owned);
    let customary = result(
        "expansion --volume 50gal --cold 50F --hot 140F --precharge 58.01509psi --supply 58.01509psi --max 80psi",
    );
    let metric = result(
        "expansion --volume 189.2705892L --cold 10C --hot 60C --precharge 4bar --supply 400kPa --max 551.5805834kPa",
    );
    assert!(customary.is_some());
    assert_eq!(customary, metric);
}
