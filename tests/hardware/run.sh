#!/bin/bash
# run.sh [lines deaths freezes beats usb bluetooth pi os]: real kernel drivers in virtual machines, all of them or
# those named, after tests/hardware/setup.sh.
set -euo pipefail
here=$(dirname "$0")
lab=${FANK_HARDWARE:-$HOME/.cache/fank-hardware}
[ -e "$lab/kernel" ] || { echo "Run tests/hardware/setup.sh first." >&2; exit 2; }
[ $# -gt 0 ] || set -- lines deaths freezes beats usb bluetooth pi os
gpio=()
failed=0
for part in "$@"; do
  case $part in
    lines | deaths | freezes | beats) gpio+=("$part") ;;
    usb | bluetooth | pi) "$here/$part.sh" || failed=1 ;;
    os) for suite in bookworm trixie; do "$here/os.sh" $suite || failed=1; done ;;
    *) echo "There is no part $part." >&2; exit 2 ;;
  esac
done
if [ ${#gpio[@]} -gt 0 ]; then "$here/gpio.sh" "${gpio[@]}" || failed=1; fi
exit $failed
