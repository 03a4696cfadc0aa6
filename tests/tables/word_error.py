"""Makes normal.tsv and word_error.tsv: what two reference libraries make of our own phrases.

    pip install jiwer==4.0.0 whisper-normalizer==0.1.15 num2words==0.5.14
    python word_error.py
"""

from pathlib import Path

import jiwer
from num2words import num2words
from whisper_normalizer.english import EnglishTextNormalizer

HERE = Path(__file__).parent
normalize = EnglishTextNormalizer()

# Phrases of our own, as an inspector or a recogniser might put them.
PHRASES = """
Three quarter inch copper, forty five hundred watts at two forty volts.
Made in twenty nineteen.
Built oh nine, or twenty ten.
It rises point two five inches per foot.
Two point five, then zero point seven five.
Three and a half inches off the slab.
Ends one and a half inches high.
Serial double six, triple zero, four M.
Model K seven dash oh oh two.
One hundred ninety nine thousand B T U per hour.
Seventy two p s i static.
It's the valve's outlet, it'll drip, they've capped it.
I don't see one, can't reach it, won't guess, ain't any.
We're done, I'd say; she'd been there, he's gone, it's got rust.
Gonna check, wanna look, gotta go, let's see, y'all wait.
[um] Hmm, mm, uh, no (inaudible) leak.
4,500 watts on a 240-volt circuit.
12,345,678 of them
1/2 inch, 3/4" pipe
Five percent, 20% and 7 per cent
One twenty over two forty.
Thirty-eight hundred
First floor, twenty first street, the third one, thirtieth
Two thousand eleven, nineteen ninety eight, two thousand and seven
Grey litres and metres of aluminium, mouldy
T&P valve
Seventy five to eighty pounds
Five dollars and ten cents
It cost twenty dollars, or five cents
The nineties, the twenties, 1990s
R one four double six two B
U.S.A. at No. 5, Mr. Doe
Two hundred and eight, six hundred and five
zero one two
Two and three, one and only
A million, 2 thousand, three point five million
Minus five degrees, plus two, negative ten
the plus side and the minus side
The point is this; point taken
double check it, triple time
3.5 gal. tank, 0.25 in., $5.50
16-20 or 20-16
four hundred thousand two hundred twelve
one hundred fifty and a hose
thirty amp, forty amp breaker
ten gauge Romex
P twenty eight oh four point six point one
four oh two
fourteen sixteen
fifty fifty five
eleven hundred
six six six
twenty twenty
twenty two two
ninety nine point nine
one hundred thirty one degrees
a hundred and thirty one
five eighths of an inch
the second heater, seconds later
ones and twos
one
no. one.
water heater: garage; electric/gas
40gal 50 psi 4AWG 2nd 3rds 1st
café naïve façade
it 's fine, the pan 's dry
two thousand, three thousand five hundred
nineteen hundred and five
o two sensor, oh well
fifteen hundred watts at one hundred twenty volts on a twenty amp breaker
sixty two, no wait, make that seventy two
hot hot hot
""".strip().splitlines()

NUMBERS = [*range(0, 130, 3), *range(130, 2000, 37), *range(2000, 2030, 3), *range(2500, 100000, 3137)]

# What was said and what was heard.
PAIRS = """
The flue pipe is single wall.|The flu pipe is single wall.
Drip leg is there.|Drip blade is there.
No drain pan under it.|No drain pan.
No pan.|There is no pan.
Forty five hundred watts at two forty volts.|4500 watts at 240 volts.
Forty five hundred watts.|45 hundred what's
Made in twenty nineteen.|Made in 2019
Made in twenty nineteen.|Made in 2090.
It's seventy two p s i.|it is 72 psi
The whip is not in conduit.|The whip isn't inconduate.
Within sight of the heater.|with insight of the heater
Schedule forty P V C.|schedule for DPVC
Three quarter inch copper.|3 quarter inch copper
Three quarter inch copper.|3/4 inch copper
Couldn't get around the back of it on account of the ductwork.|could not get around the back on the count of the duct work
Serial double six, two B.|serial 662 B
Relief valve's there, its pipe is copper.|Relief valves there, it's pipe as copper.
[um] Public water, I think.|public water I think
The limit is eighty.|The limit is 80, thank you for watching.
Thirty amp breaker.|
Static is sixty two, no wait, make that seventy two.|Static is 62 no wait make that 72
a b c d e f|b c d e f g
one two three four|four three two one
Expansion tank up top, charged to fifty pounds.|Expansion tank uptop charge to fifty pounds
Hot water ran a hundred thirty one degrees at the shower.|Hot water ran 131 degrees at the shower
City water, backflow at the metre.|City water, back flow at the meter
""".strip().splitlines()


def main():
    texts = PHRASES + [f"it reads {num2words(n)} at the gauge" for n in NUMBERS]
    rows = [f"{text}\t{normalize(text)}\n" for text in texts]
    (HERE / "normal.tsv").write_text("".join(rows))
    rows = []
    for pair in PAIRS:
        spoken, heard = pair.split("|")
        out = jiwer.process_words(normalize(spoken), normalize(heard))
        errors = out.substitutions + out.deletions + out.insertions
        words = out.hits + out.substitutions + out.deletions
        rows.append(f"{spoken}\t{heard}\t{errors}\t{words}\n")
    (HERE / "word_error.tsv").write_text("".join(rows))


main()
