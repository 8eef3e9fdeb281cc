#!/bin/bash
# bluetooth.sh: the weigh head's Bluetooth adapter on the kernel's virtual controllers in a virtual machine,
# connected, lost and got back CONNECTIONS times (20).
set -euo pipefail
cd "$(dirname "$0")/../.."
lab=${FANK_HARDWARE:-$HOME/.cache/fank-hardware}
[ -e "$lab/btvirt" ] || { echo "Run tests/hardware/setup.sh first." >&2; exit 2; }
load=$(mktemp -d)
trap 'rm -rf "$load"' EXIT
npx esbuild tests/hardware/bluetooth.ts tests/hardware/bluetooth-head.ts --bundle --platform=node --format=esm \
  --external:koffi --external:@abandonware/noble --external:@abandonware/bluetooth-hci-socket \
  --outdir="$load" --out-extension:.js=.mjs --log-level=warning
npx tsx tests/hardware/write-profile.ts plain-continuous >"$load/profile.json"
mkdir -p "$load/node_modules/@koromix"
cp -a node_modules/@abandonware "$load/node_modules/"
for package in koffi @koromix/koffi-linux-x64 debug ms; do cp -a "node_modules/$package" "$load/node_modules/$package"; done
cp "$lab/btvirt" "$load/"
cat >"$load/run.sh" <<VM
cd /t && (./btvirt -L -l2 >/tmp/btvirt.log 2>&1 &)
exec node bluetooth.mjs ${CONNECTIONS:-20}
VM
tests/hardware/vm.sh "$load" crc16 rfkill ecdh_generic bluetooth cmac af_alg algif_hash algif_skcipher hci_vhci
