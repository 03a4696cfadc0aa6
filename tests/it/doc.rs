//! The documents keep up with the program.
use std::path::{Path, PathBuf};
use std::process::Command;

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// What `hearsheet COMMAND... --help` prints, at a fixed width.
fn help(command: &[&str]) -> String {
    let out = Command::new(env!("CARGO_BIN_EXE_hearsheet")).args(command).arg("--help").env("COLUMNS", "100").output();
    String::from_utf8(out.unwrap().stdout).unwrap()
}

/// The commands that a help page lists.
fn commands(page: &str) -> Vec<String> {
    let listed = page.lines().skip_while(|line| *line != "Commands:").skip(1);
    let names = listed.take_while(|line| !line.is_empty()).filter(|line| !line.starts_with("   "));
    names.filter_map(|line| line.split_whitespace().next()).filter(|n| *n != "help").map(str::to_owned).collect()
}

/// Adds the page of one command, then those of the commands below it.
fn add_page(text: &mut String, command: &[&str]) {
    let page = help(command);
    let name = ["hearsheet"].iter().chain(command).copied().collect::<Vec<_>>().join(" ");
    let page_text = page.lines().map(str::trim_end).collect::<Vec<_>>().join("\n");
    *text += &format!("\n## {name}\n\n```text\n{}\n```\n", page_text.trim());
    for below in commands(&page) {
        add_page(text, &[command, &[below.as_str()]].concat());
    }
}

#[test]
fn the_page_of_commands_is_what_the_program_says_of_itself() {
    let mut text =
        "# The commands\n\nThis page is what every `--help` prints; a test compares the two. To write it anew:\n\
                    `UPDATE_DOCS=1 cargo test --test it page_of_commands`\n"
            .to_owned();
    add_page(&mut text, &[]);
    let path = root().join("docs/cli.md");
    if std::env::var_os("UPDATE_DOCS").is_some() {
        std::fs::write(&path, &text).unwrap();
    }
    let written = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(written == text, "docs/cli.md is behind: UPDATE_DOCS=1 cargo test --test it page_of_commands");
}

#[test]
fn every_command_shows_an_example() {
    fn check(command: &[&str]) {
        let page = help(command);
        let below = commands(&page);
        // A command that only gathers others leaves the examples to them.
        assert!(!below.is_empty() || page.contains("Example"), "hearsheet {} --help has no example", command.join(" "));
        for name in below {
            check(&[command, &[name.as_str()]].concat());
        }
    }
    check(&[]);
}

/// The Markdown files of the project, without what is built or fetched.
fn pages(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap().flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        if entry.path().is_dir() && !name.starts_with('.') && name != "target" && name != "out" {
            pages(&entry.path(), found);
        } else if name.ends_with(".md") {
            found.push(entry.path());
        }
    }
}

#[test]
fn no_link_between_the_documents_is_dead() {
    let mut found = Vec::new();
    pages(&root(), &mut found);
    assert!(found.len() >= 2, "the documents were not found");
    let link = regex::Regex::new(r"\]\(([^)#\s]+)[^)]*\)").unwrap();
    for page in found {
        let text = std::fs::read_to_string(&page).unwrap();
        for target in link.captures_iter(&text).map(|c| c[1].to_owned()).filter(|t| !t.contains("://")) {
            assert!(page.with_file_name("").join(&target).exists(), "{}: {target}", page.display());
        }
    }
}

#[test]
fn the_first_screen_of_the_readme_names_the_two_commands() {
    let readme = std::fs::read_to_string(root().join("README.md")).unwrap();
    let screen = readme.lines().take(24).collect::<Vec<_>>().join("\n");
    assert!(screen.contains("./demo") && screen.contains("./check"));
}

#[test]
fn the_page_of_the_lexicon_is_what_the_lexicon_says() {
    let text = hearsheet::lexicon::page(&hearsheet::lexicon::Lexicon::shipped().unwrap());
    let path = root().join("docs/lexicon.md");
    if std::env::var_os("UPDATE_DOCS").is_some() {
        std::fs::write(&path, &text).unwrap();
    }
    let written = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(written == text, "docs/lexicon.md is behind: UPDATE_DOCS=1 cargo test --test it page_of_the_lexicon");
}
