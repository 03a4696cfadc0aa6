#!/usr/bin/env python3
"""How well `hearsheet scope` tells what is negated, on prose that is none of ours.

    cargo build --release && benches/negation.py CORPUS.tsv [--list]

CORPUS has four columns with tabs between them: report, concept, sentence, Affirmed or Negated. So comes the annotated
corpus of 2,376 sentences of clinical reports published with the NegEx algorithm (W. Chapman and others, "A simple
algorithm for identifying negated findings and diseases in discharge summaries", 2001; `Annotations-1-120.txt`), which is
not ours to copy here. Told are precision, recall and F1 of "negated", and how many sentences name their concept in other
words, so that nothing can be told of them; those count as affirmed. --list prints what is told wrongly.
"""
import csv
import pathlib
import subprocess
import sys

ROOT = pathlib.Path(__file__).resolve().parent.parent


def rows(path: str) -> list[tuple[str, str, bool]]:
    """Concept, sentence and whether it is negated."""
    found = []
    for row in csv.reader(pathlib.Path(path).read_text().splitlines(), delimiter="\t"):
        if len(row) == 4 and row[3].strip() in ("Affirmed", "Negated"):
            concept, sentence = (" ".join(text.split()) for text in row[1:3])
            found.append((concept, sentence, row[3].strip() == "Negated"))
    return found


def main(path: str, *options: str) -> None:
    wanted = rows(path)
    lines = "".join(f"{concept}\t{sentence}\n" for concept, sentence, _ in wanted)
    program = ROOT / "target/release/hearsheet"
    told = subprocess.run([program, "scope"], input=lines, capture_output=True, text=True, check=False).stdout.split("\n")[:-1]
    assert len(told) == len(wanted), f"{len(told)} answers to {len(wanted)} sentences"
    pairs = [(word == "negated", negated) for word, (_, _, negated) in zip(told, wanted, strict=True)]
    right = sum(said and is_so for said, is_so in pairs)
    said, is_so = sum(said for said, _ in pairs), sum(is_so for _, is_so in pairs)
    if "--list" in options:
        for (concept, sentence, negated), word in zip(wanted, told, strict=True):
            if (word == "negated") != negated:
                print(f"{word:12} {'Negated' if negated else 'Affirmed':8} {concept}: {sentence[:200]}")
    precision, recall = right / max(said, 1), right / max(is_so, 1)
    f1 = 2 * precision * recall / max(precision + recall, 1e-9)
    print(f"{len(wanted)} sentences, {is_so} negated, {told.count('unknown')} concepts not found in their sentence")
    print(f"negated: precision {precision:.3f}, recall {recall:.3f}, F1 {f1:.3f}")


main(*sys.argv[1:])
