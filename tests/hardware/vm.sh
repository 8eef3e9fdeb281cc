#!/bin/bash
# vm.sh FOLDER MODULE...   Boots Debian's kernel in qemu, without a disk, with this machine's own Node
# and the files of FOLDER under /t, loads the modules and runs /t/run.sh. Prints the console; exits as
# run.sh did. Nothing of the machine that it runs on is touched. MACHINE: further arguments for qemu.
set -euo pipefail
lab=${FANK_HARDWARE:-$HOME/.cache/fank-hardware}
folder=$1
shift
kernel=$(cat "$lab/kernel")
root=$(mktemp -d)
trap 'rm -rf "$root" "$root.gz" "$root.log"' EXIT
mkdir -p "$root"/{bin,dev,proc,sys,tmp,lib/modules,t}
cp /bin/busybox "$root/bin/"
for tool in sh mount mkdir insmod cat cut ip poweroff; do ln -s busybox "$root/bin/$tool"; done

with_libraries() {
  install -D "$1" "$root/bin/$(basename "$1")"
  ldd "$1" | grep -oE '/[^ ]+' | while read -r file; do install -D "$file" "$root$file"; done
}
with_libraries "$(readlink -f "$(command -v node)")"

number=10
for module in "$@"; do
  if [ -e "$lab/build/$module.ko" ]; then
    cp "$lab/build/$module.ko" "$root/lib/modules/$number-$module.ko"
  else
    find "$lab/image/lib/modules/$kernel" -name "$module.ko.xz" -exec xz -dc {} + >"$root/lib/modules/$number-$module.ko"
    # Built into the kernel, then.
    [ -s "$root/lib/modules/$number-$module.ko" ] || rm "$root/lib/modules/$number-$module.ko"
  fi
  number=$((number + 1))
done
cp -a "$folder"/. "$root/t/"

cat >"$root/init" <<'INIT'
#!/bin/busybox sh
export PATH=/bin
mount -t proc proc /proc && mount -t sysfs sys /sys && mount -t devtmpfs dev /dev && mount -t tmpfs tmp /tmp
for module in /lib/modules/*.ko; do insmod "$module" || echo "cannot load $module"; done
[ ! -d /sys/kernel/config ] || mount -t configfs none /sys/kernel/config
sh /t/run.sh
echo "VM-ENDED $?"
poweroff -f
INIT
chmod 755 "$root" "$root/init"
(cd "$root" && find . | cpio -o -H newc --quiet | gzip -1) >"$root.gz"

# The machine's clock counts its own instructions (2 ns each, slower than a Pi 3; SHIFT=0: 1 ns): a busy host makes the run longer and
# changes none of its timing. With CLOCK=real it keeps this machine's time, to talk with what runs here.
clock=(-icount shift=${SHIFT:-1},sleep=off)
[ "${CLOCK:-own}" = real ] && clock=()
# shellcheck disable=SC2086 # MACHINE is a list of words
timeout "${SECONDS_MOST:-1200}" qemu-system-x86_64 -accel tcg,thread=single "${clock[@]}" -cpu max -m 1536 \
  ${MACHINE:-} -nodefaults -no-reboot -display none -serial stdio -kernel "$lab/image/boot/vmlinuz-$kernel" \
  -initrd "$root.gz" -append "console=ttyS0 quiet panic=-1 mitigations=off tsc=unstable no_timer_check random.trust_cpu=on" \
  </dev/null 2>&1 | sed -u 's|\r||g' | tee "$root.log" | grep --line-buffered -v "^VM-ENDED" || true
ended=$(sed -n 's/^VM-ENDED \([0-9]*\).*/\1/p' "$root.log" | tail -1)
exit "${ended:-99}"
