#!/usr/bin/env bash
# Puts a kernel, its USB drivers and the daemon into bin/usb-test, ready to boot.
# The kernel is Debian's, unpacked and not installed.
set -euo pipefail
cd "$(dirname "$0")/../.."
out=bin/usb-test
mkdir -p $out

kernel=$(find $out/kernel/boot -name 'vmlinuz-*' 2>/dev/null || true)
if [ -z "$kernel" ]; then
  command -v apt-get >/dev/null || { echo "the kernel for this test is taken from Debian's archive with apt-get, which is not here" >&2; exit 1; }
  apt-cache show linux-image-amd64 >/dev/null 2>&1 || apt-get update -q
  package=$(apt-cache depends linux-image-amd64 | awk '$1 == "Depends:" {print $2}')
  (cd $out && apt-get download -q "$package" && dpkg -x "$package"_*.deb kernel && rm "$package"_*.deb)
  kernel=$(find $out/kernel/boot -name 'vmlinuz-*')
fi
ln -sf "${kernel#"$out"/}" $out/vmlinuz

root=$(mktemp -d)
trap 'rm -rf "$root"' EXIT
mkdir -p "$root"/{bin,dev,modules,proc,sys}
cp /bin/busybox bin/gauged bin/gaugectl "$root/bin/"
cp tools/usb-test/init "$root/init"
cp -r tools/usb-test/station "$root/station"
for m in usb-common usbcore xhci-hcd xhci-pci usbserial ftdi_sio hid hid-generic usbhid evdev; do
  cp "$(find $out/kernel -name "$m.ko")" "$root/modules/"
done
(cd "$root" && find . | cpio -o -H newc --quiet) | gzip -1 >$out/initramfs.gz
