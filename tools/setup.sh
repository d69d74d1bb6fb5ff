#!/usr/bin/env bash
# Makes sure that the programs which the tests run are there. As root on Debian
# it installs what is missing; elsewhere it names it. With CI=true a missing
# program ends it with an error, so that no test can be skipped unseen.
set -euo pipefail

# program or file, the Debian package that has it, and the packages whose tests
# run it, with a comma between them; - where it is no test of a package
needed=(
  "gcc gcc ./internal/devices"                # the race detector
  "pdftotext poppler-utils ./internal/page,./internal/sheet" # reads the job sheet back
  "curl curl ./cmd/gauged,./internal/server/metrics,./internal/access" # comes in over TLS as a program of others; the demonstrations show the metrics
  "openssl openssl ./internal/access,./cmd/gauged"         # another program of others that comes in over TLS
  "prometheus prometheus ./tools/dashboard-test"              # is asked for every expression of the dashboards
  "promtool prometheus .,./cmd/gauged,./internal/server/metrics" # checks the metrics and the rules
  "systemd-analyze systemd ."                 # judges how exposed the unit is
  "ser2net ser2net ./internal/devices"        # gauges behind a serial server
  "socat socat ./internal/devices"            # two ends of a line
  "/usr/lib/python3/dist-packages/pymodbus/__init__.py python3-pymodbus ./internal/devices"              # a gauge on Modbus
  "/usr/lib/python3/dist-packages/serial/__init__.py python3-serial ./internal/devices"                  # and what it needs
  "/usr/lib/python3/dist-packages/serial_asyncio/__init__.py python3-serial-asyncio ./internal/devices"  # for a serial line
  "/usr/bin/python3 python3 ./internal/history,./examples"                                               # verifies the chain of a history
  "glpsol glpk-utils ./internal/evaluate"     # packs are compared with its solver
  "mosquitto mosquitto ./cmd/gauged,./internal/exits" # a broker of MQTT 5 on loopback, started and killed by the tests; its service is not needed
  "mosquitto_passwd mosquitto ./cmd/gauged"
  "mosquitto_sub mosquitto-clients ./cmd/gauged"   # programs of others at that broker
  "mosquitto_pub mosquitto-clients ./cmd/gauged"
  "xmllint libxml2-utils ./internal/exchange/qif,./internal/exchange/dcc" # holds results against the schema of their standard
  "mandoc mandoc ./tools/manual"              # reads the manual pages
  "protoc protobuf-compiler ./cmd/gauged,./examples"     # programs in Python
  "grpc_python_plugin protobuf-compiler-grpc ./cmd/gauged,./examples"
  "/usr/include/google/protobuf/timestamp.proto libprotobuf-dev ./cmd/gauged,./examples"
  "/usr/lib/python3/dist-packages/grpc/__init__.py python3-grpcio ./cmd/gauged,./examples"
  "/usr/lib/python3/dist-packages/google/protobuf/__init__.py python3-protobuf ./cmd/gauged,./examples"
  "node nodejs ./examples"                    # programs in Node; what they import is in examples/node/package-lock.json
  "npm npm ./examples"
)

# "setup.sh tests": the packages whose tests run a program of the list
if [ "${1:-}" = tests ]; then
  printf '%s\n' "${needed[@]}" | awk '{ print $3 }' | tr , '\n' | grep -vx -e - | sort -u
  exit
fi

# "setup.sh usb": the virtual machine of make test-usb
if [ "${1:-}" = usb ]; then
  needed+=(
    "qemu-system-x86_64 qemu-system-x86 -"
    "/bin/busybox busybox-static -"
    "cpio cpio -"
  )
fi

# "setup.sh page": the browser of make test-page, and the accessibility checks
# that it runs, from npm in the version of tools/page-test/package-lock.json
if [ "${1:-}" = page ]; then
  needed+=(
    "chromium chromium -"
    "/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf fonts-dejavu-core -"
  )
fi

# "setup.sh fresh": the clean root of make fresh
if [ "${1:-}" = fresh ]; then
  needed=(
    "/usr/sbin/debootstrap debootstrap -"
    "unshare util-linux -"
    "git git -"
  )
fi

# from_npm FROM TO installs what a lock file names, if it is not there in these versions.
from_npm() {
  cmp -s "$1/package-lock.json" "$2/node_modules/.installed" && return
  mkdir -p "$2"
  [ "$1" -ef "$2" ] || cp "$1/package.json" "$1/package-lock.json" "$2/"
  (cd "$2" && npm ci --ignore-scripts --no-audit --no-fund --loglevel=error)
  cp "$2/package-lock.json" "$2/node_modules/.installed"
}

missing() {
  local program package tests
  printf '%s\n' "${needed[@]}" | while read -r program package tests; do
    case $program in
      /*) [ -e "$program" ] || echo "$package" ;;
      *) command -v "$program" >/dev/null || echo "$package" ;;
    esac
  done | sort -u
}

# updated fetches the lists of packages. Another program that has them locked is
# waited for; apt waits by itself for its other lock alone.
updated() {
  local said tries
  for tries in $(seq 60); do
    said=$(apt-get -o DPkg::Lock::Timeout=600 update -q 2>&1) && return
    case $said in
      *"Could not get lock"*) sleep 10 ;;
      *) break ;;
    esac
  done
  echo "$said"
  return 1
}

finish() {
  [ "${1:-}" != fresh ] || exit 0
  cd "$(dirname "$0")/.."
  from_npm examples/node examples/node
  if [ "${1:-}" = page ]; then from_npm tools/page-test bin/page-test; fi
  exit 0
}

packages=$(missing)
[ -z "$packages" ] && finish "$@"
if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
  echo "installing:" $packages
  log=$(mktemp)
  if ! { updated && DEBIAN_FRONTEND=noninteractive apt-get -o DPkg::Lock::Timeout=600 install -y -q --no-install-recommends $packages; } >"$log" 2>&1; then
    cat "$log" >&2
  fi
  packages=$(missing)
  [ -z "$packages" ] && finish "$@"
fi
echo "missing, by the names of their Debian packages:" $packages >&2
echo "install them with: sudo apt-get install" $packages >&2
[ "${CI:-}" = true ] && exit 1
echo "tests that need them will fail and say so" >&2
