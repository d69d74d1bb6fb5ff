#!/usr/bin/env bash
# Makes sure that the programs which the tests run are there. As root on Debian
# it installs what is missing; elsewhere it names it. With CI=true a missing
# program ends it with an error, so that no test can be skipped unseen.
set -euo pipefail

# program or file, and the Debian package that has it
needed=(
  "gcc gcc"                                  # the race detector
  "pdftotext poppler-utils"                   # reads the job sheet back
  "curl curl"                                # the demonstration shows the metrics
  "prometheus prometheus"                     # is asked for every expression of the dashboards
  "promtool prometheus"                      # checks the metrics
  "ser2net ser2net"                          # gauges behind a serial server
  "socat socat"                              # two ends of a line
  "/usr/lib/python3/dist-packages/pymodbus/__init__.py python3-pymodbus"  # a gauge on Modbus
  "glpsol glpk-utils"                        # packs are compared with its solver
  "protoc protobuf-compiler"                 # the Python client of the tests
  "grpc_python_plugin protobuf-compiler-grpc"
  "/usr/include/google/protobuf/timestamp.proto libprotobuf-dev"
  "/usr/lib/python3/dist-packages/grpc/__init__.py python3-grpcio"
  "/usr/lib/python3/dist-packages/google/protobuf/__init__.py python3-protobuf"
)

# "setup.sh usb": the virtual machine of make test-usb
if [ "${1:-}" = usb ]; then
  needed+=(
    "qemu-system-x86_64 qemu-system-x86"
    "/bin/busybox busybox-static"
    "cpio cpio"
  )
fi

# "setup.sh page": the browser of make test-page, and the accessibility checks
# that it runs, from npm in the version of tools/page-test/package-lock.json
if [ "${1:-}" = page ]; then
  needed+=(
    "chromium chromium"
    "/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf fonts-dejavu-core"
    "npm npm"
  )
fi

checks_from_npm() {
  local root
  root=$(cd "$(dirname "$0")/.." && pwd)
  cmp -s "$root/tools/page-test/package-lock.json" "$root/bin/page-test/package-lock.json" &&
    [ -e "$root/bin/page-test/node_modules/axe-core/axe.min.js" ] && return
  mkdir -p "$root/bin/page-test"
  cp "$root/tools/page-test/package.json" "$root/bin/page-test/"
  rm -f "$root/bin/page-test/package-lock.json"
  (cd "$root/bin/page-test" &&
    cp "$root/tools/page-test/package-lock.json" . &&
    npm ci --ignore-scripts --no-audit --no-fund --loglevel=error || { rm -f package-lock.json; exit 1; })
}

missing() {
  local entry program
  for entry in "${needed[@]}"; do
    program=${entry%% *}
    case $program in
      /*) [ -e "$program" ] || echo "${entry#* }" ;;
      *) command -v "$program" >/dev/null || echo "${entry#* }" ;;
    esac
  done
}

finish() {
  if [ "${1:-}" = page ]; then checks_from_npm || exit 1; fi
  exit 0
}

packages=$(missing)
[ -z "$packages" ] && finish "$@"
if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
  echo "installing:" $packages
  log=$(mktemp)
  if ! { apt-get update -q && DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends $packages; } >"$log" 2>&1; then
    cat "$log" >&2
  fi
  packages=$(missing)
  [ -z "$packages" ] && finish "$@"
fi
echo "missing, by the names of their Debian packages:" $packages >&2
echo "install them with: sudo apt-get install" $packages >&2
[ "${CI:-}" = true ] && exit 1
echo "tests that need them will fail and say so" >&2
