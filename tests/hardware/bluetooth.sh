#!/bin/bash
# bluetooth.sh: the weigh head's Bluetooth adapter on the kernel's virtual controllers in a virtual machine,
# connected, lost and got back CONNECTIONS times (20); then the whole daemon with its weigh head over the air.
set -euo pipefail
cd "$(dirname "$0")/../.."
lab=${FANK_HARDWARE:-$HOME/.cache/fank-hardware}
[ -e "$lab/btvirt" ] || { echo "Run tests/hardware/setup.sh first." >&2; exit 2; }
load=$(mktemp -d)
disk=$(mktemp -d)
trap 'rm -rf "$load" "$disk" "$disk.img"' EXIT
npx esbuild tests/hardware/bluetooth{,-head,-daemon}.ts --bundle --platform=node --format=esm \
  --external:koffi --external:@abandonware/noble --external:@abandonware/bluetooth-hci-socket \
  --outdir="$load" --out-extension:.js=.mjs --log-level=warning
npx tsx tests/hardware/write-profile.ts plain-continuous >"$load/profile.json"
mkdir -p "$load/node_modules/@koromix"
cp -a node_modules/@abandonware "$load/node_modules/"
for package in koffi @koromix/koffi-linux-x64 debug ms; do cp -a "node_modules/$package" "$load/node_modules/$package"; done
cp "$lab/btvirt" "$load/"
tests/hardware/program-disk.sh "$disk"
cat >"$load/run.sh" <<VM
mkdir -p /d && mount -t ext4 /dev/vda /d
ip link set lo up
cd /t && (./btvirt -L -l2 >/tmp/btvirt.log 2>&1 &)
node bluetooth.mjs ${CONNECTIONS:-20}; first=\$?
node bluetooth-daemon.mjs && exit \$first
VM
# One processor has to do what a Pi's four and the head's own share.
export SHIFT=0 MACHINE="-drive file=$disk.img,if=virtio,format=raw"
tests/hardware/vm.sh "$load" crc16 rfkill ecdh_generic bluetooth cmac af_alg algif_hash algif_skcipher hci_vhci \
  crc32c_generic libcrc32c mbcache jbd2 ext4 virtio virtio_ring virtio_pci_legacy_dev virtio_pci_modern_dev virtio_pci virtio_blk
