//! Keeps every path that a stranger may have written inside the folder it belongs to.
use crate::record::{hash_bytes, tidy_name};
use std::ffi::OsStr;
use std::path::{Component, Path, PathBuf};

/// Why a path is refused, in words for whoever wrote it.
pub type Refusal = &'static str;

/// `relative` below `root`: nothing that leads out of it, and no link on the way.
pub fn inside(root: &Path, relative: &Path) -> Result<PathBuf, Refusal> {
    let mut path = root.to_owned();
    for part in relative.components() {
        match part {
            Component::Normal(name) => path.push(name),
            Component::CurDir => continue,
            Component::ParentDir => return Err("its path leads out of its folder with '..'"),
            Component::RootDir | Component::Prefix(_) => return Err("its path is absolute"),
        }
        if std::fs::symlink_metadata(&path).is_ok_and(|about| about.is_symlink()) {
            return Err("it is a link, or lies behind one");
        }
    }
    if path == root { Err("it names no file") } else { Ok(path) }
}

/// A visit's folder below `root`; the files and folders in which a visit is written are looked at too.
pub fn visit(root: &Path, folder: &str) -> Result<PathBuf, Refusal> {
    let path = inside(root, Path::new(folder))?;
    let mut above = path.ancestors().skip(1).take_while(|dir| *dir != root && dir.starts_with(root));
    if above.any(|dir| dir.join("visit.toml").exists()) {
        return Err("it lies within another visit's folder");
    }
    for part in ["visit.toml", "notes", "photos", "transcripts", "report", ".lock", "notes.json", "record.json"] {
        inside(&path, Path::new(part))?;
    }
    let notes = std::fs::read_dir(path.join("notes")).into_iter().flatten().flatten();
    match notes.filter_map(|entry| entry.file_type().ok()).any(|kind| kind.is_symlink()) {
        true => Err("a link lies among its notes"),
        false => Ok(path),
    }
}

/// The name of a visit's folder from a name that somebody else chose: kept where it is plain, else made plain and told
/// apart from all others by a mark.
pub fn plain(name: &OsStr) -> String {
    let text = name.to_string_lossy();
    let tidy = tidy_name(&text);
    let plain = |c: char| c.is_alphanumeric() || " -_.,()'&+#".contains(c);
    let ends = |c: char| matches!(c, '.' | ' ' | '-' | '\'');
    // Some systems keep a few names for devices; those were given another beginning.
    let renamed = tidy.starts_with("note") && !text.starts_with("note");
    let odd = !text.chars().all(plain) || text.starts_with(ends) || text.ends_with(ends) || renamed;
    if !odd && !text.is_empty() && text.len() <= 100 && name.to_str().is_some() {
        return text.into_owned();
    }
    let mark = &hash_bytes(name.as_encoded_bytes())[..6];
    let mut stem: String = tidy;
    while stem.len() > 100 {
        stem.pop();
    }
    format!("{stem}-{mark}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_leads_out_of_the_folder() {
        let root = tempfile::tempdir().unwrap();
        std::fs::create_dir(root.path().join("in")).unwrap();
        std::fs::write(root.path().join("secret.wav"), "x").unwrap();
        std::fs::write(root.path().join("in/a.wav"), "x").unwrap();
        let inner = root.path().join("in");
        #[cfg(unix)]
        {
            std::os::unix::fs::symlink("../secret.wav", inner.join("link.wav")).unwrap();
            std::os::unix::fs::symlink("..", inner.join("up")).unwrap();
        }
        assert_eq!(inside(&inner, Path::new("./a.wav")), Ok(inner.join("a.wav")));
        for bad in ["../secret.wav", "a/../../secret.wav", "/etc/passwd", "", ".", "link.wav", "up/secret.wav"] {
            assert!(inside(&inner, Path::new(bad)).is_err(), "{bad}");
        }
    }

    #[test]
    fn plain_names_stay_and_all_others_differ() {
        for name in ["larkspur-41", "41 Larkspur Lane", "Küche, 2nd (rear)", "2026-03-14"] {
            assert_eq!(plain(OsStr::new(name)), name);
        }
        let odd = ["a/b", "a\\b", "a:b", "a?b", "..", ".hidden", "-rf", "a\u{202e}b", "nul", " a", "a ", ""];
        let made: std::collections::BTreeSet<String> = odd.iter().map(|name| plain(OsStr::new(name))).collect();
        assert_eq!(made.len(), odd.len(), "two names fell together: {made:?}");
        assert!(made.iter().all(|name| !name.contains(['/', '\\', ':']) && !name.starts_with(['.', '-'])), "{made:?}");
    }
}
