#!/bin/bash
# os.sh [bookworm|trixie]: the service as it is installed, under a real systemd: a whole Debian 12 (or 13, with its
# own Node) in the virtual machine, after tests/hardware/setup.sh. Nothing of the machine that it runs on is touched.
set -euo pipefail
cd "$(dirname "$0")/../.."
lab=${FANK_HARDWARE:-$HOME/.cache/fank-hardware}
debian="$lab/debian-${1:-bookworm}"
[ -e "$debian/whole" ] || { echo "Run tests/hardware/setup.sh first." >&2; exit 2; }
[ -e dist/src/cli/main.js ] || npm run --silent build
kernel=$(cat "$lab/kernel")
root=$(mktemp -d)
trap 'rm -rf "$root" "$root.cpio" "$root.log"' EXIT
chmod 755 "$root"

cp -a "$debian/." "$root/"
# Debian 12's own Node is too old.
[ -e "$root/usr/bin/node" ] || cp -a --dereference "$(readlink -f "$(command -v node)")" "$root/usr/bin/node"
npm=$(dirname "$(dirname "$(readlink -f "$(command -v npm)")")")
mkdir -p "$root/usr/lib/node_modules" "$root/src" "$root/t"
cp -a "$npm" "$root/usr/lib/node_modules/npm"
ln -sf ../lib/node_modules/npm/bin/npm-cli.js "$root/usr/bin/npm"

# As after `npm ci --omit=dev`: the tools for building are not needed where it runs.
cp -a package.json package-lock.json README.md LICENSE dist docs hardware-profiles systemd "$root/src/"
mkdir -p "$root/src/src/cli" && cp src/cli/fank.js "$root/src/src/cli/"
cp -a node_modules "$root/src/" && (cd "$root/src" && npm prune --omit=dev --ignore-scripts --no-audit --no-fund --offline >/dev/null)

npx esbuild tests/hardware/os.ts --bundle --platform=node --format=esm --outfile="$root/t/os.mjs" --log-level=warning
mkdir -p "$root/lib/modules" && cp "$lab"/build/{irq_sim,gpio-sim}.ko "$root/t/"
find "$lab/image/lib/modules/$kernel" -name configfs.ko.xz -exec xz -dc {} + >"$root/t/configfs.ko"

# Before udev looks: the chip of the shipped board profile, with its label.
cat >"$root/t/chip.sh" <<'GUEST'
for module in configfs irq_sim gpio-sim; do insmod /t/$module.ko || true; done
mountpoint -q /sys/kernel/config || mount -t configfs none /sys/kernel/config
sim=/sys/kernel/config/gpio-sim/gate
mkdir -p $sim/bank && echo 54 >$sim/bank/num_lines && echo pinctrl-bcm2711 >$sim/bank/label && echo 1 >$sim/live
ip link set lo up
cd /t && node os.mjs >/dev/ttyS0 2>&1
echo "VM-ENDED $?" >/dev/ttyS0
sync
poweroff -f
GUEST
cat >"$root/etc/systemd/system/trial.service" <<'GUEST'
[Unit]
After=multi-user.target
[Service]
Type=simple
ExecStart=/bin/bash /t/chip.sh
StandardOutput=file:/dev/ttyS0
StandardError=file:/dev/ttyS0
GUEST
ln -s ../trial.service "$root/etc/systemd/system/multi-user.target.wants/trial.service" 2>/dev/null ||
  { mkdir -p "$root/etc/systemd/system/multi-user.target.wants"; ln -s ../trial.service "$root/etc/systemd/system/multi-user.target.wants/trial.service"; }
ln -sf /dev/null "$root/etc/systemd/system/serial-getty@ttyS0.service"
ln -sf /lib/systemd/systemd "$root/init"
: >"$root/etc/fstab"
echo fank-trial >"$root/etc/hostname"
printf '127.0.0.1 localhost fank-trial\n' >"$root/etc/hosts"
(cd "$root" && find . | cpio -o -H newc --quiet) >"$root.cpio"

# The clock counts the guest's own instructions, 2 ns each: a busy host makes the run longer and changes none of its
# timing. Without, the watchdog ends the service on a busy host.
timeout "${SECONDS_MOST:-3000}" qemu-system-x86_64 -accel tcg,thread=single -icount shift=1,sleep=off -cpu max -m 3072 \
  -nodefaults -no-reboot -display none -serial stdio -kernel "$lab/image/boot/vmlinuz-$kernel" \
  -initrd "$root.cpio" -append "console=ttyS0 quiet panic=-1 mitigations=off tsc=unstable no_timer_check random.trust_cpu=on systemd.show_status=no" \
  </dev/null 2>&1 | sed -u 's/\r$//' | tee "$root.log" | grep --line-buffered -v "^VM-ENDED" || true
ended=$(sed -n 's/^VM-ENDED \([0-9]*\).*/\1/p' "$root.log" | tail -1)
exit "${ended:-99}"
