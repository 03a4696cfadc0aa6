//! Classes of everyday words: how the reading tells what belongs to what in a sentence.
use rustc_hash::FxHashMap;
use serde::Deserialize;
use std::sync::LazyLock;

/// The file as it ships.
pub(super) const SHIPPED: &str = include_str!("../../lexicon/words.toml");

macro_rules! word_classes {
    ($($name:ident),* $(,)?) => {
        /// What a word may do in a sentence; `lexicon/words.toml` tells of each what it does and which words it holds.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
        #[serde(rename_all = "kebab-case")]
        pub enum WordClass { $($name),* }

        impl WordClass {
            const ALL: &[WordClass] = &[$(WordClass::$name),*];
        }
    };
}

word_classes! {
    Determiner, Preposition, Linking, Listing, Binding, LeadIn, Being, ClauseOpener, AfterAnd, Answer, Tag, Confirming,
    Filler, Small, Shared, Pronoun, Pointing, BehindPointing, Somebody, Taking, AnotherDay, Hanging, AroundPicture,
    AroundCommand, AroundState, OneMore,
    Having, Existing, Denial, Seeking, Turning, Opining, Agreeing, Likening,
    Definite, Seeing, Inspecting, Finding, UnseenPronoun, OtherDoer, Hindering, BeforeUnseen, BehindUnseen, Verifying,
    Standpoint, RoomEdge, Marring, Hiding, AroundHeading, Several, Working,
    Making, OtherYear, Heat, TakenAt, Reading, Counted, NoPlural, BeforePoint, Function,
    HotWater, NoName, Maker, BeforeName, Street, Article, Standing, Within, NotInRoom, NoRoom, BehindNoRoom, BeforeRoom,
    Surface, Recess, Speaker, Coming, HeaterNoun, WhichOne, AnyRoom, Another,
    StoryPronoun, StoryVerb, BeforeSection, Participle, NoParticiple,
}

/// More classes than bits would not be told apart.
const _: () = assert!(WordClass::ALL.len() <= u128::BITS as usize);

/// One class as the file has it.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Group<'a> {
    #[cfg_attr(not(test), expect(dead_code, reason = "told to who reads the file; a test asks for it"))]
    about: String,
    /// Borrowed from the text, so that a start costs no copies: no word needs an escape.
    words: &'a str,
}

/// All classes of one word, a bit each, so that one look-up answers for all of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct WordClasses(u128);

/// Room for the words of the file, so that the table need not grow while it is filled.
const ROOM: usize = 800;

static WORDS: LazyLock<FxHashMap<&'static str, WordClasses>> = LazyLock::new(|| {
    let mut words: FxHashMap<&str, WordClasses> = FxHashMap::with_capacity_and_hasher(ROOM, Default::default());
    for (class, group) in groups(SHIPPED).unwrap_or_default() {
        for word in group.words.split_whitespace() {
            words.entry(word).or_default().0 |= class.bit();
        }
    }
    words
});

/// The classes of a file; a test proves that those that ship are well made.
fn groups(text: &str) -> Result<FxHashMap<WordClass, Group<'_>>, toml::de::Error> {
    toml::from_str(text)
}

impl WordClass {
    fn bit(self) -> u128 {
        1 << self as u32
    }

    /// Whether a word, in small letters, is of the class; who asks often keeps the word's [`WordClasses`].
    pub fn holds(self, word: &str) -> bool {
        WordClasses::of(word).has(self)
    }
}

impl WordClasses {
    /// The classes of a word in small letters.
    pub fn of(word: &str) -> Self {
        WORDS.get(word).copied().unwrap_or_default()
    }

    pub fn has(self, class: WordClass) -> bool {
        self.0 & class.bit() != 0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rustc_hash::FxHashSet;

    fn shipped() -> FxHashMap<WordClass, Group<'static>> {
        groups(SHIPPED).unwrap_or_else(|error| panic!("lexicon/words.toml: {error}"))
    }

    #[test]
    fn the_file_holds_each_class_of_the_code_and_no_other() {
        let groups = shipped();
        let missing = WordClass::ALL.iter().filter(|class| !groups.contains_key(class));
        assert_eq!(missing.collect::<Vec<_>>(), [&WordClass::Answer; 0]);
        assert!(self::groups("[hearsay]\nabout = \"Told.\"\nwords = \"says\"").is_err(), "an unknown class is refused");
    }

    #[test]
    fn each_class_says_what_it_does_and_names_its_words_once_in_small_letters() {
        for (class, group) in shipped() {
            assert!(group.about.ends_with('.'), "{class:?} says nothing of itself");
            assert_eq!(group.words, group.words.to_lowercase(), "{class:?}");
            let mut seen = FxHashSet::default();
            let twice: Vec<&str> = group.words.split_whitespace().filter(|word| !seen.insert(*word)).collect();
            assert_eq!(twice, [""; 0], "{class:?}");
            assert!(seen.len() > 5, "{class:?}: so few words are read more easily where they are asked for");
        }
    }

    #[test]
    fn a_word_may_be_of_several_classes_and_an_unknown_one_is_of_none() {
        assert!(WordClass::Determiner.holds("the") && WordClass::AfterAnd.holds("the"));
        assert!(!WordClass::Preposition.holds("the"));
        assert_eq!(WordClasses::of("anode"), WordClasses::default());
    }
}
