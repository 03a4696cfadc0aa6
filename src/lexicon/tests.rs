use super::*;

#[test]
fn the_shipped_lexicon_is_well_made() {
    if let Err(error) = Lexicon::shipped() {
        panic!("{error}");
    }
}
