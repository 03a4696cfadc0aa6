"""Writes ucum.tsv: what each UCUM code of hearsheet measures, as ucumvert's UCUM grammar reads it.

Run: pip install ucumvert==0.3.2 && python tests/tables/ucum.py

The codes are taken from src/read/number/unit.rs. A code in braces alone is an annotation and has no dimension.
ucumvert 0.3.2 takes the c of [cft_i] and [cyd_i] for centi; UCUM table 9 has both as volumes, so they are left out.
"""
import pathlib
import re

from ucumvert import PintUcumRegistry

here = pathlib.Path(__file__).parent
source = (here / "../../src/read/number/unit.rs").read_text()
codes = re.findall(r'^    \w+ "([^"]+)" \w+;', source, re.M)
units = PintUcumRegistry()

with open(here / "ucum.tsv", "w", newline="\n") as out:
    out.write("# ucumvert 0.3.2: code\tdimensions\n")
    for code in codes:
        if code.startswith("[cft_i]") or code == "[cyd_i]":
            continue
        if re.fullmatch(r"\{[!-~]+\}", code):
            out.write(f"{code}\tannotation\n")
            continue
        powers = sorted((name.strip("[]"), int(power)) for name, power in units.from_ucum(code).dimensionality.items())
        out.write(f"{code}\t{' '.join(f'{name}^{power}' for name, power in powers)}\n")
