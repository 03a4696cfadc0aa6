#!/usr/bin/env python3
"""How long reading takes: 1,000, 10,000 and 100,000 words of our own dictations, and with 5,000 more terms in the lexicon.

    cargo build --release && python3 benches/read.py [--runs 5]

The time of a run on one word (start, lexicon) is taken off. The baseline, in the same run, is Python's own regular
expressions splitting the same text into words.
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

        def read(words: int, *flags: str) -> float:
            note = pathlib.Path(folder, f"{words}.txt")
            note.write_text(text(words))
            command = [args.hearsheet, "read", str(note), "--json", *flags]
            return median_ms(lambda: subprocess.run(command, check=True, stdout=subprocess.DEVNULL), args.runs)

        print("words     read ms   us a word   times the baseline")
        for flags, name in (((), ""), (("--lexicon", str(office)), " with 5,000 more terms")):
            start = read(1, *flags)
            for words in (1_000, 10_000, 100_000):
                if flags and words != 10_000:
                    continue
                took = max(read(words, *flags) - start, 0.01)
                note = text(words)
                base = median_ms(lambda: re.findall(r"[a-z0-9']+", note.lower()), args.runs)
                print(f"{words:>7} {took:>9.1f} {took * 1000 / words:>11.1f} {took / base:>12.1f}{name}")
            print(f"      1 {start:>9.1f}   (start and lexicon){name}")


if __name__ == "__main__":
    main()
