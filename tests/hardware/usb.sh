#!/bin/bash
# usb.sh: the weigh head's adapter on a real kernel's FTDI driver in a virtual machine, unplugged in
# mid-frame and plugged in again, REPLUGS times (25).
set -euo pipefail
cd "$(dirname "$0")/../.."
replugs=${REPLUGS:-25}
load=$(mktemp -d)
trap 'rm -rf "$load"' EXIT
npx esbuild tests/hardware/usb.ts --bundle --platform=node --format=esm --external:serialport \
  --outdir="$load" --out-extension:.js=.mjs --log-level=warning
npx tsx tests/hardware/write-profile.ts plain-continuous >"$load/profile.json"
mkdir "$load/node_modules"
for package in serialport @serialport debug ms node-gyp-build; do
  cp -a "node_modules/$package" "$load/node_modules/"
done
echo "cd /t && node usb.mjs $replugs" >"$load/run.sh"
npx tsx tests/hardware/usb-host.ts "$load" "$replugs"
