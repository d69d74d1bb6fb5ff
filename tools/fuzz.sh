#!/usr/bin/env bash
# Gives each fuzz target of tools/fuzz.txt its time, FUZZTIME: 60s, or a number of
# executions such as 7000000x. It prints how many executions that was and goes on after
# a finding, which ends it with an error. With names of targets it takes these alone.
#
# An input that reaches something new is made smaller with 20 executions. Go would go on
# with each for a minute, and a target that is slow would do nothing else.
#
# When the time is up Go stops its workers and does not always wait for a busy one: then
# it says "context deadline exceeded" and has found nothing. Such an end is told apart
# from a finding, which has an input, and the executions until then count.
set -euo pipefail
cd "$(dirname "$0")/.."
log=$(mktemp)
trap 'rm -f "$log"' EXIT
total=0
found=()
while read -r pkg target; do
  [ $# = 0 ] || [[ " $* " == *" $target "* ]] || continue
  ok=yes
  go test -run xxx -fuzz "^$target\$" -fuzztime "${FUZZTIME:-60s}" -fuzzminimizetime 20x "$pkg" </dev/null >"$log" 2>&1 || ok=no
  if [ $ok = no ] && grep -q 'context deadline exceeded' "$log" && ! grep -qE 'Failing input|panic|fuzzing process hung|--- FAIL: Fuzz.*/' "$log"; then
    ok=yes
  fi
  last=$(grep -oE 'elapsed: [^,]+, execs: [0-9]+' "$log" | tail -1 || true)
  execs=${last##* }
  total=$((total + ${execs:-0}))
  printf '%-28s %-18s %12s executions  %s\n' "$pkg" "$target" "${execs:-0}" "${last%%, execs*}"
  if [ $ok = no ] || [ -z "$last" ]; then
    cat "$log"
    found+=("$target")
  fi
done < <(grep -v '^#' tools/fuzz.txt)
echo "$total executions"
[ ${#found[@]} = 0 ] || { echo "found something: ${found[*]}" >&2; exit 1; }
