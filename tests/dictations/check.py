#!/usr/bin/env python3
"""Checks the labels of dictations against the catalogue and the rules.

    python3 tests/dictations/check.py [FOLDER]     (this folder if none is given)

It works the rules out afresh, apart from the program, so that a label and the
program can't share one mistake. It knows nothing of the words: whether a label
fits what was said is for a reader to judge.

Ends with 0 when every label holds, 1 when one does not, 2 when a file can't be read.
"""

import csv
import json
import math
import pathlib
import re
import sys

HERE = pathlib.Path(__file__).resolve().parent
CATALOGUE = HERE.parent.parent / "lexicon" / "catalogue.csv"

# Ages are counted to this year so that a label never grows stale.
THIS_YEAR = 2026
# Sizes of breaker up to 60 A: NEC 2020 240.6(A).
BREAKER_SIZES = [15, 20, 25, 30, 35, 40, 45, 50, 60]
# Largest breaker for a copper conductor: NEC 2020 240.4(D) for 14 to 10 AWG, and the
# 60 degree column of table 310.16 for larger ones, with the next standard size that 240.4(B) allows for the
# 55 A of 6 AWG (from memory).
AMPS_OF_GAUGE = {14: 15, 12: 20, 10: 30, 8: 40, 6: 60}

KEYS = ["id", "scenario", "spoken", "facts", "limits", "photos", "concerns", "open"]


def load_catalogue():
    """Gives each `component.attribute` its row."""
    with open(CATALOGUE, newline="", encoding="utf-8") as file:
        return {f"{row['component']}.{row['attribute']}": row for row in csv.DictReader(file)}


def shape_errors(note, name, catalogue):
    """Tells what is wrong with the note's keys, ids, values and units."""
    if list(note) != KEYS:
        yield f"keys are {list(note)}"
        return
    if note["id"] != name:
        yield f"id {note['id']} is not the file's name"
    yield from spoken_errors(note["spoken"])
    components = {key.split(".")[0] for key in catalogue}
    seen = set()
    for fact in note["facts"]:
        key = f"{fact['component']}.{fact['attribute']}"
        if key not in catalogue:
            yield f"{key} is not in the catalogue"
            continue
        yield from value_errors(key, fact, catalogue[key])
        same = (key, fact.get("item"), fact.get("where"))
        if same in seen:
            yield f"{key} stands twice"
        seen.add(same)
    for limit in note["limits"]:
        if limit["component"] not in components or not limit["why"]:
            yield f"limit {limit}"
    for photo in note["photos"]:
        if photo["of"] not in components:
            yield f"photo {photo}"
    items = [e.get("item") for e in note["facts"] + note["limits"] + note["photos"]]
    if any(items) and not all(items):
        yield "some entries carry an item and some do not"


def spoken_errors(spoken):
    """Numbers stand in words, and only two kinds of mark are allowed."""
    words = re.sub(r"\[um\]|\[pause \d\.\d\]", "", spoken)
    if re.search(r"[\[\]0-9]", words):
        yield "digits or an unknown mark in the spoken words"
    if not re.fullmatch(r"[\x20-\x7e]+", spoken):
        yield "characters beyond ASCII in the spoken words"
    if re.match(r"[B-HJ-Z] ", spoken):
        yield "a stray letter at the head of the spoken words"


def value_errors(key, fact, row):
    """Tells what is wrong with one fact's value, unit and range."""
    value, kind = fact["value"], row["kind"]
    if set(fact) - {"component", "attribute", "value", "unit", "where", "range", "item"}:
        yield f"{key}: unknown field"
    if fact.get("unit", "") != row["unit"]:
        yield f"{key}: unit {fact.get('unit')} is not {row['unit'] or 'empty'}"
    if kind in ("choice", "presence") and value not in row["values"].split("|"):
        yield f"{key}: no value {value}"
    if kind == "text" and not (isinstance(value, str) and value):
        yield f"{key}: text expected"
    if kind == "year" and not (isinstance(value, int) and 1950 <= value <= THIS_YEAR):
        yield f"{key}: year {value}"
    if kind == "number" and not (isinstance(value, (int, float)) and value >= 0):
        yield f"{key}: number {value}"
    ends = fact.get("range")
    if ends and not (len(ends) == 2 and ends[0] < ends[1] and value in ends):
        yield f"{key}: range {ends}"


def presence_errors(note, catalogue):
    """Any fact about a component with a presence of its own implies that it is there."""
    for item, facts in by_item(note):
        named = {fact["component"] for fact in facts}
        for component in sorted(named):
            row = catalogue.get(f"{component}.presence")
            if not row or row["kind"] != "presence":
                continue
            values = {f["value"] for f in facts if f["component"] == component and f["attribute"] == "presence"}
            others = [f for f in facts if f["component"] == component and f["attribute"] != "presence"]
            if not values:
                yield f"{component}.presence is not listed (item {item})"
            if others and "absent" in values:
                yield f"{component} is absent and yet described (item {item})"
        get = getter(facts)
        if (get("water-system.source"), get("water-system.loop")) not in [
            ("public", "closed"),
            ("well", "open"),
            (None, "closed"),
            (None, None),
        ]:
            yield "source and loop do not go together"
        if get("water-heater.capacity") and not get("water-heater.style"):
            yield "a volume was told but no style"
        year, style = get("water-heater.made-year"), get("water-heater.style")
        if year and abs(THIS_YEAR - year - age_limit(style)) < 2:
            yield f"made-year {year} is too near the limit of age"


def by_item(note):
    """Splits the facts by heater."""
    items = sorted({fact.get("item", 1) for fact in note["facts"]})
    return [(i, [f for f in note["facts"] if f.get("item", 1) == i]) for i in items]


def getter(facts):
    """Gives a function that looks up the first value of `component.attribute`."""
    return lambda key: next((f["value"] for f in facts if f"{f['component']}.{f['attribute']}" == key), None)


def age_limit(style):
    """Years that a heater of this style is good for."""
    return 20 if style == "tankless" else 12


def concerns(facts):
    """Works out which rules one heater's facts set off."""
    get = getter(facts)

    def every(attribute, *components):
        return [f["value"] for f in facts if f["attribute"] == attribute and (not components or f["component"] in components)]

    def over(key, limit):
        return any(v > limit for v in every(key.split(".")[1], key.split(".")[0]))

    def under(key, limit):
        return any(v < limit for v in every(key.split(".")[1], key.split(".")[0]))

    power, volts, amps = get("water-heater.power"), get("water-heater.voltage"), get("breaker.rating")
    load = power / volts if power and volts else None
    gauge = get("cable.gauge")
    garage = "garage" in (get("water-heater.place") or "").split()
    kind = get("disconnect.kind")
    year, style = get("water-heater.made-year"), get("water-heater.style")
    leaks = every("leak", "casing", "inlet", "outlet", "cold-shutoff")
    rust = every("corrosion")
    harm = every("damage", "surround")
    gap, wall = get("vent.clearance"), get("vent.material")
    return {
        rule
        for rule, holds in {
            "pressure-high": over("water-system.static-pressure", 80),
            "pressure-low": under("water-system.static-pressure", 40),
            "expansion-control-missing": get("water-system.loop") == "closed"
            and get("expansion-tank.presence") == "absent"
            and get("expansion-valve.presence") == "absent",
            "expansion-tank-leaking": get("expansion-tank.leak") == "active",
            "expansion-tank-unsupported": get("expansion-tank.support") == "unsupported",
            "pan-missing": get("drain-pan.presence") == "absent" and get("surround.finish") == "finished",
            "pan-no-drain": get("drain-pan.drain-line") == "absent",
            "pan-holding-water": "standing-water" in every("state", "drain-pan"),
            "pan-failed": bool({"cracked", "rusted"} & set(every("state", "drain-pan"))),
            "relief-valve-missing": get("relief-valve.presence") == "absent",
            "relief-valve-leaking": get("relief-valve.leak") == "active",
            "relief-valve-blocked": get("relief-valve.blocked") == "yes",
            "relief-discharge-missing": get("relief-discharge.presence") == "absent"
            and get("relief-valve.presence") != "absent",
            "relief-discharge-material": get("relief-discharge.material") == "pvc",
            "relief-discharge-uphill": get("relief-discharge.slope") == "up"
            and get("relief-discharge.low-point-drain") == "absent",
            "relief-discharge-uphill-drained": get("relief-discharge.slope") == "up"
            and get("relief-discharge.low-point-drain") == "present",
            "relief-discharge-end-thread": get("relief-discharge.end-thread") == "yes",
            "relief-discharge-reduced": get("relief-discharge.reduced") == "yes",
            "relief-discharge-end-high": over("relief-discharge.end-gap", 6),
            "disconnect-missing": get("disconnect.presence") == "absent"
            or (kind == "panel" and get("disconnect.in-sight") == "no"),
            "ground-missing": get("equipment-ground.presence") in ("missing", "loose"),
            "cable-unprotected": get("cable.protection") == "none" and get("cable.exposure") == "exposed",
            "circuit-undersized": bool(load and amps and amps < 1.25 * load),
            # NEC 2020 422.11(E)(2) and (3): 20 A for up to 13.3 A of load, else 150 percent and the next size.
            "circuit-oversized": bool(load and amps and amps > (20 if load <= 13.3 else size_above(1.5 * load))),
            "conductor-undersized": bool(gauge and amps and amps > AMPS_OF_GAUGE.get(gauge, amps)),
            "element-cover-missing": bool({"missing", "loose"} & set(every("presence", "element-cover"))),
            "active-leak": "active" in leaks,
            "past-leak": "past" in leaks,
            "corrosion-heavy": "heavy" in rust,
            "corrosion-moderate": "moderate" in rust,
            "surround-damaged": bool({"stain", "swelling"} & set(harm)),
            "surround-growth": "growth" in harm,
            "near-end-of-life": bool(year and style in ("storage", "tankless") and THIS_YEAR - year >= age_limit(style)),
            "jacket-hides": get("insulation-jacket.presence") == "present",
            "drain-valve-leaking": get("drain-valve.leak") == "active",
            "hot-water-scalding": over("hot-water.temperature", 120),
            "vent-disconnected": get("vent.presence") in ("disconnected", "missing"),
            "vent-slope-low": under("vent.slope", 0.25),
            "vent-clearance-small": gap is not None
            and ((wall == "single-wall" and gap < 6) or (wall == "b-vent" and gap < 1)),
            "vent-material-pvc": wall == "pvc" and get("draft-hood.draft") is not None,
            "vent-corroded": get("vent.corrosion") in ("moderate", "heavy"),
            "backdraft": get("draft-hood.draft") == "spilling",
            "flame-yellow": get("burner.flame") == "yellow",
            "burner-cover-missing": get("burner.cover") == "missing",
            "burner-scorched": get("burner.scorch") == "present",
            "gas-shutoff-missing": get("gas-shutoff.presence") == "absent",
            "sediment-trap-missing": get("sediment-trap.presence") == "absent",
            "gas-leak": get("gas-line.leak") == "detected",
            "combustion-air-short": get("combustion-air.supply") == "restricted",
            "ignition-low": garage and under("ignition.height", 18),
            "vehicle-unprotected": garage and get("vehicle-barrier.presence") == "absent",
            "seismic-strap-missing": get("water-heater.seismic-strap") == "absent",
            "not-running": get("water-heater.running") in ("not-running", "shut-off"),
        }.items()
        if holds
    }


def size_above(amps):
    """Gives the next standard breaker size at or above a current."""
    return next((size for size in BREAKER_SIZES if size >= amps), math.inf)


def open_questions(facts):
    """Gives what is still to be said once the first half of a rule was heard."""
    get = getter(facts)
    asked = {
        "expansion-valve.presence": get("water-system.loop") == "closed" and get("expansion-tank.presence") == "absent",
        "surround.finish": get("drain-pan.presence") == "absent",
        "relief-discharge.low-point-drain": get("relief-discharge.slope") == "up",
        "cable.exposure": get("cable.protection") == "none",
        "disconnect.in-sight": get("disconnect.kind") == "panel",
        # Six inches are enough for any material.
        "vent.material": get("vent.clearance") is not None and get("vent.clearance") < 6,
    }
    return {key for key, heard in asked.items() if heard and get(key) is None}


def label_errors(note):
    """Compares the note's concerns and open questions with those worked out here."""
    groups = by_item(note)
    for name, work_out in (("concerns", concerns), ("open", open_questions)):
        due = set().union(*(work_out(facts) for _, facts in groups))
        if name == "open":
            # What could not be seen is not asked for again.
            due -= {key for key in due if key.split(".")[0] in {limit["component"] for limit in note["limits"]}}
        told = set(note[name])
        if len(told) != len(note[name]):
            yield f"{name}: one stands twice"
        if due - told:
            yield f"{name}: not listed {sorted(due - told)}"
        if told - due:
            yield f"{name}: not due {sorted(told - due)}"


def main():
    folder = pathlib.Path(sys.argv[1]) if len(sys.argv) > 1 else HERE
    catalogue = load_catalogue()
    paths = sorted(folder.glob("*.json"))
    if not paths:
        print(f"{folder}: no dictations here", file=sys.stderr)
        return 2
    wrong = 0
    for path in paths:
        try:
            note = json.loads(path.read_text(encoding="utf-8"))
        except ValueError as error:
            print(f"{path}: {error}", file=sys.stderr)
            return 2
        errors = list(shape_errors(note, path.stem, catalogue))
        if not errors:
            errors = [*presence_errors(note, catalogue), *label_errors(note)]
        for error in errors:
            print(f"{path.name}: {error}")
        wrong += bool(errors)
    print(f"{len(paths) - wrong} of {len(paths)} agree")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
