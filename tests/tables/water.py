"""Density of water by IAPWS-95, and units by pint: writes water.tsv and unit.tsv.

The values come from the PyPI packages iapws 1.5.5 and CoolProp 8.0.0, which each solve IAPWS-95, and Pint 0.25.3:
    pip install iapws==1.5.5 CoolProp==8.0.0 Pint==0.25.3 && python tests/tables/water.py
"""
from pathlib import Path

import CoolProp.CoolProp as coolprop
import pint
from iapws import IAPWS95

HERE = Path(__file__).parent
ATMOSPHERE = 0.101325  # MPa


def water():
    lines = ["# written by water.py: temperature in °F, pressure in MPa (absolute), density in kg/m³"]
    lines.append("# fahrenheit\tpressure\tiapws\tcoolprop")
    for pressure in (0.1, ATMOSPHERE, 0.3):
        for fahrenheit in (33, *range(35, 211, 5)):
            kelvin = (fahrenheit + 459.67) / 1.8
            a = IAPWS95(T=kelvin, P=pressure).rho
            c = coolprop.PropsSI("D", "T", kelvin, "P", pressure * 1e6, "Water")
            lines.append(f"{fahrenheit}\t{pressure}\t{a:.6f}\t{c:.6f}")
    (HERE / "water.tsv").write_text("\n".join(lines) + "\n")


def unit():
    """What is typed, the unit it is converted to, and pint's result."""
    registry = pint.UnitRegistry()
    cases = [
        ("50gal", 50, "gallon", "L", "liter"), ("180L", 180, "liter", "gal", "gallon"),
        ("240ft3", 240, "foot**3", "L", "liter"), ("1.5m3", 1.5, "meter**3", "ft3", "foot**3"),
        ("140F", 140, "degF", "C", "degC"), ("60C", 60, "degC", "F", "degF"), ("-40F", -40, "degF", "C", "degC"),
        ("90F", 90, "delta_degF", "deltaC", "delta_degC"), ("50C", 50, "delta_degC", "deltaF", "delta_degF"),
        ("60psi", 60, "psi", "kPa", "kilopascal"), ("4bar", 4, "bar", "psi", "psi"), ("500kPa", 500, "kilopascal", "psi", "psi"),
        ("18in", 18, "inch", "cm", "centimeter"), ("2.5m", 2.5, "meter", "ft", "foot"), ("10cm", 10, "centimeter", "in", "inch"),
        ("8ft", 8, "foot", "mm", "millimeter"), ("19mm", 19, "millimeter", "in", "inch"),
        ("4500W", 4500, "watt", "Btu/h", "Btu_it/hour"), ("11.7kW", 11.7, "kilowatt", "Btu/h", "Btu_it/hour"),
        ("40000Btu/h", 40000, "Btu_it/hour", "W", "watt"),
    ]
    lines = ["# written by water.py: as typed, unit asked for, pint's value", "# typed\tunit\tvalue"]
    for typed, value, source, short, target in cases:
        lines.append(f"{typed}\t{short}\t{registry.Quantity(value, source).to(target).magnitude!r}")
    (HERE / "unit.tsv").write_text("\n".join(lines) + "\n")


if __name__ == "__main__":
    water()
    unit()
