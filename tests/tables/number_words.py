"""Writes number_words.tsv: the words of num2words for 0 to 999, and a checksum of all to 99,999.

Run: pip install num2words==0.5.14 && python tests/tables/number_words.py

The test puts the words of larger numbers together as num2words does ("one thousand, two hundred and three"),
proves by the checksum that they are its very words, and reads every one of them.
"""
import hashlib
import pathlib

from num2words import num2words

LIMIT = 100_000
here = pathlib.Path(__file__).parent

sum_of_all = hashlib.sha256()
for number in range(LIMIT):
    sum_of_all.update((num2words(number) + "\n").encode())

with open(here / "number_words.tsv", "w", newline="\n") as out:
    out.write(f"# num2words 0.5.14, English; sha256 of the words of 0 to {LIMIT - 1}, a line each\t{sum_of_all.hexdigest()}\n")
    for number in range(1000):
        out.write(f"{number}\t{num2words(number)}\n")
