#!/usr/bin/env bash
# Starts simulated gauges on pseudo-terminals and the real daemon, and runs two
# jobs to their verdicts. With --keep the station then stays up until Ctrl-C.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
bin=$(cd "$here/../../bin" && pwd)
run=$here/run
metrics=$(sed -n 's/^  metrics: *//p' "$here/station.yaml")
page=$(sed -n 's/^  page: *//p' "$here/station.yaml")
export GAUGECTL_ADDRESS=unix://$run/gauged.sock

say() { printf '\n== %s\n' "$*"; }
show() {
  printf '$ gaugectl %s\n' "$*"
  "$bin/gaugectl" "$@"
}
# The hands of the technician: what they do with a simulated gauge.
hands() { printf '%s\n' "$*" >&3; }
# until_ WHAT COMMAND...: wait until a command succeeds.
until_() {
  local what=$1
  shift
  for _ in $(seq 600); do
    "$@" && return
    kill -0 "$daemon" 2>/dev/null || { cat "$run/gauged.log" >&2; exit 1; }
    sleep 0.05
  done
  echo "it did not come about that $what" >&2
  exit 1
}
# What the station has of a gauge: its state, the digits it shows, its readings.
of() { "$bin/gaugectl" gauges 2>/dev/null | awk -v g="$2" -v what="$1" '
  $1 == g && what == "state" { print $2 }
  $1 == g && what == "digits" { print $3 }
  $1 == g && what == "readings" { print $3 == "-" ? $5 : $6 }'; }
live() { [ "$(of state depth) $(of state indicator) $(of state lever)" = "live live live" ]; }
more() { [ "$(of readings "$1")" -gt "$2" ]; }
near() { of digits "$1" | awk -v v="$2" -v w="$3" '{ found = $1 != "-" && $1 - v <= w && v - $1 <= w } END { exit !found }'; }

cleanup() {
  trap - EXIT INT TERM
  exec 3>&- || true
  kill "${daemon:-}" "${gauges:-}" 2>/dev/null || true
  wait 2>/dev/null || true
}
trap cleanup EXIT
trap 'cleanup; exit 130' INT TERM

rm -rf "$run"
mkdir -p "$run"
mkfifo "$run/hands"
"$bin/gaugectl" simulate "$here/scenario.yaml" --dir "$run/gauges" <"$run/hands" >"$run/simulate.log" 2>&1 &
gauges=$!
exec 3>"$run/hands"
"$bin/gauged" --config "$here/station.yaml" 2>"$run/gauged.log" &
daemon=$!

until_ "the gauges are live" live
say "The station's gauges"
show gauges

# measured GAUGE VALUE: put the gauge on the part and press its button.
measured() {
  local before
  before=$(of readings "$1")
  hands set "$1" "$2"
  sleep 0.9 # a press of the same gauge within 0.8 s would be the second one at the part before
  hands press "$1"
  until_ "the reading is stored" more "$1" "$before"
}
# moved GAUGE VALUE WITHIN: move a gauge that sends by itself, and wait until it shows it.
moved() {
  hands set "$1" "$2"
  until_ "$1 shows $2" near "$1" "$2" "$3"
}
# captured JOB GAUGE: take the newest reading, and wait for the one after it.
captured() {
  local before
  show job capture "$1"
  before=$(of readings "$2")
  until_ "$2 sends again" more "$2" "$before"
}

job_in_millimetres() {
  say "Job 1: output shaft of unit L2-0417, in millimetres"
  show job start output-shaft-ring --unit-serial L2-0417 --by demo \
    --gauge case_depth=depth --gauge boss_height=depth --gauge pushed=indicator --gauge pulled=indicator
  say "Three readings of the case depth; the gauge slips at the second"
  measured depth 46.415
  measured depth 46.702
  show job discard 1 --reason "gauge foot was not flat"
  measured depth 46.412
  measured depth 46.418
  say "Two readings of the boss height: the part follows"
  measured depth 45.030
  measured depth 45.036
  show job show 1
  say "The technician takes the recommended ring, measures and fits it"
  show job choose 1
  show job fit 1 --thickness 1.498mm
  say "Proof: the shaft is pushed in, then pulled out"
  moved indicator 0.012 0.005
  show job capture 1
  moved indicator 0.190 0.005
  show job capture 1
  show job verify 1
  show job close 1
}

job_in_inches() {
  say "Job 2: idler of unit L2-0388, in inches, with a gauge that is asked"
  show job start idler-thrust-washer --unit-serial L2-0388 --by demo --gauge '*=lever'
  moved lever 0.0243 0.0006
  captured 2 lever
  show job capture 2
  show job choose 2
  show job fit 2
  moved lever 0.0085 0.0006
  captured 2 lever
  show job capture 2
  show job verify 2
  show job close 2
}

job_in_millimetres 2>&1 | tee "$run/job1.txt"
job_in_inches 2>&1 | tee "$run/job2.txt"

say "Every verdict computed again from the stored facts"
show history replay
say "Metrics: http://$metrics/metrics"
if command -v curl >/dev/null; then
  curl -sf http://$metrics/metrics | grep -E '^gauged_(readings_total|verdicts_total|connection_state\{.*1$|history_last)' || true
fi

if [ "${1:-}" = --keep ]; then
  say "The station stays up; Ctrl-C ends it. The bench page: http://$page/"
  printf 'In another terminal:\n  export GAUGECTL_ADDRESS=%s\n  %s watch\n' "$GAUGECTL_ADDRESS" "$bin/gaugectl"
  printf 'The gauges obey lines such as "set depth 46.415" and "press depth" written to\n  %s\n' "$run/hands"
  wait "$daemon"
fi
say "Done: the history, the logs and what was printed are in $run"
