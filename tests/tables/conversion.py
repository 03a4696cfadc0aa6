"""Writes conversion.tsv: values converted by pint, for the units that hearsheet stores.

Run: pip install pint==0.25.3 && python tests/tables/conversion.py

Columns: UCUM code of the spoken unit, value, unit of the catalogue, value in it by pint.
"""
import pathlib

import pint

units = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
units.define("kilobtu = 1000 * Btu_it")

# Catalogue unit, its name in pint, and the spoken units: UCUM code, name in pint, values.
TABLE = [
    ("gal", "gallon", [
        ("[gal_us]", "gallon", [2.5, 40, 50, 119]),
        ("[gal_br]", "imperial_gallon", [1, 33, 40]),
        ("L", "liter", [1, 150, 180, 189.3, 300]),
        ("mL", "milliliter", [500, 1000]),
        ("[cft_i]", "foot ** 3", [1, 6.7]),
        ("m3", "meter ** 3", [0.15, 1]),
        ("[qt_us]", "quart", [4, 10]),
        ("[pt_us]", "pint", [8]),
    ]),
    ("W", "watt", [
        ("W", "watt", [1500, 4500]),
        ("mW", "milliwatt", [4500]),
        ("kW", "kilowatt", [1.5, 3, 4.5, 5.5]),
        ("MW", "megawatt", [0.0045]),
        ("[HP]", "horsepower", [0.5, 1, 6]),
        ("[Btu_IT]/h", "Btu_it / hour", [1, 15354, 40000]),
    ]),
    ("Btu/h", "Btu_it / hour", [
        ("[Btu_IT]/h", "Btu_it / hour", [40000, 199900]),
        ("10*3.[Btu_IT]/h", "kilobtu / hour", [40, 199.9]),
        ("kW", "kilowatt", [4.5, 11.7, 58.6]),
        ("W", "watt", [4500]),
        ("MJ/h", "megajoule / hour", [30, 157]),
    ]),
    ("V", "volt", [("V", "volt", [120, 240]), ("mV", "millivolt", [30, 750]), ("kV", "kilovolt", [0.24])]),
    ("A", "ampere", [("A", "ampere", [15, 30]), ("mA", "milliampere", [6, 18750]), ("kA", "kiloampere", [0.03])]),
    ("in", "inch", [
        ("[in_i]", "inch", [0.75, 6]),
        ("[ft_i]", "foot", [0.5, 1, 2.5]),
        ("[yd_i]", "yard", [1, 2]),
        ("[mil_i]", "thou", [36, 24]),
        ("mm", "millimeter", [15, 22, 100, 150]),
        ("cm", "centimeter", [10, 15, 30.5]),
        ("m", "meter", [0.15, 1, 1.5]),
    ]),
    ("psi", "psi", [
        ("[psi]", "psi", [60, 150]),
        ("Pa", "pascal", [500000]),
        ("hPa", "hectopascal", [5000]),
        ("kPa", "kilopascal", [350, 500, 550]),
        ("MPa", "megapascal", [0.5]),
        ("bar", "bar", [3, 4, 5.5, 10]),
        ("mbar", "millibar", [4000]),
        ("atm", "atmosphere", [4]),
        ("[in_i'H2O]", "inch_H2O", [7, 11]),
        ("[in_i'Hg]", "inch_Hg", [30]),
        ("mm[Hg]", "mmHg", [760, 3000]),
        ("[lbf_av]/[sft_i]", "force_pound / foot ** 2", [8640]),
    ]),
    ("degF", "degF", [
        ("[degF]", "degF", [120, 140]),
        ("Cel", "degC", [0, 49, 54, 60, 100]),
        ("K", "kelvin", [322, 333.15]),
    ]),
    ("in/ft", "inch / foot", [
        ("[in_i]/[ft_i]", "inch / foot", [0.25, 0.625]),
        ("mm/m", "millimeter / meter", [20, 21]),
        ("cm/m", "centimeter / meter", [1, 2.5]),
        ("%", "percent", [2, 2.08]),
    ]),
]

with open(pathlib.Path(__file__).parent / "conversion.tsv", "w", newline="\n") as out:
    out.write("# pint 0.25.3\tvalue\tto\tconverted\n")
    for to, target, spoken in TABLE:
        for ucum, name, values in spoken:
            for value in values:
                converted = units.Quantity(value, name).to(target).magnitude
                out.write(f"{ucum}\t{value}\t{to}\t{converted:.12g}\n")
