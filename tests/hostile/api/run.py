#!/usr/bin/env python3
"""Tries the whole HTTP API of a real hub with machine-made requests, from its own /openapi.json: run.py HUB [--long].

Starts the hub in a throw-away folder on a free port of 127.0.0.1, gives it a small fleet, and lets schemathesis make
valid and invalid requests of every kind, one by one and in sequences along the links it finds. Every check is on, and
those in hooks.py; what is left out stands in schemathesis.toml with its reason. Needs schemathesis beside this Python
(requirements.txt). SWAPCALL_API_SEED=N repeats a run.
"""

import argparse
import datetime
import json
import os
import pathlib
import re
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request

HERE = pathlib.Path(__file__).resolve().parent
#: Requests for each operation and phase, and the fewest that must have been made in all.
SHORT, LONG = (48, 2_000), (500, 15_000)
FIXED_SEED = 20261125


def start(hub, data):
    """Starts the hub and waits until it says where it listens."""
    command = [hub, "serve", "--listen", "127.0.0.1:0", "--log", "warn", "--data", data]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    for line in process.stdout:
        if line.startswith("Swapcall hub at "):
            return process, line.removeprefix("Swapcall hub at ").strip()
    sys.exit(f"the hub ended with code {process.wait()} before it served")


def send(base, token, method, path, body=None):
    """One request with the token; gives status and body."""
    headers = {"Authorization": f"Bearer {token}", "Content-Type": "application/json"}
    data = None if body is None else json.dumps(body).encode()
    request = urllib.request.Request(base + path, data, headers, method=method)
    try:
        with urllib.request.urlopen(request, timeout=20) as answer:
            return answer.status, answer.read()
    except urllib.error.HTTPError as error:
        return error.code, error.read()


def furnish(base, token):
    """Three units with calls, and a pack that was run to its end."""
    now = datetime.datetime.now(datetime.timezone.utc)
    stamp = lambda moment: moment.strftime("%Y-%m-%dT%H:%M:%SZ")
    reports = []
    for unit in ("BOW2", "STERN", "MID.1"):
        assert send(base, token, "PUT", f"/v1/units/{unit}", {"walk_s": 60})[0] == 201
        for minute in range(120):
            left = max(100 - minute, 3) if minute < 110 else 119 - minute
            report = {
                "unit": unit,
                "at": stamp(now - datetime.timedelta(minutes=119 - minute)),
                "mode": "recording",
                "battery": {"percent": left, "pack": "P7" if minute < 110 else "P8"},
            }
            reports.append(report)
    status, answer = send(base, token, "POST", "/v1/reports", {"sent_at": stamp(now), "reports": reports})
    assert status == 200 and json.loads(answer)["refused"] == 0, answer
    calls = json.loads(send(base, token, "GET", "/v1/calls")[1])["calls"]
    assert len(calls) == 3, calls
    assert send(base, token, "GET", "/v1/packs/P7/curve")[0] == 200


def run(base, token, seed, examples):
    """Schemathesis; gives its exit code and the number of requests it made."""
    program = pathlib.Path(sys.executable).with_name("schemathesis")
    command = [program, "--config-file", HERE / "schemathesis.toml", "run", f"{base}/openapi.json"]
    command += ["--checks", "all", "--phases", "examples,coverage,fuzzing,stateful", "--no-color"]
    # A token may send 50 requests a second.
    command += ["--max-examples", str(examples), "--seed", str(seed), "--rate-limit", "45/s"]
    environment = os.environ | {"SWAPCALL_TOKEN": token, "PYTHONUNBUFFERED": "1"}
    made = 0
    with subprocess.Popen(
        command, cwd=HERE, env=environment, stdout=subprocess.PIPE, text=True
    ) as process:
        for line in process.stdout:
            print(line, end="", flush=True)
            if found := re.match(r"\s*(\d[\d,]*) generated", line):
                made = int(found[1].replace(",", ""))
    return process.returncode, made


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("hub")
    parser.add_argument("--long", action="store_true")
    given = parser.parse_args()
    examples, fewest = LONG if given.long else SHORT
    seed = int(os.environ.get("SWAPCALL_API_SEED", FIXED_SEED))
    print(f"seed {seed}: SWAPCALL_API_SEED={seed} repeats this run")
    with tempfile.TemporaryDirectory(prefix="swapcall-api-") as folder:
        data = pathlib.Path(folder) / "data"
        hub, base = start(given.hub, data)
        try:
            token = (data / "owner-token").read_text().strip()
            furnish(base, token)
            began = time.monotonic()
            code, made = run(base, token, seed, examples)
            took = time.monotonic() - began
            alive = send(base, token, "GET", "/readyz")[0] == 200 and hub.poll() is None
        finally:
            hub.terminate()
            ended = hub.wait(30)
    print(f"figure: machine-made requests: {made} in {took:.0f} s, seed {seed}; hub alive after: {alive}")
    if made < fewest:
        sys.exit(f"only {made} requests were made, fewer than {fewest}")
    if not alive or ended != 0:
        sys.exit(f"the hub did not live through it: its exit code is {ended}")
    sys.exit(code)


if __name__ == "__main__":
    main()
