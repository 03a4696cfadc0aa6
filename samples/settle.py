"""Plays the person who confirms: prints the flags of `hearsheet confirm` for the samples' visit.

`hearsheet show VISIT --json | python3 samples/settle.py` holds each drafted fact against what a careful person heard
(the samples' expected records): as heard, put right, or not said. A person at work reads and decides instead.
"""
import json
import sys
from pathlib import Path

HERE = Path(__file__).parent
# Which heater of the visit each note is about.
NOTES = {"basement": 1, "circuit": 1, "garage": 2}
# What the invented inspector knows without having said it.
ENTERED = {(1, "expansion-valve", "presence"): "absent"}


def heard():
    """What a careful person heard, by fact."""
    facts = dict(ENTERED)
    for note, item in NOTES.items():
        for fact in json.loads((HERE / f"{note}.json").read_text("utf-8"))["facts"]:
            facts[item, fact["component"], fact["attribute"]] = fact["value"]
    return facts


def same(a, b):
    """Numbers within one percent, words whatever their capitals."""
    if isinstance(a, str) or isinstance(b, str):
        return str(a).lower() == str(b).lower()
    return abs(a - b) <= 0.01 * max(abs(a), abs(b))


def flags(record):
    """One flag for each fact that is not settled yet."""
    wanted = heard()
    seen = set()
    for fact in record["facts"]:
        key = fact["item"], fact["component"], fact["attribute"]
        right = key in wanted and same(wanted[key], fact["value"])
        if right:
            seen.add(key)
        if fact["state"] != "heard":
            continue
        place = f"@{fact['where']}" if fact.get("where") else ""
        name = "{}/{}.{}".format(*key) + place
        yield ("--yes" if right else "--no", f"{name}={fact['value']}")
    for key in wanted.keys() - seen:
        yield ("--set", "{}/{}.{}={}".format(*key, wanted[key]))


for flag, fact in sorted(flags(json.load(sys.stdin))):
    print(f"{flag}\n{fact}")
