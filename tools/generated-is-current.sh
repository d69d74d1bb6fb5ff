#!/usr/bin/env bash
# Generates the Go code of the protos and the document of the calls over HTTP once more and
# compares them with what is committed.
set -euo pipefail
cd "$(dirname "$0")/.."
fresh=$(mktemp -d)
trap 'rm -rf "$fresh"' EXIT
go tool -modfile=tools/buf/go.mod buf generate -o "$fresh"
go run ./tools/openapi "$fresh/api"
if ! diff -rq "$fresh/api/gauged" api/gauged || ! diff -q "$fresh/api/openapi.json" api/openapi.json; then
  echo "the generated code is not current: run make generate and commit the result" >&2
  exit 1
fi
