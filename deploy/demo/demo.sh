#!/usr/bin/env bash
# Starts simulated gauges on pseudo-terminals and the real daemon, and runs two
# jobs to their verdicts. With --keep the station then stays up until Ctrl-C.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
bin=$(cd "$here/../../bin" && pwd)
run=$here/run
export GAUGECTL_ADDRESS=unix://$run/gauged.sock

say() { printf '\n== %s\n' "$*"; }
show() {
  printf '$ gaugectl %s\n' "$*"
  "$bin/gaugectl" "$@"
}
# The hands of the technician: what they do with a simulated gauge.
hands() { printf '%s\n' "$*" >&3; }
settle() { sleep 0.5; }

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

# Wait until the gauges that send by themselves are live.
for _ in $(seq 100); do
  "$bin/gaugectl" gauges 2>/dev/null | grep -c live | grep -qx 3 && break
  kill -0 "$daemon" 2>/dev/null || { cat "$run/gauged.log" >&2; exit 1; }
  sleep 0.1
done
say "The station's gauges"
show gauges

# measured GAUGE VALUE: put the gauge on the part and press its button.
measured() {
  hands set "$1" "$2"
  hands press "$1"
  settle
}

job_in_millimetres() {
  say "Job 1: output shaft of unit L2-0417, in millimetres"
  show job start output-shaft-ring --unit-serial L2-0417 --technician demo \
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
  hands set indicator 0.012
  settle
  show job capture 1
  hands set indicator 0.190
  settle
  show job capture 1
  show job verify 1
  show job close 1
}

job_in_inches() {
  say "Job 2: idler of unit L2-0388, in inches, with a gauge that is asked"
  show job start idler-thrust-washer --unit-serial L2-0388 --technician demo --gauge '*=lever'
  hands set lever 0.0243
  settle
  show job capture 2
  settle
  show job capture 2
  show job choose 2
  show job fit 2
  hands set lever 0.0085
  settle
  show job capture 2
  settle
  show job capture 2
  show job verify 2
  show job close 2
}

job_in_millimetres >"$run/job1.txt" 2>&1 || { cat "$run/job1.txt"; exit 1; }
cat "$run/job1.txt"
job_in_inches >"$run/job2.txt" 2>&1 || { cat "$run/job2.txt"; exit 1; }
cat "$run/job2.txt"

say "Every verdict computed again from the stored facts"
show history replay
say "Metrics: http://127.0.0.1:9412/metrics"
if command -v curl >/dev/null; then
  curl -sf http://127.0.0.1:9412/metrics | grep -E '^gauged_(readings_total|verdicts_total|connection_state\{.*1$|history_last)' || true
fi

if [ "${1:-}" = --keep ]; then
  say "The station stays up; Ctrl-C ends it. The bench page: http://127.0.0.1:7480/"
  printf 'In another terminal:\n  export GAUGECTL_ADDRESS=%s\n  %s watch\n' "$GAUGECTL_ADDRESS" "$bin/gaugectl"
  printf 'The gauges obey lines such as "set depth 46.415" and "press depth" written to\n  %s\n' "$run/hands"
  wait "$daemon"
fi
say "Done: the history, the logs and what was printed are in $run"
