//! Spoken commands as a session obeys them: each once, though its words are heard again and again.
use crate::record::Command;

/// Two hearings of one command lie no farther apart than this: heard with its neighbours, it may move.
const SAME_MS: u64 = 2500;

/// The commands that were not obeyed yet, or not yet taken back; they then are.
///
/// What was obeyed and is missing in this hearing stays known, for the next may hold it again.
pub fn fresh(obeyed: &mut Vec<Command>, now: &[Command]) -> Vec<Command> {
    let mut before: Vec<Command> = std::mem::take(obeyed);
    let mut fresh = Vec::new();
    for command in now {
        let known = before.iter().position(|known| same(known, command)).map(|at| before.remove(at));
        if known.is_none_or(|known| known.undone != command.undone) {
            fresh.push(command.clone());
        }
    }
    obeyed.extend(now.iter().cloned().chain(before));
    obeyed.sort_by_key(start);
    fresh
}

fn same(one: &Command, other: &Command) -> bool {
    one.kind == other.kind && start(one).abs_diff(start(other)) <= SAME_MS
}

fn start(command: &Command) -> u64 {
    command.evidence.first().and_then(|e| e.start_ms).unwrap_or(0)
}

/// Whether the note's last words are "end of note", and stand.
pub fn closes(commands: &[Command], last_ms: u64) -> bool {
    let ends = |c: &Command| c.evidence.iter().any(|e| e.end_ms.is_some_and(|end| end + 100 >= last_ms));
    commands.iter().any(|c| c.kind == "end-of-note" && !c.undone && ends(c))
}

/// Whether what is said now is not read.
pub fn is_deaf(commands: &[Command]) -> bool {
    let switch = |c: &&Command| !c.undone && matches!(c.kind.as_str(), "stop-listening" | "start-listening");
    commands.iter().rev().find(switch).is_some_and(|c| c.kind == "stop-listening")
}

/// Whether a command changes nothing: "start listening" while it listens is mostly "stop listening", half heard.
pub fn is_idle(command: &Command, all: &[Command]) -> bool {
    let before = all.partition_point(|c| start(c) < start(command));
    command.kind == "start-listening" && !is_deaf(&all[..before])
}

/// A command as it is spoken.
pub fn words(kind: &str) -> &str {
    match kind {
        "scratch-that" => "scratch that",
        "next-item" => "next unit",
        "first-item" => "first unit",
        "end-of-note" => "end of note",
        "what-is-left" => "what is left",
        "read-that-back" => "read that back",
        "stop-listening" => "stop listening",
        "start-listening" => "start listening",
        kind => kind,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lexicon::Lexicon;
    use crate::read;
    use crate::recognize::Transcript;

    fn commands(text: &str) -> Vec<Command> {
        let transcript = Transcript { timed: true, ..Transcript::from_text(text) };
        read::facts(&transcript, &Lexicon::shipped().unwrap(), "a").commands
    }

    fn kinds(commands: &[Command]) -> Vec<(&str, bool)> {
        commands.iter().map(|c| (c.kind.as_str(), c.undone)).collect()
    }

    #[test]
    fn a_command_is_obeyed_once_and_once_more_when_it_is_taken_back() {
        let mut obeyed = Vec::new();
        let first = fresh(&mut obeyed, &commands("No pan. Next unit."));
        assert_eq!(kinds(&first), [("next-item", false)]);
        assert_eq!(kinds(&fresh(&mut obeyed, &commands("No pan. Next unit."))), []);
        let after = fresh(&mut obeyed, &commands("No pan. Next unit. Scratch that."));
        assert_eq!(kinds(&after), [("next-item", true), ("scratch-that", false)]);
    }

    #[test]
    fn a_command_that_one_hearing_loses_or_moves_is_not_obeyed_again_and_one_said_twice_is_obeyed_twice() {
        let mut obeyed = Vec::new();
        let said = "No pan [pause 1] what is left [pause 1] dry";
        assert_eq!(kinds(&fresh(&mut obeyed, &commands(said))), [("what-is-left", false)]);
        assert_eq!(kinds(&fresh(&mut obeyed, &commands("No pan [pause 1] what is lent [pause 1] dry"))), []);
        assert_eq!(kinds(&fresh(&mut obeyed, &commands("No pan [pause 2] what is left [pause 1] dry"))), []);
        let twice = "No pan [pause 1] what is left [pause 1] what is left [pause 1] dry";
        assert_eq!(kinds(&fresh(&mut obeyed, &commands(twice))), [("what-is-left", false)]);
    }

    #[test]
    fn commands_to_the_program_count_only_as_statements_of_their_own() {
        for text in [
            "What is left?",
            "No pan. What's left?",
            "No pan [pause 1] what is left [pause 1] dry",
            "Okay, what is left?",
        ] {
            assert!(kinds(&commands(text)).contains(&("what-is-left", false)), "{text}");
        }
        for text in ["What is left of the pipe is copper.", "I told him what is left and he read that back to me."] {
            assert_eq!(kinds(&commands(text)), [], "{text}");
        }
    }

    #[test]
    fn the_note_is_closed_by_its_last_words_alone() {
        let closed = |text: &str| {
            let last = Transcript::from_text(text).words.last().unwrap().end_ms;
            closes(&commands(text), last)
        };
        assert!(closed("No pan. End of note."));
        assert!(!closed("No pan. End of note. One more thing: the pan drips."));
        assert!(!closed("No pan. End of note. Scratch that."));
    }

    #[test]
    fn nothing_is_read_between_stop_and_start() {
        let deaf = |text: &str| is_deaf(&commands(text));
        assert!(deaf("No pan. Stop listening. Fifty gallon tank."));
        assert!(!deaf("No pan. Stop listening. Fifty gallon tank. Start listening."));
        assert!(!deaf("No pan. Stop listening. Scratch that."));
        let facts = |text: &str| {
            let facts = read::facts(&Transcript::from_text(text), &Lexicon::shipped().unwrap(), "a").facts;
            facts.iter().map(|f| format!("{} = {}", f.key(), f.value)).collect::<Vec<_>>()
        };
        let all = facts("No pan. Stop listening. The relief valve is leaking. Start listening. The flue is rusted.");
        assert!(all.iter().any(|f| f.starts_with("drain-pan.presence")), "{all:?}");
        assert!(!all.iter().any(|f| f.starts_with("relief-valve")), "{all:?}");
        assert!(all.iter().any(|f| f.starts_with("vent")), "{all:?}");
    }

    #[test]
    fn to_start_listening_while_it_listens_changes_nothing() {
        let idle = |text: &str| {
            let all = commands(text);
            all.iter().map(|c| is_idle(c, &all)).collect::<Vec<_>>()
        };
        assert_eq!(idle("No pan. Start listening. The flue is rusted."), [true]);
        assert_eq!(idle("No pan. Stop listening. Fifty gallon tank. Start listening."), [false, false]);
    }

    #[test]
    fn a_change_of_heater_that_is_taken_back_changes_none() {
        let items = |text: &str| {
            let facts = read::facts(&Transcript::from_text(text), &Lexicon::shipped().unwrap(), "a").facts;
            facts.iter().map(|f| f.item).max()
        };
        assert_eq!(items("The drain pan is dry. Next unit. No drain pan."), Some(2));
        assert_eq!(items("The drain pan is dry. Next unit. Scratch that. The flue is rusted."), Some(1));
    }
}
