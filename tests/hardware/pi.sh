#!/bin/bash
# pi.sh: Node for arm64 on an emulated Pi 3 with the Pi's own GPIO driver: the golden trace, and what a killed
# process leaves on the lines, with outputs kept by the driver and not kept. After tests/hardware/setup.sh.
set -euo pipefail
cd "$(dirname "$0")/../.."
lab=${FANK_HARDWARE:-$HOME/.cache/fank-hardware}
pi=$lab/arm64
[ -e "$pi/node-version" ] || { echo "Run tests/hardware/setup.sh first." >&2; exit 2; }
root=$(mktemp -d)
qemu=0
trap 'rm -rf "$root" "$root.gz" "$root.log"; [ $qemu = 0 ] || kill $qemu 2>/dev/null || true' EXIT
mkdir -p "$root"/{bin,dev,proc,sys,tmp,lib,t/node_modules/@koromix}

cp "$pi/root/bin/busybox" "$root/bin/"
for tool in sh mount devmem; do ln -s busybox "$root/bin/$tool"; done
cp "$pi/node" "$root/bin/"
for name in ld-linux-aarch64.so.1 libc.so.6 libm.so.6 libdl.so.2 libpthread.so.0 libgcc_s.so.1 libstdc++.so.6; do
  cp -L "$(find "$pi/root" -name "$name" | head -1)" "$root/lib/"
done
npx esbuild tests/hardware/pi.ts --bundle --platform=node --format=esm --external:koffi --external:serialport \
  --external:modbus-serial --outfile="$root/t/pi.mjs" --log-level=warning
cp tests/golden/race.trace.ndjson tests/golden/race.sha256 "$root/t/"
# The prebuilt koffi for arm64 is no dependency of this machine's, so it is fetched.
for package in koffi serialport @serialport modbus-serial debug ms node-gyp-build; do
  cp -a "node_modules/$package" "$root/t/node_modules/"
done
mkdir -p "$root/t/node_modules/@koromix/koffi-linux-arm64"
tar -xzf "$pi/koffi.tgz" -C "$root/t/node_modules/@koromix/koffi-linux-arm64" --strip-components=1

cat >"$root/init" <<'GUEST'
#!/bin/busybox sh
export PATH=/bin LD_LIBRARY_PATH=/lib
mount -t proc proc /proc && mount -t sysfs sys /sys && mount -t devtmpfs dev /dev && mount -t tmpfs tmp /tmp
cd /t && node pi.mjs
echo "VM-ENDED $?"
busybox sleep 1000
GUEST
chmod 755 "$root" "$root/init"
(cd "$root" && find . | cpio -o -H newc --quiet | gzip -1) >"$root.gz"

failed=0
for keep in N Y; do
  : >"$root.log"
  # The emulated board cannot switch itself off: it is ended when it says that it has done.
  qemu-system-aarch64 -M raspi3b -display none -no-reboot -kernel "$(echo "$pi"/root/boot/vmlinuz-*)" \
    -dtb "$(find "$pi/root" -name bcm2837-rpi-3-b.dtb | head -1)" -initrd "$root.gz" -serial "file:$root.log" \
    -append "console=ttyAMA0,115200 panic=-1 loglevel=3 rdinit=/init iomem=relaxed pinctrl_bcm2835.persist_gpio_outputs=$keep" \
    -serial null -monitor none </dev/null >"$root/qemu.log" 2>&1 &
  qemu=$!
  for _ in $(seq "${SECONDS_MOST:-600}"); do
    sleep 1
    if grep -qa '^VM-ENDED' "$root.log" || ! kill -0 $qemu 2>/dev/null; then break; fi
  done
  kill $qemu 2>/dev/null || true
  wait $qemu 2>/dev/null || true
  qemu=0
  tr -d '\r' <"$root.log" | grep -av '^VM-ENDED' || true
  grep -qa '^VM-ENDED 0' "$root.log" || { failed=1; cat "$root/qemu.log" >&2; }
done
exit $failed
