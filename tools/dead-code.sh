#!/usr/bin/env bash
# Names the functions that no program reaches: what only tests call lies in the tests.
set -euo pipefail
cd "$(dirname "$0")/.."
for_tests='^internal/(cli/clitest|historytest)/' # packages that only tests import
if go tool deadcode ./... | grep -vE "$for_tests"; then
  echo "no program reaches these functions: delete them, or move them to the tests that call them" >&2
  exit 1
fi
