#!/usr/bin/env python3
"""How long it takes from the end of a statement of about ten seconds to its facts, in a session fed in real time.

    cargo build --release && benches/listen.py target/release/hearsheet

Each statement is cut from the samples at a pause and followed by five seconds of silence. Told are the seconds from its
last voiced sample to the last line of facts before the next statement begins, and their median.
"""
import array, pathlib, statistics, subprocess, sys, tempfile, threading, time, wave

RATE, FRAME = 16_000, 320
LOUD = 250          # mean size of a sample in a frame in which somebody speaks
SHORTEST_S, PAUSE_S, REST_S = 8.5, 0.35, 5.0
samples = pathlib.Path(__file__).parent.parent / "samples"


def statements(path):
    """Stretches of at least SHORTEST_S that end at a pause."""
    with wave.open(str(path)) as file:
        sound = array.array("h", file.readframes(file.getnframes()))
    loud = [sum(map(abs, sound[at : at + FRAME])) / FRAME > LOUD for at in range(0, len(sound), FRAME)]
    start, last = None, 0
    for at, speaks in enumerate(loud + [False] * 100):
        if speaks:
            start, last = at if start is None else start, at
        elif start is not None and (at - last) * FRAME > PAUSE_S * RATE and (last - start) * FRAME > SHORTEST_S * RATE:
            yield sound[start * FRAME : (last + 1) * FRAME]
            start = None


def main(program, *options):
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run([program, "visit", "new", f"{folder}/v"], check=True, stdout=subprocess.DEVNULL)
        session = subprocess.Popen(
            [program, "listen", f"{folder}/v", "--plain", "--no-tone", "--from", "-", *options],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=False)
        told = []
        reader = threading.Thread(
            target=lambda: [told.append(time.monotonic()) for line in session.stdout if line.startswith(b"heard: ")])
        reader.start()
        begun, fed, ends = time.monotonic(), 0, []

        def feed(sound):
            nonlocal fed
            for at in range(0, len(sound), FRAME):
                session.stdin.write(sound[at : at + FRAME].tobytes())
                session.stdin.flush()
                fed += FRAME
                time.sleep(max(0, begun + fed / RATE - time.monotonic()))

        # The model is loaded while nobody speaks yet.
        feed(array.array("h", bytes(2 * RATE * 3)))
        for path in sorted(samples.glob("*.wav")):
            for statement in statements(path):
                feed(statement)
                end = time.monotonic()
                feed(array.array("h", bytes(int(2 * RATE * REST_S))))
                ends.append((path.stem, len(statement) / RATE, end, time.monotonic()))
        session.stdin.close()
        session.wait()
        reader.join()
    delays = []
    for name, length, end, until in ends:
        after = [at - end for at in told if end < at <= until]
        shown = f"{max(after):.2f} s" if after else "no fact after its end"
        print(f"{name:10} statement of {length:4.1f} s: {shown}")
        delays += [max(after)] if after else []
    print(f"median of {len(delays)}: {statistics.median(delays):.2f} s")


main(*sys.argv[1:])
