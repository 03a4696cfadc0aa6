#!/usr/bin/env python3
"""How long `hearsheet queue` takes for ten thousand made-up visits, cold and warm; the aim is under two seconds.
  benches/queue.py [VISITS]
Cold is with the system's page cache emptied, which only root may do: others get the warm figures.
Needs a built program: HEARSHEET, or target/release/hearsheet."""
import json, os, pathlib, subprocess, sys, tempfile, time

HERE = pathlib.Path(__file__).resolve().parent.parent
HEARSHEET = os.environ.get("HEARSHEET", str(HERE / "target/release/hearsheet"))
# About as many facts as a thorough dictation gives.
FACTS = 35


def record(number):
    """A record as a dictation gives it; invented."""
    def fact(at):
        proof = {"note": "garage.wav", "start_ms": 1000 * at, "end_ms": 1000 * at + 900, "span": [8 * at, 8 * at + 8],
                 "words": "static pressure sixty one at the hose bib", "rule": "static-pressure"}
        return {"item": 1, "component": "water-system", "attribute": "static-pressure",
                "value": at if at % 4 == 0 else "present", "state": "heard", "confidence": 0.5 + (number + at) % 50 / 100,
                "disputed": False, "doubts": [], "evidence": [proof]}
    question = {"item": 1, "component": "expansion-valve", "attribute": "presence", "kind": "conditional",
                "why": "Expansion valve anywhere in the house?"}
    return {"version": 1, "facts": [fact(at) for at in range(FACTS)], "open": [question]}


def timed(root):
    begun = time.monotonic()
    listed = subprocess.run([HEARSHEET, "queue", root], capture_output=True, text=True)
    took = time.monotonic() - begun
    assert listed.returncode == 1 and "cannot be read" not in listed.stdout, listed.stderr or listed.stdout[:2000]
    return took, len(listed.stdout.splitlines()) - 1


def forget():
    """Empties the page cache; False where that is not allowed."""
    try:
        os.sync()
        pathlib.Path("/proc/sys/vm/drop_caches").write_text("3")
        return True
    except OSError:
        return False


def main():
    visits = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    with tempfile.TemporaryDirectory() as root:
        model = pathlib.Path(root, "model")
        subprocess.run([HEARSHEET, "visit", "new", model, "--property", "41 Larkspur Lane", "--date", "2026-03-14"],
                       check=True, capture_output=True)
        about = (model / "visit.toml").read_text()
        for number in range(1, visits):
            path = pathlib.Path(root, f"{number % 100:02}", f"visit-{number}")
            path.mkdir(parents=True)
            (path / "visit.toml").write_text(about)
            (path / "record.json").write_text(json.dumps(record(number), indent=2))
        warm = [timed(root) for _ in range(5)][1:]
        cold = [timed(root) for _ in range(3) if forget()]
    assert all(count == visits for _, count in warm + cold)
    for name, runs in [("warm", warm), ("cold", cold)]:
        times = sorted(took for took, _ in runs)
        told = f"{times[len(times) // 2]:.2f} s in the middle, {times[-1]:.2f} s at most" if times else "not allowed"
        print(f"{visits} visits, {name}: {told}")


main()
