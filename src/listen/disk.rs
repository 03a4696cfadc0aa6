//! How much room there is on the disk.
use std::path::Path;
use std::process::{Command, Stdio};

/// Bytes free where a folder lies, as the system's own `df` tells in the form of POSIX; nothing where it is not there.
pub fn free(folder: &Path) -> Option<u64> {
    let mut command = Command::new("df");
    command.args(["-P", "-k", "--"]).arg(folder).env("LC_ALL", "C").stdin(Stdio::null()).stderr(Stdio::null());
    parse(&String::from_utf8_lossy(&command.output().ok()?.stdout))
}

/// The fourth field of the second line, in units of 1024 bytes (POSIX.1-2017, df, option -P).
fn parse(table: &str) -> Option<u64> {
    let kilobytes: u64 = table.lines().nth(1)?.split_whitespace().nth(3)?.parse().ok()?;
    Some(kilobytes * 1024)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_portable_table_is_read() {
        // Laid out as POSIX writes it; the figures are ours.
        let table = "Filesystem 1024-blocks Used Available Capacity Mounted on\n/dev/sda1 1000 400 600 40% /\n";
        assert_eq!(parse(table), Some(600 * 1024));
        assert_eq!(parse(""), None);
        assert!(free(Path::new(".")).is_some_and(|free| free > 0));
    }
}
