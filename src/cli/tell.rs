//! What several commands tell a person.
use hearsheet::draft::Error;
use hearsheet::record::Visit;
use std::process::ExitCode;

/// The user's name on this machine.
pub fn user() -> Option<String> {
    ["USER", "USERNAME"].iter().find_map(|name| std::env::var(name).ok()).filter(|name| !name.is_empty())
}

/// Tells of a line of the journal that was cut off; no decision that was reported is in it.
pub fn torn(visit: &Visit) -> anyhow::Result<()> {
    let torn = visit.journal()?.torn.len();
    if torn > 0 {
        eprintln!(
            "hearsheet: '{}' ends in {torn} bytes of a line that was cut off before it was saved; every decision \
             reported as saved is there, and the rest is kept in decisions.torn at the next decision",
            visit.journal_path().display()
        );
    }
    Ok(())
}

/// Tells of the notes that could not be used; the exit code if there are any.
pub fn problems(problems: Vec<Error>) -> Option<ExitCode> {
    let some = !problems.is_empty();
    for problem in problems {
        eprintln!("hearsheet: {:#}", anyhow::Error::from(problem));
    }
    some.then(|| ExitCode::from(2))
}
