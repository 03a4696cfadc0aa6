"""Writes mel.tsv: the mel filterbank of librosa, against which ours is tested.

pip install librosa==0.11.0; python3 tests/tables/mel.py
"""
import pathlib

import librosa

bank = librosa.filters.mel(sr=16000, n_fft=400, n_mels=80)
with open(pathlib.Path(__file__).parent / "mel.tsv", "w") as out:
    print(f"# librosa {librosa.__version__}: band, bin, weight; weights not listed are zero", file=out)
    for band, bins in enumerate(bank):
        for bin_, weight in enumerate(bins):
            if weight:
                print(band, bin_, repr(float(weight)), sep="\t", file=out)
