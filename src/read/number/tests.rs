use super::*;
use crate::read::tokenize;
use crate::recognize::Transcript;

fn read(text: &str) -> Vec<Quantity> {
    quantities(&tokenize(&Transcript::from_text(text)))
}

#[test]
#[ignore]
fn show() {
    for line in std::io::read_to_string(std::io::stdin()).unwrap().lines() {
        println!("> {line}");
        let tokens = tokenize(&Transcript::from_text(line));
        for q in quantities(&tokens) {
            let words: Vec<&str> = tokens[q.span.clone()].iter().map(|t| t.text.as_str()).collect();
            println!("   {:40} {} {:?} {:?} r={:?} o={:?} {:?} {:?} y={:?} c={}", words.join(" "), q.value, q.unit, q.form, q.range, q.other, q.approx, q.distractor, q.year, q.certainty);
        }
        for s in spelled(&tokens) {
            println!("   SPELLED {} {:?}", s.text, s.span);
        }
    }
}
