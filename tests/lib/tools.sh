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
c++ g++
git git
python3 python3
strace strace
tmux tmux
ss iproute2
gphoto2 gphoto2
xxhsum xxhash
xmllint libxml2-utils
systemd-analyze systemd
PAIRS
  # Debian's Python makes no environments of its own without this.
  python3 -c 'import ensurepip, venv' 2>/dev/null || echo python3-venv
  if [ "$part" != all ] && [ "$part" != browser ]; then
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

# Which of cargo's own tools a part needs, each with the version these checks were written for.
cargo_tools() {
  case "$1" in
    all) echo "cargo-deny@0.20.2 cargo-cyclonedx@0.5.9" ;;
    lint) echo "cargo-deny@0.20.2" ;;
    sbom) echo "cargo-cyclonedx@0.5.9" ;;
  esac
}

# Builds what is missing of cargo's tools into tests/out/tools, without optimisation: they run for seconds, and take minutes
# to optimise.
install_cargo_tools() {
  local tool
  for tool in $(cargo_tools "$1"); do
    if ! command -v "${tool%@*}" >/dev/null; then
      echo "building $tool"
      CARGO_TARGET_DIR="$OUT/tools/target" CARGO_PROFILE_RELEASE_OPT_LEVEL=0 CARGO_PROFILE_RELEASE_LTO=off \
        CARGO_PROFILE_RELEASE_CODEGEN_UNITS=16 cargo install --quiet --locked --root "$OUT/tools" "$tool" || return 1
    fi
  done
  rm -rf "$OUT/tools/target"
}

# python_tools NAME REQUIREMENTS: a Python of its own in tests/out/NAME with what the file lists, made anew when it changed.
python_tools() {
  local folder="$OUT/$1" wanted="$2"
  if ! cmp -s "$wanted" "$folder/requirements.txt"; then
    rm -rf "$folder"
    python3 -m venv "$folder" || return 1
    "$folder/bin/python" -m pip install --quiet --disable-pip-version-check --requirement "$wanted" || return 1
    cp "$wanted" "$folder/requirements.txt"
  fi
}

# The reference implementation of ASC MHL, which comes without its schema; that is in its source archive.
reference_of_manifests() {
  local folder="$OUT/ascmhl" wanted="tests/oracles/ascmhl-requirements.txt"
  python_tools ascmhl "$wanted" || return 1
  if [ ! -f "$folder/xsd/ASCMHL.xsd" ]; then
    rm -rf "$folder/source"
    "$folder/bin/python" -m pip download --quiet --disable-pip-version-check --no-deps --no-binary :all: \
      --dest "$folder/source" --requirement "$wanted" || return 1
    tar --extract --gzip --file "$folder"/source/ascmhl-*.tar.gz --directory "$folder" --strip-components=1 \
      --wildcards '*/xsd/*.xsd' || return 1
    rm -rf "$folder/source"
  fi
}

# Installs what is missing. The first argument is the part that asks.
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
  install_cargo_tools "$1" || return 1
  case "$1" in
    all | schemathesis | faults) python_tools schemathesis tests/hostile/api/requirements.txt || return 1 ;;
  esac
  case "$1" in
    all | rust)
      python_tools dns-sd tests/oracles/dns-sd-requirements.txt || return 1
      reference_of_manifests || return 1
      ;;
  esac
  case "$1" in
    all | sbom) python_tools cyclonedx tests/oracles/sbom-requirements.txt || return 1 ;;
  esac
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
