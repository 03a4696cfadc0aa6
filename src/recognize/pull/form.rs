//! The ways in which the model may write a spoken form.

/// The form in every casing.
///
/// The model writes "T and P valve", "PVC", "Relief valve" at a sentence's beginning and "relief valve" within it; a term
/// given in one casing alone would pull nothing in the others.
pub fn variants(form: &str) -> Vec<String> {
    let form = form.split_whitespace().collect::<Vec<_>>().join(" ");
    let lower = form.to_lowercase();
    let mut cased = vec![form.clone(), lower.clone(), capitalise(&form), capitalise(&lower)];
    cased.push(by_word(&lower, capitalise));
    cased.push(by_word(&form, |word| if word.chars().count() == 1 { word.to_uppercase() } else { word.to_owned() }));
    if lower.len() <= 5 && !lower.contains(' ') {
        cased.push(lower.to_uppercase());
    }
    cased.retain(|text| !text.is_empty());
    cased.sort();
    cased.dedup();
    cased
}

fn capitalise(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

fn by_word(text: &str, change: impl Fn(&str) -> String) -> String {
    text.split(' ').map(change).collect::<Vec<_>>().join(" ")
}
