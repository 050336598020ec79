# What the checks need beside Rust, and how it gets here. Sourced by tests/run.
# Nothing is fetched when everything is present, so a prepared machine works without a network.

# A command that needs the rights of root: as it is for root, through sudo for everybody else.
as_root() {
  if [ "$(id -u)" -eq 0 ]; then
    "$@"
  elif command -v sudo >/dev/null; then
    sudo "$@"
  else
    echo "not root and no sudo: cannot run $*" >&2
    return 1
  fi
}

# Prints the Debian packages behind the commands that are missing for this part, one per line.
missing_packages() {
  local part="$1" command package
  while read -r command package; do
    command -v "$command" >/dev/null || echo "$package"
  done <<'PAIRS'
cc gcc
git git
python3 python3
strace strace
tmux tmux
ss iproute2
systemd-analyze systemd
PAIRS
  if [ "$part" = rust ] || [ "$part" = lint ]; then
    return
  fi
  while read -r command package; do
    command -v "$command" >/dev/null || echo "$package"
  done <<'PAIRS'
chromium chromium
node nodejs
npm npm
fc-list fontconfig
PAIRS
  if ! command -v fc-list >/dev/null || [ -z "$(fc-list)" ]; then
    echo fonts-dejavu-core
  fi
}

# Installs what is missing. The first argument is the part that asks: all, rust, browser or lint.
install_tools() {
  local packages
  mapfile -t packages < <(missing_packages "$1" | sort -u)
  if [ "${#packages[@]}" -gt 0 ]; then
    echo "installing: ${packages[*]}"
    as_root apt-get update -q || return 1
    as_root env DEBIAN_FRONTEND=noninteractive apt-get install -q -y --no-install-recommends "${packages[@]}" || return 1
  fi
  if ! command -v promtool >/dev/null; then
    fetch_promtool || return 1
  fi
  if ! cargo fmt --version >/dev/null 2>&1 || ! cargo clippy --version >/dev/null 2>&1; then
    rustup component add rustfmt clippy || return 1
  fi
  echo "everything needed is here"
}

# promtool comes in Debian's package of the whole server. Only unpacked, not installed: no service starts.
fetch_promtool() {
  local folder="$OUT/promtool"
  mkdir -p "$folder"
  (
    cd "$folder"
    [ -n "$(apt-cache policy prometheus 2>/dev/null)" ] || as_root apt-get update -q
    apt-get download -q prometheus
    dpkg-deb -x prometheus_*.deb .
    rm -f prometheus_*.deb
  )
  [ -x "$folder/usr/bin/promtool" ]
}

# The packages of the browser tests, exactly as the lock file says; left alone when they are there already.
install_browser_packages() {
  local folder="$TOP/tests/browser"
  local mark="$folder/node_modules/.package-lock.json"
  if [ -f "$mark" ] && [ ! "$folder/package-lock.json" -nt "$mark" ]; then
    echo "tests/browser/node_modules is up to date"
    return 0
  fi
  (cd "$folder" && npm ci --no-audit --no-fund)
}
