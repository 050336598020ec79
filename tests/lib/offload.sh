# How fast `swapcall offload` is beside cp and xxhsum, on the same media in one run. Sourced by tests/run.

# seconds COMMAND…: how long it takes.
seconds() {
  local began ended
  began=$(date +%s.%N)
  "$@" >/dev/null || return 1
  ended=$(date +%s.%N)
  awk -v began="$began" -v ended="$ended" 'BEGIN { printf "%.3f", ended - began }'
}

# Reads must come from the disk, wherever there is one.
empty_cache() {
  sync
  echo 3 >/proc/sys/vm/drop_caches 2>/dev/null || true
}

copy_and_sync() {
  local folder
  for folder in "$2"/cp-*; do
    cp -r "$1" "$folder/" || return 1
  done
  sync --file-system "$2"
}

hash_all() {
  find "$1" -type f -exec xxhsum -q -H1 {} +
}

# offload_speed FOLDER [MB [PLACES]]: a card of so much in files of 256 MB and some small ones, copied below FOLDER by cp (and
# synced), hashed by xxhsum, and offloaded; three rounds, the median of each counts.
offload_speed() {
  local top="$1" megabytes="${2:-2048}" places="${3:-1}" work round number
  work=$(mktemp --directory "$top/swapcall-speed-XXXXXX") || return 1
  # shellcheck disable=SC2064
  trap "rm -rf '$work'" RETURN
  mkdir -p "$work/card/CLIPS" "$work/card/SIDE"
  for number in $(seq 1 $((megabytes / 256))); do
    head -c 256M /dev/urandom >"$work/card/CLIPS/A$number.mov"
  done
  for number in $(seq 1 200); do
    head -c 20K /dev/urandom >"$work/card/SIDE/$number.xml"
  done
  : >"$work/figures"
  for round in 1 2 3; do
    local copy hash copied answer folders=()
    rm -rf "$work"/cp-* "$work"/to-*
    for number in $(seq 1 "$places"); do
      mkdir "$work/cp-$number"
      folders+=("$work/to-$number")
    done
    empty_cache
    copy=$(seconds copy_and_sync "$work/card" "$work") || return 1
    copied="$work/cp-1/card"
    empty_cache
    hash=$(seconds hash_all "$copied") || return 1
    rm -rf "$work"/cp-*
    empty_cache
    answer=$("$TARGET/release/swapcall" offload "$work/card" "${folders[@]}" --copies "$places" --json \
      --spool "$work/spool") || return 1
    answer=$(python3 -c 'import json, sys; a = json.load(sys.stdin); print(a["copy_s"], a["verify_s"], a["bytes"])' <<<"$answer")
    echo "$copy $hash $answer" >>"$work/figures"
  done
  awk -v places="$places" -v top="$top" '
    function median(list,    a, b, t) {
      split(list, v, " ")
      for (a = 1; a < 3; a++) for (b = a + 1; b <= 3; b++) if (v[b] + 0 < v[a] + 0) { t = v[a]; v[a] = v[b]; v[b] = t }
      return v[2] + 0
    }
    { copy = copy " " $1; hash = hash " " $2; own = own " " $3; back = back " " $4; bytes = $5 }
    END {
      mb = bytes / 1e6; c = median(copy); h = median(hash); o = median(own); b = median(back)
      slower = c > h ? c : h
      printf "%s, %.0f MB, %d place(s), median of three rounds\n", top, mb, places
      printf "  cp and sync       %7.2f s  %6.0f MB/s\n", c, mb / c
      printf "  xxhsum of a copy  %7.2f s  %6.0f MB/s\n", h, mb / h
      printf "  offload: copying  %7.2f s  %6.0f MB/s  %.2f of the slower of both\n", o, mb / o, slower / o
      printf "  reading back      %7.2f s  %6.0f MB/s  %.2f of xxhsum\n", b, mb / b, h / b
      printf "  all of it         %7.2f s           %.2f of cp, sync and xxhsum one after the other\n", o + b, (c + h * places) / (o + b)
    }' "$work/figures"
}
