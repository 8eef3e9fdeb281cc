#!/bin/bash
# program-disk.sh FOLDER   Puts the whole program, as after `npm ci --omit=dev` and compiled, into FOLDER and makes the
# disk FOLDER.img of it, with whatever else lies there.
set -euo pipefail
cd "$(dirname "$0")/../.."
[ -e dist/src/cli/main.js ] || npm run --silent build
cp -a package.json package-lock.json dist hardware-profiles node_modules "$1/"
(cd "$1" && npm prune --omit=dev --ignore-scripts --no-audit --no-fund --offline >/dev/null)
truncate -s 2G "$1.img"
mke2fs -q -t ext4 -O ^metadata_csum,^orphan_file -d "$1" "$1.img"
