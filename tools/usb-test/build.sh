#!/usr/bin/env bash
# Puts a kernel, its USB drivers, a systemd and the daemon into bin/usb-test, ready to
# boot. Kernel and systemd are Debian's, unpacked and not installed.
set -euo pipefail
cd "$(dirname "$0")/../.."
out=bin/usb-test
mkdir -p $out
packages="base-passwd findutils kmod procps systemd udev" # of the machine of the service
modules="usb-common usbcore xhci-hcd xhci-pci usbserial ftdi_sio hid hid-generic usbhid evdev"

has_lists() {
  command -v apt-get >/dev/null || { echo "what this test boots is taken from Debian's archive with apt-get, which is not here" >&2; exit 1; }
  apt-cache show linux-image-amd64 >/dev/null 2>&1 || apt-get update -q
}

kernel=$(find $out/kernel/boot -name 'vmlinuz-*' 2>/dev/null || true)
if [ -z "$kernel" ]; then
  has_lists
  package=$(apt-cache depends linux-image-amd64 | awk '$1 == "Depends:" {print $2}')
  (cd $out && apt-get download -q "$package" && dpkg -x "$package"_*.deb kernel && rm "$package"_*.deb)
  kernel=$(find $out/kernel/boot -name 'vmlinuz-*')
fi
ln -sf "${kernel#"$out"/}" $out/vmlinuz

# A root with systemd and what it depends on, as if nothing were installed yet.
if [ "$(cat $out/root/packages 2>/dev/null)" != "$packages" ]; then
  has_lists
  rm -rf $out/debs $out/root.new
  mkdir -p $out/debs/partial $out/root.new/usr/{bin,sbin,lib,lib64}
  for dir in bin sbin lib lib64; do ln -s usr/$dir $out/root.new/$dir; done
  apt-get -q -y -o Dir::State::status=/dev/null -o Dir::Cache::archives="$PWD/$out/debs" -o Debug::NoLocking=1 -o APT::Sandbox::User= \
    --no-install-recommends --download-only install $packages
  for deb in $out/debs/*.deb; do dpkg --fsys-tarfile "$deb" | tar -x --keep-directory-symlink --no-same-owner -C $out/root.new; done
  rm -rf $out/debs $out/root.new/usr/share/{bash-completion,doc,doc-base,i18n,info,lintian,locale,man,perl5,zoneinfo,zsh} \
    $out/root.new/usr/lib/udev/hwdb.d $out/root.new/usr/lib/*/{gconv,perl-base,libicudata.*} $out/root.new/usr/bin/perl*
  echo "$packages" >$out/root.new/packages
  rm -rf $out/root
  mv $out/root.new $out/root
fi

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
packed() { (cd "$1" && find . | cpio -o -H newc --quiet -R 0:0) >"$2"; } # not compressed: an emulated processor takes long to unpack

# The machine of the gauges: a shell is its first process.
gauges=$work/gauges
mkdir -p "$gauges"/{bin,dev,modules,proc,sys}
cp /bin/busybox bin/gauged bin/gaugectl "$gauges/bin/"
cp tools/usb-test/init "$gauges/init"
cp -r tools/usb-test/station "$gauges/station"
for m in $modules; do
  cp "$(find $out/kernel -name "$m.ko")" "$gauges/modules/"
done
packed "$gauges" $out/gauges.cpio

# The machine of the service: systemd is its first process, and the files of deploy/ lie
# where docs/setting-up.md puts them.
service=$work/service/root
mkdir -p "$service"
cp -a $out/root/. "$service/"
mkdir -p "$service"/{dev,proc,sys,run,tmp,root,etc/gauged,etc/sysusers.d,etc/udev/rules.d,etc/systemd/system/multi-user.target.wants}
cp /bin/busybox "$service/usr/bin/"
for name in $("$service/usr/bin/busybox" --list); do
  [ -e "$service/usr/bin/$name" ] || [ -e "$service/usr/sbin/$name" ] || ln -s busybox "$service/usr/bin/$name"
done
cp "$service/usr/share/base-passwd/passwd.master" "$service/etc/passwd"
cp "$service/usr/share/base-passwd/group.master" "$service/etc/group"
echo 0123456789abcdef0123456789abcdef >"$service/etc/machine-id"
cp bin/gauged bin/gaugectl "$service/usr/bin/"
cp deploy/gauged.service deploy/gauged-backup.service deploy/gauged-backup.timer "$service/etc/systemd/system/"
cp deploy/gauged.sysusers "$service/etc/sysusers.d/gauged.conf"
cp deploy/70-gauged.rules "$service/etc/udev/rules.d/"
cp tools/usb-test/service/users.conf "$service/etc/sysusers.d/users.conf"
cp tools/usb-test/service/gauged.yaml "$service/etc/gauged/"
cp tools/usb-test/service/shell "$service/usr/bin/test-shell"
cp tools/usb-test/service/shell.service "$service/etc/systemd/system/"
ln -s ../shell.service "$service/etc/systemd/system/multi-user.target.wants/shell.service"
ln -sf /usr/lib/systemd/system/multi-user.target "$service/etc/systemd/system/default.target"
for unit in getty.target systemd-logind.service; do ln -s /dev/null "$service/etc/systemd/system/$unit"; done # nobody logs in
release=${kernel##*/vmlinuz-}
mkdir -p "$service/usr/lib/modules/$release"
for m in $modules cdc-acm; do
  cp "$(find $out/kernel -name "$m.ko")" "$service/usr/lib/modules/$release/"
done
cp "$(find $out/kernel -name modules.builtin)" "$(find $out/kernel -name modules.order)" "$service/usr/lib/modules/$release/"
mkdir -p "$work/service/bin"
cp /bin/busybox "$work/service/bin/"
cp tools/usb-test/service/init "$work/service/init"
packed "$work/service" $out/service.cpio
