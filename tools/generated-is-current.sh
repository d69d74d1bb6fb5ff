#!/usr/bin/env bash
# Generates the Go code of the protos once more and compares it with what is committed.
set -euo pipefail
cd "$(dirname "$0")/.."
fresh=$(mktemp -d)
trap 'rm -rf "$fresh"' EXIT
go tool -modfile=tools/buf/go.mod buf generate -o "$fresh"
if ! diff -rq "$fresh/api/gauged" api/gauged; then
  echo "the generated code is not current: run make generate and commit the result" >&2
  exit 1
fi
