#!/usr/bin/env python3
"""How many digits are heard right of strings that people read out one digit at a time.

    cargo build --release
    benches/digits.py target/release/hearsheet FOLDER

FOLDER holds digits.tsv: a header, then a recording's path in FOLDER, a tab, its digits with spaces between. Digits are
counted right as the longest runs that heard and spoken have in common; the strings with a mistake are printed.
"""
import difflib, pathlib, re, subprocess, sys

WORDS = "zero one two three four five six seven eight nine".split()
NAMED = {word: str(digit) for digit, word in enumerate(WORDS)} | {"oh": "0", "o": "0"}


def heard(program, path):
    run = subprocess.run([program, "hear", path], capture_output=True, text=True, check=True)
    words = re.sub(r"[^a-z0-9 ]", " ", run.stdout.lower()).split()
    return run.stdout.strip(), "".join(re.findall(r"\d", " ".join(NAMED.get(word, word) for word in words)))


def main(program, folder):
    right = spoken = 0
    for row in pathlib.Path(folder, "digits.tsv").read_text().splitlines()[1:]:
        name, wanted = row.split("\t")
        wanted = wanted.replace(" ", "")
        text, given = heard(program, pathlib.Path(folder, name))
        blocks = difflib.SequenceMatcher(None, wanted, given, autojunk=False).get_matching_blocks()
        right += sum(block.size for block in blocks)
        spoken += len(wanted)
        if given != wanted:
            print(f"{wanted}: {text}")
    print(f"{right} of {spoken} digits right, {right / spoken:.1%}")


if __name__ == "__main__":
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    main(*sys.argv[1:])
