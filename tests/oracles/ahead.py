"""The hours to come of rotations, played on with simpy, which shares no code with ours; writes tests/data/ahead.json.

    ahead.py > tests/data/ahead.json

Each unit runs its present pack, comes for a ready one some minutes before the end (or waits for one, first come first
served), and so on. The spent pack is handled, queues for a bay, charges, and lies ready. Times are split normals through
three points; half of the variance stays with the unit (or with all charges) through a play. The other side draws other
numbers, so what is compared are means and shares over many plays.
"""

import json
import random
import statistics

import simpy

HOUR = 3600.0
Z90 = 1.2815515655446004
PLAYS = 3000
RUN_LEAST = 60.0


class Chance:
    """Times of one play."""

    def __init__(self, seed):
        self.random = random.Random(seed)
        self.stays = {}

    def time(self, of, points):
        stays = self.stays.setdefault(of, self.random.gauss(0, 1))
        score = (stays + self.random.gauss(0, 1)) / 2**0.5
        p10, p50, p90 = points
        return max(0.0, p50 + score / Z90 * ((p50 - p10) if score < 0 else (p90 - p50)))


def play(case, seed):
    env = simpy.Environment()
    chance = Chance(seed)
    ready = simpy.Store(env)
    bays = simpy.Resource(env, capacity=case["bays"])
    for share in case["ready"]:
        ready.put(share)
    told = {"first": None, "waiting": 0, "most": 0, "any": 0.0, "since": 0.0, "ready": []}

    def waits(change):
        if told["waiting"]:
            told["any"] += env.now - told["since"]
        told["waiting"] += change
        told["since"] = env.now
        told["most"] = max(told["most"], told["waiting"])

    def in_bay(points):
        with bays.request() as bay:
            yield bay
            yield env.timeout(chance.time("begun", points))
        yield ready.put(1.0)

    def charge(share, handling):
        yield env.timeout(handling)
        with bays.request() as bay:
            yield bay
            yield env.timeout(share * chance.time("charges", case["charge"]))
        yield ready.put(1.0)

    def unit(number, turning):
        if turning["external"]:
            return
        run = chance.time(number, turning["present"]) - case["early_s"]
        yield env.timeout(max(0.0, run))
        while True:
            env.process(charge(1.0, case["handling_s"]))
            wanted = ready.get()
            if not wanted.triggered:
                if told["first"] is None:
                    told["first"] = env.now
                waits(+1)
                share = yield wanted
                waits(-1)
            else:
                share = yield wanted
            fresh = [share * point for point in turning["fresh"]]
            yield env.timeout(max(RUN_LEAST, chance.time(number, fresh) - case["early_s"]))

    def look():
        while True:
            told["ready"].append(len(ready.items))
            yield env.timeout(case["step_s"])

    env.process(look())
    for points in case["in_bays"]:
        env.process(in_bay(points))
    for share in case["spent"]:
        env.process(charge(share, 0.0))
    for number, turning in enumerate(case["units"]):
        env.process(unit(number, turning))
    env.run(until=case["horizon_s"] + 1e-6)
    waits(0)
    return told


def cases():
    chance = random.Random(20260615)

    def around(middle, low, high):
        return [round(middle * low), round(middle), round(middle * high)]

    for number in range(12):
        units = []
        for _ in range(chance.randint(2, 12)):
            run = chance.randint(50, 150) * 60
            low, high = (1.0, 1.0) if number < 2 else (chance.uniform(0.6, 0.95), chance.uniform(1.05, 1.5))
            units.append({
                "present": around(run * chance.uniform(0.05, 1.0), low, high),
                "fresh": around(run, low, high),
                "external": chance.random() < 0.15,
            })
        charge = chance.randint(60, 180) * 60
        used = sum(1 / unit["fresh"][1] for unit in units if not unit["external"])
        bays = max(1, round(used * charge) + chance.randint(0, 2))
        in_bays, spent = chance.randint(0, bays), chance.randint(0, 2)
        ready = max(0, round(used * charge) + chance.randint(2, 5) - in_bays - spent)
        yield {
            "units": units,
            "ready": [chance.choice([1.0, 1.0, 1.0, 0.6]) for _ in range(ready)],
            "in_bays": [around(charge * chance.uniform(0.1, 0.9), 0.8, 1.25) for _ in range(in_bays)],
            "spent": [chance.choice([1.0, 0.9]) for _ in range(spent)],
            "bays": bays,
            "charge": around(charge, 0.85, 1.2),
            "handling_s": float(chance.choice([120, 300, 600])),
            "early_s": float(chance.choice([0, 180, 300])),
            "horizon_s": float(chance.choice([4, 8, 12])) * HOUR,
            "step_s": 1800.0,
        }


def mean(values):
    return {"mean": statistics.fmean(values), "error": statistics.stdev(values) / len(values) ** 0.5}


def main():
    rows = []
    for number, case in enumerate(cases()):
        played = [play(case, number * PLAYS + one) for one in range(PLAYS)]
        short = sorted(one["first"] for one in played if one["first"] is not None and one["first"] < case["horizon_s"])
        rows.append({
            "case": case,
            "played": {
                "ready": [mean([one["ready"][point] for one in played]) for point in range(len(played[0]["ready"]))],
                "chance": len(short) / PLAYS,
                "at_s": short[len(short) // 2] if short else None,
                "most_waiting": mean([one["most"] for one in played]),
                "waits_s": mean([one["any"] for one in played]),
            },
        })
    head = f"simpy {simpy.__version__} by tests/oracles/ahead.py, {PLAYS} plays of each case; the first two have run-outs without spread"
    print(f'{{"source": {json.dumps(head)}, "plays": {PLAYS}, "rows": [')
    print(",\n".join(json.dumps(row) for row in rows))
    print("]}")


main()
