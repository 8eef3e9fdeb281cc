#!/bin/bash
# gpio.sh [lines deaths freezes beats]: the GPIO driver and the loop against a real kernel in a virtual
# machine.
set -euo pipefail
cd "$(dirname "$0")/../.."
load=$(mktemp -d)
trap 'rm -rf "$load"' EXIT
npx esbuild tests/hardware/gpio.ts tests/hardware/service.ts --bundle --platform=node --format=esm \
  --external:koffi --external:serialport --external:modbus-serial --outdir="$load" --out-extension:.js=.mjs --log-level=warning
npx tsx tests/hardware/write-config.ts >"$load/config.json"
mkdir -p "$load/node_modules/@koromix"
for package in koffi @koromix/koffi-linux-x64; do cp -a "node_modules/$package" "$load/node_modules/$package"; done
# Those of the Modbus driver, which is loaded and not used here.
for package in serialport @serialport modbus-serial debug ms node-gyp-build; do
  cp -a "node_modules/$package" "$load/node_modules/"
done
cat >"$load/run.sh" <<VM
sim=/sys/kernel/config/gpio-sim/gate
mkdir -p \$sim/bank && echo 32 >\$sim/bank/num_lines && echo gate-sim >\$sim/bank/label && echo 1 >\$sim/live
cd /t && BEATS_MS=${BEATS_MS:-60000} node gpio.mjs $*
VM
tests/hardware/vm.sh "$load" configfs irq_sim gpio-sim
