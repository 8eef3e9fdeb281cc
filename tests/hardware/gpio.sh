#!/bin/bash
# gpio.sh [lines deaths freezes beats]: the GPIO driver and the loop against a real kernel in a virtual
# machine.
set -euo pipefail
cd "$(dirname "$0")/../.."
load=$(mktemp -d)
disk=$(mktemp -d)
trap 'rm -rf "$load" "$disk" "$disk.img"' EXIT
npx esbuild tests/hardware/{gpio,service,whole,askers}.ts --bundle --platform=node --format=esm \
  --external:koffi --external:serialport --external:modbus-serial --outdir="$load" --out-extension:.js=.mjs --log-level=warning
npx tsx tests/hardware/write-config.ts >"$load/config.json"
mkdir -p "$load/node_modules/@koromix"
for package in koffi @koromix/koffi-linux-x64; do cp -a "node_modules/$package" "$load/node_modules/$package"; done
# Those of the Modbus driver, which is loaded and not used here.
for package in serialport @serialport modbus-serial debug ms node-gyp-build; do
  cp -a "node_modules/$package" "$load/node_modules/"
done
modules=(configfs irq_sim gpio-sim)
if [[ " $* " == *" beats "* ]]; then
  # The whole program and ten years of crossings.
  npx tsx tests/hardware/fill-book.ts "$disk/site"
  tests/hardware/program-disk.sh "$disk"
  # One processor has to do what a Pi's four share, test gear included.
  export SHIFT=0 MACHINE="-drive file=$disk.img,if=virtio,format=raw"
  modules+=(crc16 crc32c_generic libcrc32c mbcache jbd2 ext4 virtio virtio_ring virtio_pci_legacy_dev virtio_pci_modern_dev virtio_pci virtio_blk)
fi
cat >"$load/run.sh" <<VM
mkdir -p /d /dev/pts && mount -t devpts pts /dev/pts
if [ -e /dev/vda ]; then mount -t ext4 /dev/vda /d; fi
ip link set lo up
sim=/sys/kernel/config/gpio-sim/gate
mkdir -p \$sim/bank && echo 32 >\$sim/bank/num_lines && echo gate-sim >\$sim/bank/label && echo 1 >\$sim/live
cd /t && BEATS_MS=${BEATS_MS:-600000} node gpio.mjs $*
VM
tests/hardware/vm.sh "$load" "${modules[@]}"
