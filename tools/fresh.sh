#!/usr/bin/env bash
# fresh.sh TARGET...: makes each target on a machine that has nothing but Debian's
# smallest set of packages, ca-certificates, make, git and Go: a clean root, built
# for this and removed when all went well. The project in it is what HEAD names.
# Programs come from the mirror that this machine uses, Go's modules and npm's
# packages by the ways that are set here. Nothing outside the root is changed.
set -euo pipefail
cd "$(dirname "$0")/.."

cannot() {
  echo "a clean root cannot be built here: $*" >&2
  exit 1
}
[ $# -gt 0 ] || cannot "say which targets are to be made in it"
[ "$(id -u)" = 0 ] || cannot "that is for root, who may change the root directory"
command -v apt-get >/dev/null || cannot "this is no Debian: apt-get is not here"
CI=true tools/setup.sh fresh
unshare --mount --pid --fork true 2>/dev/null || cannot "this machine allows no namespaces of mounts and processes"

codename=$(. /etc/os-release && echo "$VERSION_CODENAME")
# SOURCE is "mirror suite component label" of each list of packages from Debian.
sources() { apt-get indextargets --format '$(REPO_URI) $(SUITE) $(CODENAME) $(COMPONENT) $(ORIGIN) $(LABEL)' 'Created-By: Packages' | awk '$5 == "Debian"'; }
[ -n "$(sources)" ] || apt-get -o DPkg::Lock::Timeout=600 update -q >/dev/null
mirror=$(sources | awk -v c="$codename" '$3 == c && $6 == "Debian" { print $1; exit }')
[ -n "$mirror" ] || cannot "apt here knows no mirror of Debian $codename"

begin=$SECONDS
took() {
  printf '== %s: %d min %02d s\n' "$1" $(((SECONDS - begin) / 60)) $(((SECONDS - begin) % 60))
  begin=$SECONDS
}

# Debian's programs, the modules, a browser and what the compiler keeps need this much.
needs_gb=${FRESH_GB:-16}
free_gb=$(($(df --output=avail -k /var/tmp | tail -n 1) / 1024 / 1024))
[ "$free_gb" -ge "$needs_gb" ] || cannot "/var/tmp has $free_gb GB left of the $needs_gb GB that are needed; roots of earlier runs: $(compgen -G '/var/tmp/gauged-fresh-*' | xargs echo)"

root=$(mktemp -d /var/tmp/gauged-fresh-XXXXXX)
chmod 755 "$root"
debootstrap --variant=minbase --include=ca-certificates,make,git "$codename" "$root" "$mirror" >"$root.log" 2>&1 ||
  { tail -n 20 "$root.log" >&2; cannot "debootstrap failed; $root.log has all of it"; }

# The lists, the proxies and the certificates of this machine.
sources | awk '{ print "deb", $1, $3, $4 }' | sort -u >"$root/etc/apt/sources.list"
apt-config dump Acquire | grep -Ei 'proxy|cainfo' >"$root/etc/apt/apt.conf.d/90machine" || true
printf '#!/bin/sh\nexit 101\n' >"$root/usr/sbin/policy-rc.d" # installed services are not started
chmod 755 "$root/usr/sbin/policy-rc.d"
cp -L /etc/resolv.conf /etc/hosts "$root/etc/"
mkdir -p "$root/usr/local/share/ca-certificates"
find /usr/local/share/ca-certificates -name '*.crt' -exec cp -L {} "$root/usr/local/share/ca-certificates/" \; 2>/dev/null || true
chroot "$root" update-ca-certificates >>"$root.log" 2>&1
git clone -q "$PWD" "$root/project"
git -C "$root/project" -c advice.detachedHead=false checkout -q "$(git rev-parse HEAD)"
[ -z "$(git status --porcelain)" ] || echo "what is not committed is not in the clean root"
took "a clean root of Debian $codename"

certificates=/etc/ssl/certs/ca-certificates.crt
settings=(
  HOME=/root TERM=dumb LANG=C.UTF-8 PATH=/usr/local/go/bin:/usr/sbin:/usr/bin:/sbin:/bin CI="${CI:-}"
  GOPROXY="$(go env GOPROXY)" GOSUMDB="$(go env GOSUMDB)" GONOSUMDB="$(go env GONOSUMDB)" GOPRIVATE="$(go env GOPRIVATE)" GOTOOLCHAIN=local
  SSL_CERT_FILE=$certificates NODE_EXTRA_CA_CERTS=$certificates
)
for name in http_proxy https_proxy no_proxy HTTP_PROXY HTTPS_PROXY NO_PROXY; do
  [ -z "${!name:-}" ] || settings+=("$name=${!name}")
done
if command -v npm >/dev/null; then settings+=("npm_config_registry=$(npm config get registry)"); fi

# What the kernel gives is mounted in a namespace that ends with the command, as
# every process does that it has started.
inside() {
  unshare --mount --pid --fork --kill-child --propagation private bash -euc '
    root=$1 sdk=$2; shift 2
    mkdir -p "$root/usr/local/go"
    mount --bind "$sdk" "$root/usr/local/go"
    mount -o remount,bind,ro "$root/usr/local/go"
    mount -t proc proc "$root/proc"
    mount --rbind /sys "$root/sys"
    mount -t tmpfs -o mode=755 dev "$root/dev"
    for device in null zero full random urandom tty; do
      touch "$root/dev/$device"
      mount --bind "/dev/$device" "$root/dev/$device"
    done
    mkdir "$root/dev/pts" "$root/dev/shm"
    mount -t devpts -o newinstance,ptmxmode=0666,mode=620,gid=5 devpts "$root/dev/pts"
    mount -t tmpfs -o mode=1777 shm "$root/dev/shm"
    ln -s pts/ptmx "$root/dev/ptmx"
    ln -s /proc/self/fd "$root/dev/fd"
    ln -s fd/0 "$root/dev/stdin"; ln -s fd/1 "$root/dev/stdout"; ln -s fd/2 "$root/dev/stderr"
    exec chroot "$root" "$@"
  ' inside "$root" "$(go env GOROOT)" env -i "${settings[@]}" "$@"
}

for target in "$@"; do
  inside make -C /project "$target" || { echo "make $target fails on a fresh machine; its root is left at $root" >&2; exit 1; }
  took "make $target on a fresh machine"
done
printf '== the clean root had %s\n' "$(du -xsh "$root" | cut -f1)"
rm -rf --one-file-system "$root" "$root.log"
