"""Rotations of packs played through with simpy, a library that shares no code with ours; writes tests/data/rota.json.

    rota.py > tests/data/rota.json

Each unit takes a ready pack (or waits, dark, first come first served), runs it empty, and asks for the next at once. The empty
pack is handled, queues for a bay, charges, and lies ready. Fixed times: compared exactly. Varying times (drawn evenly): the
other side draws other numbers, so long shows are compared in the mean.
"""

import json
import random

import simpy

HOUR = 3600.0


def play(case, seed):
    chance = random.Random(seed)
    spread = case["spread"]
    env = simpy.Environment()
    ready = simpy.Store(env)
    bays = simpy.Resource(env, capacity=case["bays"])
    for pack in range(case["packs"]):
        ready.put(pack)
    told = {"swaps": 0, "dark": [], "first": None}

    def lasts(mean):
        return mean * (1 + spread * (2 * chance.random() - 1)) if spread else mean

    def charge(pack):
        yield env.timeout(case["handling_s"])
        with bays.request() as bay:
            yield bay
            yield env.timeout(lasts(case["charge_s"]))
        yield ready.put(pack)

    waits = {}

    def unit(number):
        share = number / case["units"] if case["starts"] == "staggered" else 0.0
        yield env.timeout(share * case["run_s"])
        while True:
            since = env.now
            waits[number] = since
            pack = yield ready.get()
            del waits[number]
            if env.now > since:
                told["dark"].append(env.now - since)
                told["first"] = since if told["first"] is None else min(told["first"], since)
            told["swaps"] += 1
            yield env.timeout(lasts(case["run_s"]))
            env.process(charge(pack))

    for number in range(case["units"]):
        env.process(unit(number))
    env.run(until=case["show_s"])
    rest = [case["show_s"] - since for since in waits.values() if since < case["show_s"]]
    first = [since for since in waits.values() if since < case["show_s"]]
    if first:
        told["first"] = min(first) if told["first"] is None else min(told["first"], min(first))
    return {"swaps": told["swaps"], "dark_s": sum(told["dark"]) + sum(rest), "first_dark_s": told["first"]}


def cases():
    chance = random.Random(20260613)
    for number in range(40):
        spread = 0.0 if number < 24 else chance.choice([0.1, 0.2, 0.3])
        units = chance.randint(1, 12)
        run, charge = chance.randint(40, 150) * 60, chance.randint(30, 180) * 60
        handling = chance.choice([0, 3, 7, 12]) * 60
        need = -(-units * (run + charge + handling) // run)
        bays = max(1, -(-units * charge // run) + chance.randint(-2, 1))
        yield {
            "units": units,
            "packs": max(units, need + chance.randint(-3, 2)),
            "bays": bays,
            "run_s": float(run),
            "charge_s": float(charge),
            "handling_s": float(handling),
            "spread": spread,
            "starts": chance.choice(["together", "staggered"]),
            "show_s": (14.0 if spread == 0.0 else 20000.0) * HOUR,
        }


def main():
    rows = []
    for number, case in enumerate(cases()):
        rows.append({"case": case, "played": play(case, number)})
    head = f"simpy {simpy.__version__} by tests/oracles/rota.py; the first 24 with fixed times, the rest with times drawn evenly"
    print(json.dumps({"source": head, "rows": rows}, indent=1))


main()
