#!/usr/bin/env bash
# A simulated indicator drifts: its check fails, the alert is raised in a real
# Prometheus, no job takes the gauge any more, and the recall names the unit whose
# verdict changes.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
bin=$(cd "$here/../../bin" && pwd)
run=$here/run
alerts=http://127.0.0.1:9414/api/v1/alerts
export GAUGECTL_ADDRESS=unix://$run/gauged.sock GAUGECTL_BY=demo

say() { printf '\n== %s\n' "$*"; }
show() {
  printf '$ gaugectl %s\n' "$*"
  "$bin/gaugectl" "$@"
}
hands() { printf '%s\n' "$*" >&3; }
# until_ WHAT COMMAND...: wait until a command succeeds.
until_() {
  local what=$1
  shift
  for _ in $(seq 300); do
    "$@" >/dev/null 2>&1 && return
    sleep 0.1
  done
  echo "it did not come about that $what" >&2
  exit 1
}
cleanup() {
  trap - EXIT INT TERM
  exec 3>&- || true
  kill "${prometheus:-}" "${daemon:-}" "${gauges:-}" 2>/dev/null || true
  wait 2>/dev/null || true
}
trap cleanup EXIT
trap 'cleanup; exit 130' INT TERM

# The error of the indicator, which adds to everything that it shows.
error=0
# reads VALUE: the indicator is put on something of that size and its button is
# pressed; what it was stored as is in $seq.
reads() {
  local before
  before=$(newest)
  hands set dial "$(awk -v v="$1" -v e="$error" 'BEGIN { printf "%.3f", v + e }')"
  sleep 0.9 # a press within 0.8 s would be the second one at the part before
  hands press dial
  until_ "the reading is stored" stored "$before"
  seq=$(newest)
}
newest() { "$bin/gaugectl" gauges --output json | tr -d ' \n' | sed -n 's/.*"last_reading":{"seq":"\([0-9]*\)".*/\1/p'; }
stored() { [ "$(newest)" != "$1" ]; }

check() {
  local zero block
  show master begin dial --at zero --at block-10 >/dev/null
  reads 0 && zero=$seq
  reads 0 && zero=$zero,$seq
  reads 10 && block=$seq
  reads 10 && block=$block,$seq
  show master record dial --at "zero=$zero" --at "block-10=$block" --occasion "$1" || true
}
# job NUMBER UNIT DEPTH: measure, fit what is recommended, and measure the play.
job() {
  show job start intermediate-spacer --unit-serial "$2" --gauge '*=dial' >/dev/null
  reads "$3"
  reads "$3"
  show job choose "$1"
  show job fit "$1" >/dev/null
  local thickness
  thickness=$("$bin/gaugectl" job show "$1" --output json | tr -d ' \n' | sed -n 's/.*"fitted":{"part":"SP-\([0-9]*\)".*/\1/p')
  reads "$(awk -v d="$3" -v t="$thickness" 'BEGIN { printf "%.3f", d - t / 100 }')"
  show job verify "$1" || true
  show job close "$1" >/dev/null
}

rm -rf "$run"
mkdir -p "$run"
mkfifo "$run/hands"
"$bin/gaugectl" simulate "$here/scenario.yaml" --dir "$run/gauges" <"$run/hands" >"$run/simulate.log" 2>&1 &
gauges=$!
exec 3>"$run/hands"
"$bin/gauged" --config "$here/station.yaml" 2>"$run/gauged.log" &
daemon=$!
cat >"$run/prometheus.yaml" <<END
global: {scrape_interval: 1s, evaluation_interval: 1s}
rule_files: [$here/../prometheus/gauged.rules.yaml]
scrape_configs: [{job_name: gauged, static_configs: [{targets: [127.0.0.1:9413]}]}]
END
prometheus --config.file "$run/prometheus.yaml" --storage.tsdb.path "$run/prometheus" --web.listen-address 127.0.0.1:9414 >"$run/prometheus.log" 2>&1 &
prometheus=$!
until_ "the gauge is live" sh -c "\"$bin/gaugectl\" gauges | grep -q live"
hands press dial
until_ "the first reading is stored" sh -c "\"$bin/gaugectl\" gauges --output json | grep -q '\"last_reading\": {'"

say "The indicator is checked before it is used"
check "before use"
say "Unit A-1, while the indicator is right"
job 1 A-1 2.672
say "Between the jobs the indicator is knocked: from now on it shows 0.060 mm too much"
error=0.060
say "Unit A-2"
job 2 A-2 2.590
say "The next check finds it"
check periodic
say "No job takes it"
show job start intermediate-spacer --unit-serial A-3 --gauge '*=dial' || true
say "The alert is raised in Prometheus"
until_ "the alert is raised" sh -c "curl -sf $alerts | grep -q '\"alertname\":\"GaugeErrorBeyondLimit\"'"
curl -sf "$alerts" | tr '{' '\n' | grep -o '"summary":"[^"]*"' | sort -u
say "What it did to the work since its last good check: the verdict of A-2 turns, that of A-1 stands"
show recall dial --csv "$run/recall.csv" || true
say "How far each gauge can be trusted"
show checks
say "The same over months: the checks of an invented indicator that drifts slowly"
show drift "$here/checks.csv" --mpe 6 --unit um
say "Done: the history, the logs and the recall list are in $run"
