#!/usr/bin/env python3
"""How long reading takes: 1,000, 10,000 and 100,000 words of our own dictations, and with 5,000 more terms in the lexicon.

    cargo build --release && python3 benches/read.py [--runs 5]

Reading and, apart, merging and judging, as `read --took` tells them: without start, lexicon and printing. The baseline,
in the same run, is Python's own regular expressions splitting the same text into words.
"""
import argparse
import json
import pathlib
import re
import statistics
import subprocess
import tempfile
import time

ROOT = pathlib.Path(__file__).resolve().parent.parent
SYLLABLES = ["bar", "cot", "dun", "fel", "gim", "hask", "jor", "kel", "lum", "mov", "nep", "olt", "pru", "quin", "rad"]


def text(words: int) -> str:
    """That many words of our dictations, again and again."""
    notes = [json.loads(f.read_text())["spoken"] for f in sorted((ROOT / "tests/dictations").glob("our-*.json"))]
    all_words = " ".join(re.sub(r"\[[^\]]*\]", " ", note) for note in notes).split()
    return " ".join(all_words[i % len(all_words)] for i in range(words))


def terms(count: int) -> str:
    """An office's lexicon of invented words for a part that is there already."""
    s = SYLLABLES
    words = [f"{s[i % 15]}{s[i // 15 % 15]}{s[i // 225 % 15]}{s[i // 3375]}" for i in range(count)]
    says = ", ".join(f'"{w} {s[i % 7]}o"' for i, w in enumerate(words))
    return f'[[part]]\nid = "bench-part"\ncomponent = "drain-pan"\nsays = [{says}]\nyes = []\n'


def median_ms(run, runs: int) -> float:
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        run()
        times.append((time.perf_counter() - start) * 1000)
    return statistics.median(times)


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--hearsheet", default=str(ROOT / "target/release/hearsheet"))
    options.add_argument("--runs", type=int, default=5)
    args = options.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        office = pathlib.Path(folder, "office.toml")
        office.write_text(terms(5000))

        def took(words: int, *flags: str) -> list[float]:
            """Milliseconds of reading and of judging."""
            note = pathlib.Path(folder, f"{words}.txt")
            note.write_text(text(words))
            command = [args.hearsheet, "read", str(note), "--json", "--took", *flags]
            runs = [subprocess.run(command, check=True, capture_output=True, text=True).stderr for _ in range(args.runs)]
            both = [[float(ms) for ms in re.findall(r"in ([0-9.]+) ms", told)] for told in runs]
            return [statistics.median(times) for times in zip(*both, strict=True)]

        print("  words   read ms  us a word  times the baseline  judge ms")
        for words, flags, name in (
            (1_000, (), ""),
            (10_000, (), ""),
            (100_000, (), ""),
            (10_000, ("--lexicon", str(office)), "  with 5,000 more terms"),
        ):
            read, judge = took(words, *flags)
            note = text(words)
            base = median_ms(lambda: re.findall(r"[a-z0-9']+", note.lower()), args.runs)
            print(f"{words:>7} {read:>9.1f} {read * 1000 / words:>10.1f} {read / base:>19.1f} {judge:>9.1f}{name}")


if __name__ == "__main__":
    main()
