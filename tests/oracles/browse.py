"""Looks for a hub by DNS-SD with zeroconf, a library that shares no code with ours, and prints what it announces as JSON:

    browse.py SECONDS SHA256 ADDRESS

Ends with 0 when the hub with this fingerprint has been seen with this address, with 1 after so many seconds.
"""

import json
import sys
import time

from zeroconf import ServiceBrowser, Zeroconf

TYPE = "_swapcall._tcp.local."


class Names:
    """The names of all hubs that were heard of."""

    def __init__(self):
        self.all = set()

    def add_service(self, zeroconf, kind, name):
        self.all.add(name)

    update_service = add_service

    def remove_service(self, zeroconf, kind, name):
        self.all.discard(name)


def seen(zeroconf, name):
    info = zeroconf.get_service_info(TYPE, name, 1000)
    if info is None:
        return None
    text = {key.decode(): (value or b"").decode() for key, value in info.properties.items()}
    return {"name": name, "addresses": info.parsed_addresses(), "port": info.port, "text": text}


def main():
    seconds, sha256, address = float(sys.argv[1]), sys.argv[2], sys.argv[3]
    end = time.monotonic() + seconds
    zeroconf, names = Zeroconf(), Names()
    ServiceBrowser(zeroconf, TYPE, names)
    last = None
    while time.monotonic() < end:
        for name in sorted(names.all):
            last = seen(zeroconf, name) or last
            if last and last["text"].get("sha256") == sha256 and address in last["addresses"]:
                print(json.dumps(last))
                return 0
        time.sleep(0.1)
    print(json.dumps(last))
    return 1


sys.exit(main())
