# Checks of the files in deploy/. Sourced by tests/run.

# Units are verified in a copy whose programs are files that exist, because the hub is not installed here.
verify_units() {
  local folder unit copy
  folder="$(mktemp -d)"
  # The step's own shell ends with it; the name is put in now, because a local is gone by then.
  trap "rm -rf '$folder'" EXIT
  printf '#!/bin/sh\n' >"$folder/program"
  chmod +x "$folder/program"
  for unit in "$TOP"/deploy/*.service; do
    copy="$folder/$(basename "$unit")"
    sed -E "s#^(Exec[A-Za-z]+=)/usr/local/bin/[a-z-]+#\1$folder/program#" "$unit" >"$copy"
    echo "verify $(basename "$unit")"
    # Warnings, such as an unknown setting, leave the exit code at 0: any output about our unit is a failure.
    if ! systemd-analyze verify --man=no "$copy" >"$folder/said" 2>&1 || grep -F "$(basename "$unit")" "$folder/said"; then
      cat "$folder/said"
      return 1
    fi
    # 0 is closed and 10 is open; a service with no hardening at all stands at 9.6.
    systemd-analyze security --no-pager --offline=true --threshold=20 "$copy" | tail -n 1
  done
}

# The scrape file, and every rule file it names.
check_prometheus_files() {
  promtool check config "$TOP/deploy/prometheus.yml"
}
