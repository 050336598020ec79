#!/usr/bin/env python3
"""Checks bills of materials: sbom.py CARGO_LOCK BOM...

Each must be valid CycloneDX 1.5 JSON by the schema that cyclonedx-python-lib carries, name each of its crates with the
version and checksum of Cargo.lock, give each a licence, and hold what the binary certainly is made of.
"""

import json
import pathlib
import sys
import tomllib

from cyclonedx.schema import SchemaVersion
from cyclonedx.validation.json import JsonStrictValidator

#: Crates that each binary has.
CERTAIN = {"swapcall-hub.cdx.json": {"axum", "sled", "tokio", "serde"}, "swapcall.cdx.json": {"clap", "ratatui", "ureq"}}


def wrong_with(path, locked):
    """What is wrong with one bill, a line for each."""
    text = path.read_text()
    if error := JsonStrictValidator(SchemaVersion.V1_5).validate_str(text):
        yield f"not valid CycloneDX 1.5: {error}"
    components = json.loads(text).get("components", [])
    others = [part for part in components if part.get("purl", "").count("download_url=file") == 0]
    for part in others:
        named = (part["name"], part["version"])
        if named not in locked:
            yield f"{named} is not in Cargo.lock"
        elif part.get("hashes", [{}])[0].get("content") != locked[named]:
            yield f"{named} has another checksum than in Cargo.lock"
        if not part.get("licenses"):
            yield f"{named} has no licence"
    missing = CERTAIN[path.name] - {part["name"] for part in components}
    if missing:
        yield f"lacks {', '.join(sorted(missing))}"
    print(f"figure: {path.name}: {len(components)} components, {len(others)} of them by others")


def main():
    lock = tomllib.loads(pathlib.Path(sys.argv[1]).read_text())
    locked = {(part["name"], part["version"]): part.get("checksum") for part in lock["package"]}
    found = [f"{name}: {line}" for name in sys.argv[2:] for line in wrong_with(pathlib.Path(name), locked)]
    print("\n".join(found) or "valid and complete")
    sys.exit(1 if found else 0)


if __name__ == "__main__":
    main()
