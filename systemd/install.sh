#!/usr/bin/env bash
# Installs or updates Fank as a service on Raspberry Pi OS or Debian 12 or 13; runs again without harm.
#
#   npm ci && npm run build && sudo systemd/install.sh     install, or update to this source
#   sudo systemd/install.sh --rollback                     back to the release before
#
# Releases stand in /opt/fank/releases, the yard's own files in /var/lib/fank. An update is refused
# unless the race is idle and empty, makes a backup first, and goes back if the new release does not
# come up. Exit 0 done, 1 refused or gone back, 2 wrong use.
set -euo pipefail
source=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
opt=/opt/fank
site=/var/lib/fank
node=/usr/bin/node
keep=3

say() { printf '%s\n' "$*" >&2; }
refuse() { say "$1"; exit "${2:-1}"; }
changed=false
# put FILE TARGET MODE: copied only where it differs.
put() {
  cmp -s "$1" "$2" && return 0
  install -D -m "$3" "$1" "$2"
  changed=true
}
fank() { (cd "$site" && runuser -u fank -- "$node" "$opt/current/dist/src/cli/main.js" "$@"); }
switch_to() {
  ln -sfn "$1" "$opt/next"
  mv -T "$opt/next" "$opt/current"
}
is_up() { systemctl is-active --quiet fank; }

check_machine() {
  [ "$(id -u)" = 0 ] || refuse "Run it as root: sudo $0" 2
  "$node" -e 'const [a, b] = process.versions.node.split(".").map(Number);
    process.exit(a > 20 || (a === 20 && b >= 19) ? 0 : 1)' 2>/dev/null ||
    refuse "$node must be Node 20.19 or later. Debian 13: apt-get install nodejs npm. Debian 12 ships an older one: install Node 20 there as /usr/bin/node." 2
}

# Neither an animal in the crate nor a leaf on its way may lose its service.
is_idle() {
  is_up || return 0
  local port
  port=$(sed -n '/^page:/,/^[^ ]/s/^ *port: *\([0-9]*\).*/\1/p' "$site/site.yaml" | head -1)
  # shellcheck disable=SC2016
  "$node" -e 'fetch(`http://127.0.0.1:${process.argv[1]}/healthz`).then((r) => r.json()).then(
    (now) => process.exit(now.idle ? 0 : 1), () => process.exit(2))' "${port:-8080}"
}

check_idle() {
  is_idle ||
    refuse "The race is not idle, or Fank does not answer: stop the race and empty the crate (or systemctl stop fank), then run this again. Nothing was changed."
}

make_user() {
  getent group gpio >/dev/null || groupadd --system gpio
  getent passwd fank >/dev/null ||
    useradd --system --user-group --home-dir "$site" --shell /usr/sbin/nologin fank
  # The unit names these groups too; commands that are run as this user have only these.
  usermod -aG dialout,gpio fank
  install -d -o fank -g fank -m 0750 "$site"
}

# Named by what is in it: the same source installed twice is one release.
stage_release() {
  cd "$source"
  [ -e dist/src/cli/main.js ] || refuse "Not built: run npm ci && npm run build here first." 2
  local sum version
  sum=$(find dist hardware-profiles package-lock.json -type f -print0 | sort -z | xargs -0 sha256sum | sha256sum | cut -c1-10)
  version=$("$node" -p 'require("./package.json").version')
  release=$opt/releases/$version-$sum
  [ -e "$release/whole" ] && return 0
  rm -rf "$release"
  install -d -m 0755 "$release/src/cli"
  cp -a package.json package-lock.json README.md LICENSE dist docs hardware-profiles node_modules systemd "$release/"
  cp -a src/cli/fank.js "$release/src/cli/"
  (cd "$release" && npm prune --omit=dev --ignore-scripts --no-audit --no-fund --offline >/dev/null)
  chown -R root:root "$release"
  chmod -R u=rwX,go=rX "$release"
  touch "$release/whole"
}

# Of the release that is current: its unit and rules go with its program, forward and back.
place_files() {
  local from=$opt/current/systemd
  put "$from/fank.service" /etc/systemd/system/fank.service 644
  put "$from/70-fank.rules" /etc/udev/rules.d/70-fank.rules 644
  put "$from/journald.conf" /etc/systemd/journald.conf.d/fank.conf 644
  printf '#!/bin/sh\nexec %s %s/current/dist/src/cli/main.js "$@"\n' "$node" "$opt" >"$opt/fank"
  put "$opt/fank" /usr/local/bin/fank 755
  place_bluetooth
  $changed || return 0
  systemctl daemon-reload
  systemctl try-restart systemd-journald
  if ! { udevadm control --reload && udevadm trigger --subsystem-match=gpio; }; then
    say "udev does not run: its rules hold after a restart."
  fi
}

# More rights only where the site names a weigh head over Bluetooth, and only as long as it does.
place_bluetooth() {
  local drop_in=/etc/systemd/system/fank.service.d/bluetooth.conf
  if grep -qs '^[^#]*bluetooth:' "$site/site.yaml"; then
    put "$opt/current/systemd/bluetooth.conf" "$drop_in" 644
    say "site.yaml names a weigh head over Bluetooth: $drop_in gives the service what it needs for it."
  elif [ -e "$drop_in" ]; then
    rm "$drop_in"
    changed=true
    say "No weigh head over Bluetooth in site.yaml: $drop_in was taken away."
  fi
}

# Raspberry Pi OS keeps outputs driven when their process dies, unless this is set (from its documents).
set_pi() {
  grep -qs "Raspberry Pi" /proc/device-tree/model || return 0
  local config=/boot/firmware/config.txt
  [ -e "$config" ] || config=/boot/config.txt
  grep -qs '^dtparam=strict_gpiod' "$config" && return 0
  printf '\n[all]\n# Fank: outputs are let go when their process dies.\ndtparam=strict_gpiod\n' >>"$config"
  say "$config: strict_gpiod set; restart the Pi before the drop-out is proved."
}

# The release becomes current, with its unit and rules; what runs goes on until it is started again.
take() {
  switch_to "$1"
  place_files
}

# Asked again right before the restart: the backup and the files took their time.
check_still_idle() {
  is_idle && return 0
  [ -z "$1" ] || take "$1"
  refuse "The race is no longer idle: stop it, empty the crate, then run this again. $(basename "$1") goes on as before."
}

start_or_go_back() {
  local before=$1
  check_still_idle "$before"
  systemctl enable --quiet fank
  systemctl restart fank && is_up && return 0
  say "The new release does not come up: journalctl -u fank -n 50"
  [ -n "$before" ] && [ "$before" != "$(readlink "$opt/current")" ] || exit 1
  take "$before"
  systemctl restart fank || true
  refuse "Back to $(basename "$before"). If it calls the day book too new: fank restore, with the backup made before."
}

rollback() {
  local before now
  before=$(readlink "$opt/before") || refuse "There is no release before this one." 2
  now=$(readlink "$opt/current")
  check_idle
  take "$before"
  check_still_idle "$now"
  ln -sfn "$now" "$opt/before"
  systemctl restart fank || refuse "$(basename "$before") does not come up: journalctl -u fank -n 50. If it calls the day book too new, restore the backup made before the update: fank restore --help"
  say "Runs $(basename "$before") again."
}

# The one that runs and the one to go back to are never among those removed.
remove_old() {
  local number=0 folder
  while read -r folder; do
    number=$((number + 1))
    [ "$number" -le "$keep" ] && continue
    [ "$folder" = "$(readlink "$opt/current")" ] || [ "$folder" = "$(readlink "$opt/before")" ] || rm -rf "$folder"
  done < <(ls -1dt "$opt"/releases/*)
}

install_release() {
  local before
  before=$(readlink "$opt/current" || true)
  make_user
  stage_release
  set_pi
  # The same release may lack its unit here, or the site may name another kind of weigh head than before.
  if [ "$before" = "$release" ]; then place_files; fi
  if [ "$before" = "$release" ] && ! $changed && is_up; then
    say "$(basename "$release") runs already; nothing to do."
    return
  fi
  check_idle
  if [ -n "$before" ] && [ -e "$site/fank.db" ]; then fank backup --site "$site"; fi
  [ "$before" = "$release" ] || take "$release"
  if [ ! -e "$site/secrets.json" ]; then fank pin --site "$site"; fi
  start_or_go_back "$before"
  # Only now: after a release that did not come up the one before is still the one before.
  if [ -n "$before" ] && [ "$before" != "$release" ]; then ln -sfn "$before" "$opt/before"; fi
  remove_old
  say "$(basename "$release") runs. Page and sign-in: fank check --site $site; then the fitting."
}

case "${1:-}" in
  '') check_machine; check_idle; install -d "$opt/releases"; install_release ;;
  --rollback) check_machine; rollback ;;
  *) refuse "Usage: $0 [--rollback]" 2 ;;
esac
