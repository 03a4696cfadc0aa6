#!/usr/bin/env python3
"""Two hours of sound: memory, time, and whether anything is lost.

    cargo build --release
    benches/long.py target/release/hearsheet RECORDINGS draft      two hours at 48 kHz in two channels, drafted
    benches/long.py target/release/hearsheet RECORDINGS stop       the same, stopped by Ctrl-C after a minute, drafted again
    benches/long.py target/release/hearsheet RECORDINGS listen     two hours fed to a session at eight times real time

RECORDINGS is a folder of WAV files at 16 kHz, joined until they last two hours; HOURS=0.2 in the environment asks for less.
Further options go to the program. ffmpeg makes the FLAC that is drafted.
"""
import array, itertools, os, pathlib, signal, subprocess, sys, tempfile, threading, time, wave

RATE, PACE = 16_000, 8
SECONDS = float(os.environ.get("HOURS", "2")) * 3600


def joined(folder):
    """The recordings one after another, as often as it takes."""
    sound = array.array("h")
    paths = sorted(pathlib.Path(folder).glob("*.wav"))
    for path in itertools.cycle(paths):
        with wave.open(str(path)) as file:
            assert (file.getframerate(), file.getnchannels(), file.getsampwidth()) == (RATE, 1, 2), path
            sound.frombytes(file.readframes(file.getnframes()))
        if len(sound) >= SECONDS * RATE:
            return sound[: int(SECONDS * RATE)]


def megabytes(process, field):
    """VmHWM is the most memory so far, VmRSS that of now."""
    try:
        status = pathlib.Path(f"/proc/{process.pid}/status").read_text()
    except OSError:
        return None
    return next((int(line.split()[1]) / 1024 for line in status.splitlines() if line.startswith(field)), None)


class Watch(threading.Thread):
    """Looks at a process once in a while until it ends."""

    def __init__(self, process):
        super().__init__(daemon=True)
        self.process, self.most, self.course, self.begun = process, 0, [], time.monotonic()
        self.start()

    def run(self):
        told = 0
        while self.process.poll() is None:
            if most := megabytes(self.process, "VmHWM"):
                self.most = most
            if time.monotonic() - self.begun >= told and (now := megabytes(self.process, "VmRSS")):
                self.course.append((round(time.monotonic() - self.begun), round(now)))
                told += 60
            time.sleep(0.2)


def stereo(sound, path):
    raw = ["-f", "s16le", "-ar", str(RATE), "-ac", "1", "-i", "-"]
    made = ["ffmpeg", "-loglevel", "error", "-y", *raw, "-ar", "48000", "-ac", "2", path]
    subprocess.run(made, input=sound.tobytes(), check=True)


def visit(program, folder):
    subprocess.run([program, "visit", "new", f"{folder}/v"], check=True, stdout=subprocess.DEVNULL)
    return f"{folder}/v"


def drafted(program, options, dir, after=None):
    """Drafts, stopped after so many seconds if that is asked for; tells what it took."""
    begun = time.monotonic()
    process = subprocess.Popen([program, "draft", dir, *options], stdout=subprocess.DEVNULL)
    watch = Watch(process)
    if after:
        time.sleep(after)
        asked = time.monotonic()
        process.send_signal(signal.SIGINT)
        process.wait()
        print(f"stopped {time.monotonic() - asked:.2f} s after Ctrl-C")
    process.wait()
    watch.join()
    print(f"drafted in {time.monotonic() - begun:.0f} s, exit code {process.returncode}, peak {watch.most:.0f} MB")


def draft(program, sound, folder, options, stop):
    stereo(sound, f"{folder}/walk.flac")
    dir = visit(program, folder)
    subprocess.run([program, "visit", "add", dir, f"{folder}/walk.flac"], check=True, stdout=subprocess.DEVNULL)
    if stop:
        drafted(program, options, dir, after=60)
        kept = list(pathlib.Path(dir, "partial").glob("*.jsonl"))
        stretches = sum(len(path.read_text().splitlines()) - 1 for path in kept)
        print(f"{stretches} stretches were kept")
    drafted(program, options, dir)


def listen(program, sound, folder, options):
    dir = visit(program, folder)
    command = [program, "listen", dir, "--plain", "--no-tone", "--from", "-", *options]
    process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL)
    watch = Watch(process)
    begun, late, step = time.monotonic(), 0.0, RATE // 10
    for at in range(0, len(sound), step):
        process.stdin.write(sound[at : at + step].tobytes())
        process.stdin.flush()
        ahead = begun + (at + step) / RATE / PACE - time.monotonic()
        late = max(late, -ahead)
        time.sleep(max(0, ahead))
    process.stdin.close()
    fed = time.monotonic() - begun
    process.wait()
    watch.join()
    kept = array.array("h")
    for note in sorted(pathlib.Path(dir, "notes").glob("*.wav")):
        with wave.open(str(note)) as file:
            kept.frombytes(file.readframes(file.getnframes()))
    same = "all" if kept == sound else "NOT all"
    print(f"fed in {fed:.0f} s, at most {late:.1f} s late; heard to its end {time.monotonic() - begun - fed:.0f} s later")
    print(f"{same} of {len(sound)} samples are kept ({len(kept)}); exit code {process.returncode}")
    print(f"peak {watch.most:.0f} MB; MB at seconds: {' '.join(f'{mb}@{at}' for at, mb in watch.course)}")


def main(program, recordings, what, *options):
    sound = joined(recordings)
    print(f"{len(sound) / RATE / 3600:.2f} hours of {recordings}, {what}", flush=True)
    with tempfile.TemporaryDirectory() as folder:
        match what:
            case "listen":
                listen(program, sound, folder, options)
            case "draft" | "stop":
                draft(program, sound, folder, options, what == "stop")
            case _:
                sys.exit(__doc__)


main(*sys.argv[1:])
