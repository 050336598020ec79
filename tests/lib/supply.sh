# Where the code of others comes from, on which terms, and a list of it. Sourced by tests/run.

# Licences, bans and sources, from the crates that lie here. Where crates of other systems are not here yet, cargo
# fetches them, to read their licence files.
check_licences() {
  local here=()
  if cargo metadata --offline --locked --all-features --format-version 1 >/dev/null 2>&1; then
    here=(--offline)
  fi
  cargo deny "${here[@]}" --config .deny.toml check --hide-inclusion-graph licenses bans sources
}

# The database of known faults. It lies on another host than the crates, so there are machines that cannot have it.
fetch_advisories() {
  timeout 60s cargo deny --config .deny.toml fetch db >"$OUT/advisories-fetch.log" 2>&1 </dev/null
}

# The bill of materials of both binaries, checked against the schema of its format.
sbom() {
  step sbom make_sbom
}

# In a copy, because the tool writes beside the manifests.
make_sbom() {
  local copy
  copy="$(mktemp -d)"
  trap "rm -rf '$copy'" EXIT
  tar -c --exclude=./target --exclude=./tests/out --exclude=node_modules --exclude=./.git . | tar -x -C "$copy"
  (cd "$copy" && cargo cyclonedx --quiet --format json --spec-version 1.5 --describe binaries)
  mkdir -p "$OUT/sbom"
  cp "$copy/server/swapcall-hub_bin.cdx.json" "$OUT/sbom/swapcall-hub.cdx.json"
  cp "$copy/client-cli/swapcall_bin.cdx.json" "$OUT/sbom/swapcall.cdx.json"
  "$OUT/cyclonedx/bin/python" tests/oracles/sbom.py Cargo.lock "$OUT"/sbom/*.cdx.json
}
