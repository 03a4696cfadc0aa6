#!/usr/bin/env bash
# Holds `batch` against a loop of single drafts: hours of sound an hour and peak memory, on visits of three notes each.
#   benches/batch.sh RECORDINGS [VISITS [SECONDS]]
# RECORDINGS is a folder of WAV files; the notes are cut from them, each from another place, SECONDS long at most.
# Needs a built program: HEARSHEET, or target/release/hearsheet.
set -euo pipefail
recordings=$(realpath "$1") visits=${2:-200} seconds=${3:-60}
cd "$(dirname "$0")/.."
hearsheet=$(realpath "${HEARSHEET:-target/release/hearsheet}")
export HEARSHEET_MODELS=${HEARSHEET_MODELS:-$PWD/models}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# Cuts the notes; prints how many seconds they last together.
make_notes() {
  python3 - "$recordings" "$1" "$2" "$seconds" <<'PY'
import pathlib, sys, wave
source, out, visits, seconds = pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2]), int(sys.argv[3]), float(sys.argv[4])
files = sorted(source.rglob("*.wav"))
total = 0.0
for number in range(3 * visits):
    with wave.open(str(files[number % len(files)])) as sound:
        rate, count = sound.getframerate(), sound.getnframes()
        # No two notes have the same bytes: a copy would not be heard again.
        start = min(number // len(files) * rate // 50, count // 2)
        sound.setpos(start)
        frames = sound.readframes(min(count - start, int(seconds * rate)))
        path = out / f"visit-{number // 3:03}" / f"note-{number % 3}.wav"
        path.parent.mkdir(parents=True, exist_ok=True)
        with wave.open(str(path), "wb") as note:
            note.setparams(sound.getparams())
            note.writeframes(frames)
        total += len(frames) / sound.getsampwidth() / sound.getnchannels() / rate
print(total)
PY
}

# Runs a command; prints its seconds and the megabytes that its largest program took.
measure() {
  python3 - "$@" <<'PY'
import resource, subprocess, sys, time
begun = time.monotonic()
subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
print(time.monotonic() - begun, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024)
PY
}

cat >"$work/loop.sh" <<LOOP
for visit in "\$1"/*; do
  one="\$2/\$(basename "\$visit")"
  "$hearsheet" visit new "\$one" --date 2026-11-25
  "$hearsheet" visit add "\$one" "\$visit"/*
  "$hearsheet" draft "\$one"
done
LOOP

run() { # NAME VISITS SOUND_SECONDS COMMAND...
  local name=$1 count=$2 sound=$3 took memory
  shift 3
  read -r took memory < <(measure "$@")
  awk -v n="$name" -v v="$count" -v s="$sound" -v t="$took" -v m="$memory" \
    'BEGIN { printf "%-6s %4d visits: %7.1f s for %5.2f h of sound, %5.1f h an hour, peak %4.0f MB\n", n, v, t, s / 3600, s / t, m }'
  echo "$took" >"$work/took-$name-$count"
}

few=$(((visits + 9) / 10))
few_sound=$(make_notes "$work/few" "$few")
sound=$(make_notes "$work/in" "$visits")
mkdir "$work/single"
run batch "$few" "$few_sound" "$hearsheet" batch "$work/few" --out "$work/few-out"
run batch "$visits" "$sound" "$hearsheet" batch "$work/in" --out "$work/out"
run loop "$visits" "$sound" bash "$work/loop.sh" "$work/in" "$work/single"
paste "$work/took-loop-$visits" "$work/took-batch-$visits" | awk '{ printf "batch does %.2f times what the loop does\n", $1 / $2 }'
# The drafts are the same, whichever way they were made.
for visit in "$work"/in/*; do
  name=$(basename "$visit")
  cmp "$work/out/$name/record.json" "$work/single/$name/record.json" || echo "differs: $name"
done
