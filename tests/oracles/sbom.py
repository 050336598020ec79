#!/usr/bin/env python3
"""Checks bills of materials: sbom.py CARGO_LOCK BOM...

Each must be valid CycloneDX 1.5 JSON by the schema that cyclonedx-python-lib carries, name each of its crates with the
version and checksum of Cargo.lock, give each a licence, and leave out nothing: neither a crate that `cargo tree` finds
in the package the file is called after, nor one that another entry says it needs. Runs in the folder of Cargo.lock.
"""

import json
import pathlib
import subprocess
import sys
import tomllib

from cyclonedx.schema import SchemaVersion
from cyclonedx.validation.json import JsonStrictValidator


def built_from(package):
    """Name and version of each crate that goes into a package or its building, as cargo resolves them here."""
    command = ["cargo", "tree", "--locked", "--package", package, "--edges", "normal,build"]
    command += ["--prefix", "none", "--format", "{p}"]
    listed = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    crates = {tuple(line.split()[:2]) for line in listed.splitlines() if line}
    return {(name, version.removeprefix("v")) for name, version in crates}


def missing_from(bill, package):
    """What a bill leaves out, a line for each."""
    parts = [bill["metadata"]["component"], *bill.get("components", [])]
    named = {(part["name"], part["version"]) for part in parts}
    for name, version in sorted(built_from(package) - named):
        yield f"lacks {name} {version}"
    known = {part["bom-ref"] for part in parts}
    needs = {need["ref"]: need.get("dependsOn", []) for need in bill.get("dependencies", [])}
    for ref in sorted(known.difference(needs)):
        yield f"does not say what {ref} needs"
    for ref in sorted({need for needed in needs.values() for need in needed} - known):
        yield f"lacks {ref}, which another entry needs"


def wrong_with(path, locked):
    """What is wrong with one bill, a line for each."""
    text = path.read_text()
    if error := JsonStrictValidator(SchemaVersion.V1_5).validate_str(text):
        yield f"not valid CycloneDX 1.5: {error}"
        return
    bill = json.loads(text)
    if bill["specVersion"] != "1.5":
        yield f"is of version {bill['specVersion']}"
    components = bill.get("components", [])
    others = [part for part in components if part.get("purl", "").count("download_url=file") == 0]
    for part in others:
        named = (part["name"], part["version"])
        if named not in locked:
            yield f"{named} is not in Cargo.lock"
        elif part.get("hashes", [{}])[0].get("content") != locked[named]:
            yield f"{named} has another checksum than in Cargo.lock"
        if not part.get("licenses"):
            yield f"{named} has no licence"
    yield from missing_from(bill, path.name.removesuffix(".cdx.json"))
    print(f"figure: {path.name}: {len(components)} components, {len(others)} of them by others")


def main():
    lock = tomllib.loads(pathlib.Path(sys.argv[1]).read_text())
    locked = {(part["name"], part["version"]): part.get("checksum") for part in lock["package"]}
    found = [f"{name}: {line}" for name in sys.argv[2:] for line in wrong_with(pathlib.Path(name), locked)]
    print("\n".join(found) or "valid and complete")
    sys.exit(1 if found else 0)


if __name__ == "__main__":
    main()
