#!/usr/bin/env bash
# Chooses the strength of the pull of the trade's words: hears the odd-numbered recordings of a folder of labelled
# dictations with each strength, and prints word errors and terms, clean and noisy; then the even-numbered ones with the
# strength built in, to confirm.
#   benches/pull.sh DICTATIONS [FIRST,STEP,MOST ...]
# Needs a built program: HEARSHEET, or target/release/hearsheet.
set -euo pipefail
dictations=$(realpath "$1")
shift
[ $# -gt 0 ] || set -- 0.5,1,4 1,1.5,6 1,2,8 1.5,1.5,6 2,1.5,6 2.5,1.5,6
cd "$(dirname "$0")/.."
hearsheet=$(realpath "${HEARSHEET:-target/release/hearsheet}")
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# Links the dictations whose number ends in one of these digits into a folder of their own.
part() {
  mkdir -p "$work/$1"
  ln -s "$dictations/audio" "$work/$1/audio"
  ln -s "$dictations"/*[$2].json "$work/$1/"
}
part odd 13579
part even 02468

score() {
  "$hearsheet" score "$1" --audio --threads "${THREADS:-1}" --cache "$work/heard" "${@:2}" | grep -E '^(== |facts|word error)' | grep -A2 -E 'clean|noisy'
}
echo "odd-numbered, no pull"
score "$work/odd" --no-pull
for strength; do
  echo "odd-numbered, $strength"
  score "$work/odd" --pull-strength "$strength"
done
echo "even-numbered, no pull and as built in"
score "$work/even" --no-pull
score "$work/even"
