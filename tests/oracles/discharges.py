#!/usr/bin/env python3
"""Makes fresh battery discharges of camera units, as an independent oracle for the forecast.

The physics is PyBaMM's: SPMe, parameter set OKane2022 (LG M50 cell), lumped thermal, contact resistance, power
control, IDAKLU solver. A 2S 7.2 V x 3 Ah pack is one 5 Ah cell with power x 5/6, so pack volts = 2 x cell volts and
pack amperes = 3/5 x cell amperes. A discharge ends at 3.0 V per cell under the load of the moment.

Output: DIR/sim/TRACE.csv, one row per 30 s (t_s, mode, ext, v_pack, i_a, temp_c and seven gauge columns) and
DIR/sim_truth.csv (appended after every pack). DIR/READY appears once three packs of every scenario are complete,
DIR/DONE at the end. The same seed gives the same traces, whatever the number of packs or the scenarios chosen.

What the data description fixes and is followed here: recording power per pack uniform 9-14 W, +-4 % per take, +-5 %
per 30 s; standby 1-3 W (a, c, d) or 2.5-4.5 W (b, e); off 0.05 W; scenarios a (takes 25-70 min, short pauses),
b (takes log-normal, median 3.5 min, standby median 4 min, sd of log 0.8, breaks of 5-30 min off), c (as a, at
-5 deg C), d (aged to 76-84 % capacity, contact resistance doubled), e (external power 10-40 min every 20-60 min;
odd packs charge at 6 W while not recording); discharge 1 starts at 100 %, the later ones at 94-100 %; gauge
quantisers; voltage table; 60 s low-pass and 4 mV noise; human entries every 10-20 min.

What it leaves open, chosen here:
- healthy packs: capacity 95-100 % of nominal (uniform), 19-30 deg C; capacity is scaled by active material;
- contact resistance 14-22 mOhm per cell (uniform; twice that for d); "+-" of loads are normal standard deviations;
- pauses in a, c, d: standby, exponential with mean 6.5 min; one take in seven is cut short by 4-14 min off, and a
  quarter of these end in standby; breaks in b: after 11 % of the standby stretches; takes in e: 8-35 min uniform,
  standby 2-10 min;
- charging pauses while the cell is above 4.17 V; a charging pack's mode still follows the crew's schedule;
- the voltage noise of 4 mV is per cell, white, on samples 10 s apart, before the low-pass;
- coulomb gauge: "true" capacity is what the pack gives in a slow discharge; the gauge believes 0.97 of it, +-3 %;
  aged packs: a further 8-20 % too optimistic with probability 0.6;
- start of discharges 2, 3: uniform 94-100 %.
"""

import argparse
import math
import pathlib
import time

import numpy as np
import pandas as pd
import pybamm

ROW_S = 30.0
SAMPLE_S = 10.0
CELL_WATTS_PER_PACK_WATT = 5.0 / 6.0
PACK_AMPS_PER_CELL_AMP = 3.0 / 5.0
# What this cell model gives down to 3.0 V per cell at C/5 and 25 deg C (measured: 2.922 Ah), the "true" capacity of a
# healthy pack that the coulomb gauge believes to know.
PACK_SLOW_AH = 2.92
END_VOLTS = 3.0
CHARGE_STOP_VOLTS = 4.17
CHARGE_WATTS = 6.0
OFF_WATTS = 0.05
NOISE_VOLTS = 0.004
LONGEST_S = 14 * 3600.0
READY_PACKS = 3
TABLE_VOLTS = [3.0, 3.2, 3.35, 3.45, 3.55, 3.65, 3.8, 3.95, 4.10, 4.20]
TABLE_PERCENT = [0, 4, 10, 18, 30, 45, 65, 82, 96, 100]
VARIABLES = ["Voltage [V]", "Current [A]", "Volume-averaged cell temperature [K]", "Discharge capacity [A.h]"]
# Coarse in space on purpose: the time to empty differs from PyBaMM's default mesh by well under 1 % (see README).
MESH_POINTS = {"x_n": 6, "x_s": 4, "x_p": 6, "r_n": 12, "r_p": 12}


def draw_pack(scenario, rng):
    """The fixed traits of one pack and the camera on it."""
    aged = scenario == "d"
    soh = rng.uniform(0.76, 0.84) if aged else rng.uniform(0.95, 1.0)
    gauge_error = 1.0 + 0.03 * rng.standard_normal()
    if aged and rng.random() < 0.6:
        gauge_error *= rng.uniform(1.08, 1.20)
    return {
        "soh": soh,
        "ambient_c": -5.0 if scenario == "c" else rng.uniform(19.0, 30.0),
        "contact_ohm": rng.uniform(0.014, 0.022) * (2.0 if aged else 1.0),
        "rec_w": rng.uniform(9.0, 14.0),
        "standby_w": rng.uniform(2.5, 4.5) if scenario in "be" else rng.uniform(1.0, 3.0),
        "gauge_ah": PACK_SLOW_AH * soh * 0.97 * gauge_error,
    }


def minutes(value):
    """A stretch in minutes, as a whole number of rows, at least one."""
    return max(1, int(round(value * 60.0 / ROW_S)))


def stretches(scenario, rng):
    """Endless (mode, rows) of the crew's schedule."""
    while True:
        if scenario == "b":
            yield "rec", minutes(3.5 * math.exp(0.8 * rng.standard_normal()))
            yield "standby", minutes(4.0 * math.exp(0.8 * rng.standard_normal()))
            if rng.random() < 0.11:
                yield "off", minutes(rng.uniform(5, 30))
        elif scenario == "e":
            yield "rec", minutes(rng.uniform(8, 35))
            yield "standby", minutes(rng.uniform(2, 10))
        else:
            take = rng.uniform(25, 70)
            cut = rng.random() < 1.0 / 7.0
            yield "rec", minutes(take * rng.uniform(0.3, 1.0) if cut else take)
            if cut:
                yield "off", minutes(rng.uniform(4, 14))
            if not cut or rng.random() < 0.25:
                yield "standby", minutes(rng.exponential(6.5))


def schedule(scenario, pack, rng):
    """Rows up to the longest discharge: mode, external power, battery load in pack watts were no charger there."""
    total = int(LONGEST_S / ROW_S)
    modes, watts = [], []
    for mode, rows in stretches(scenario, rng):
        take_w = pack["rec_w"] * (1 + 0.04 * rng.standard_normal())
        base = {"rec": take_w, "standby": pack["standby_w"], "off": OFF_WATTS}
        modes += [mode] * rows
        watts += [base[mode]] * rows
        if len(modes) >= total:
            break
    modes, watts = modes[:total], np.array(watts[:total])
    watts = watts * (1 + 0.05 * rng.standard_normal(total))
    external = np.zeros(total, dtype=int)
    at = minutes(rng.uniform(15, 45))
    while scenario == "e" and at < total:
        rows = minutes(rng.uniform(10, 40))
        external[at : at + rows] = 1
        at += rows + minutes(rng.uniform(20, 60))
    return modes, external, watts


def build_cell(pack):
    """The discretised cell model of one pack, its solver, and the stoichiometry limits that define 0 and 100 %."""
    options = {"thermal": "lumped", "contact resistance": "true", "operating mode": "power"}
    model = pybamm.lithium_ion.SPMe(options)
    model.events = [event for event in model.events if event.name == "Minimum voltage [V]"]
    values = pybamm.ParameterValues("OKane2022")
    low_n, high_n, low_p, high_p = pybamm.lithium_ion.get_min_max_stoichiometries(values)
    kelvin = 273.15 + pack["ambient_c"]
    full_n = values["Maximum concentration in negative electrode [mol.m-3]"]
    full_p = values["Maximum concentration in positive electrode [mol.m-3]"]
    share_n = values["Negative electrode active material volume fraction"]
    share_p = values["Positive electrode active material volume fraction"]
    values.update(
        {
            "Contact resistance [Ohm]": pack["contact_ohm"],
            "Lower voltage cut-off [V]": END_VOLTS,
            "Ambient temperature [K]": kelvin,
            "Initial temperature [K]": kelvin,
            "Negative electrode active material volume fraction": share_n * pack["soh"],
            "Positive electrode active material volume fraction": share_p * pack["soh"],
            "Initial concentration in negative electrode [mol.m-3]": "[input]",
            "Initial concentration in positive electrode [mol.m-3]": "[input]",
        }
    )
    values.update({"Power function [W]": "[input]"}, check_already_exists=False)
    geometry = model.default_geometry
    values.process_model(model)
    values.process_geometry(geometry)
    mesh = pybamm.Mesh(geometry, model.default_submesh_types, MESH_POINTS)
    pybamm.Discretisation(mesh, model.default_spatial_methods).process_model(model)
    solver = pybamm.IDAKLUSolver(rtol=1e-4, atol=1e-4, output_variables=VARIABLES)

    def initial(soc):
        return {
            "Initial concentration in negative electrode [mol.m-3]": full_n * (low_n + soc * (high_n - low_n)),
            "Initial concentration in positive electrode [mol.m-3]": full_p * (high_p - soc * (high_p - low_p)),
        }

    return model, solver, initial


def run_cell(cell, start_soc, load_of_row):
    """Steps the cell row by row until it drops to the end voltage.

    `load_of_row(row, cell_volts)` gives pack watts. Returns the rows seen (time, volts at the start of the row and at
    the samples within it, amperes, kelvin, ampere-hours; all of the cell) and the end in seconds.
    """
    model, solver, initial = cell
    inputs = initial(start_soc)
    solution, rows, volts = None, [], 4.0
    offsets = np.arange(0.0, ROW_S + 1, SAMPLE_S)
    for row in range(int(LONGEST_S / ROW_S)):
        inputs["Power function [W]"] = CELL_WATTS_PER_PACK_WATT * load_of_row(row, volts)
        start = row * ROW_S
        try:
            last = None if solution is None else solution.last_state
            solution = solver.step(last, model, ROW_S, t_interp=offsets, save=False, inputs=inputs)
        except pybamm.SolverError as error:
            if "initial conditions" in str(error):  # the new load alone takes it below the end voltage
                return rows, start
            raise
        v, i, k, ah = (np.asarray(solution[name].data) for name in VARIABLES)
        rows.append((start, solution.t, v, i[0], k[0], ah[0], ah[-1]))
        volts = v[-1]
        if solution.termination != "final time":
            return rows, float(solution.t[-1])
    return rows, None


def low_pass(rows, rng):
    """Noisy cell volts through a first-order 60 s low-pass, read at the start of each row."""
    filtered, out, last = None, [], 0.0
    for start, times, volts, *_ in rows:
        for t, v in zip(times, volts + NOISE_VOLTS * rng.standard_normal(len(volts))):
            filtered = v if filtered is None else v + (filtered - v) * math.exp(-max(0.0, t - last) / 60.0)
            last = t
            if t <= start + 1e-3:
                out.append(filtered)
    return np.array(out)


def human_entries(percent, rng):
    """Percent typed by a person every 10-20 min, empty in between; the first at once."""
    entries, at = [""] * len(percent), 0
    while at < len(percent):
        entries[at] = int(np.clip(5 * math.floor((percent[at] + rng.uniform(-5, 5)) / 5 + 0.5), 0, 100))
        at += minutes(rng.uniform(10, 20))
    return entries


def quantised(percent):
    """The three displays of a percentage: whole percent, steps of five, four bars."""
    percent = np.clip(percent, 0, 100)
    bars = np.clip(25 * np.ceil(percent / 25 - 1e-9), 25, 100)
    return np.floor(percent + 1e-9), 5 * np.floor(percent / 5 + 0.5), bars


def gauges(rows, start_soc, pack, rng):
    """The gauge columns of a trace, and the coulomb gauge's unrounded percent."""
    used = np.array([row[5] for row in rows]) * PACK_AMPS_PER_CELL_AMP
    coulomb = np.clip(100 * (start_soc - used / pack["gauge_ah"]), 0, 100)
    lookup = np.interp(low_pass(rows, rng), TABLE_VOLTS, TABLE_PERCENT)
    columns = {}
    for prefix, percent in (("cc", coulomb), ("v", lookup)):
        for step, shown in zip((1, 5, 25), quantised(percent)):
            columns[f"{prefix}{step}"] = shown.astype(int)
    columns["human"] = human_entries(coulomb, rng)
    return columns


def make_trace(cell, scenario, pack, start_soc, charges, rng):
    """One discharge: its table and the facts for the truth file; None if it does not end in time."""
    modes, external, watts = schedule(scenario, pack, rng)

    def load_of_row(row, volts):
        if not external[row]:
            return watts[row]
        charging = charges and modes[row] != "rec" and volts < CHARGE_STOP_VOLTS
        return -CHARGE_WATTS if charging else 0.0

    rows, end_s = run_cell(cell, start_soc, load_of_row)
    if end_s is None:
        return None
    table = {
        "t_s": [int(row[0]) for row in rows],
        "mode": modes[: len(rows)],
        "ext": external[: len(rows)],
        "v_pack": [round(2 * float(row[2][0]), 3) for row in rows],
        "i_a": [round(PACK_AMPS_PER_CELL_AMP * float(row[3]), 3) for row in rows],
        "temp_c": [round(float(row[4]) - 273.15, 1) for row in rows],
    }
    table.update(gauges(rows, start_soc, pack, rng))
    out_ah = PACK_AMPS_PER_CELL_AMP * float(rows[-1][6])
    gauge_end = float(np.clip(100 * (start_soc - out_ah / pack["gauge_ah"]), 0, 100))
    facts = {"t_end_s": round(end_s, 1), "soc_gauge_at_end": round(gauge_end, 1), "ah_out": round(out_ah, 3)}
    return pd.DataFrame(table), facts


def make_pack(seed, scenario, number, discharges, out):
    """All discharges of one pack, written as they are done; returns the truth rows."""
    key = [seed, ord(scenario), number]
    pack = draw_pack(scenario, np.random.default_rng(key))
    cell = build_cell(pack)
    name = f"s{seed}{scenario}{number}"
    truth = []
    for discharge in range(1, discharges + 1):
        made, attempt = None, 0
        while made is None:  # a discharge that outlasts LONGEST_S (external power) is drawn again
            rng = np.random.default_rng(key + [discharge, attempt])
            start_soc = 1.0 if discharge == 1 else rng.uniform(0.94, 1.0)
            made = make_trace(cell, scenario, pack, start_soc, scenario == "e" and number % 2 == 1, rng)
            attempt += 1
        table, facts = made
        trace = f"{name}_{discharge}"
        table.to_csv(out / "sim" / f"{trace}.csv", index=False)
        truth.append(
            {"trace": trace, "split": f"seed{seed}", "scenario": scenario, "pack": name, "discharge": discharge}
            | {"t_end_s": facts["t_end_s"], "soh": round(pack["soh"], 3), "amb_c": round(pack["ambient_c"], 1)}
            | {"soc_gauge_at_end": facts["soc_gauge_at_end"], "ah_out": facts["ah_out"]}
        )
    return truth


def main():
    """Command line; see the head of the file."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seed", type=int, required=True)
    parser.add_argument("--packs", type=int, required=True, help="packs per scenario")
    parser.add_argument("--discharges", type=int, default=3)
    parser.add_argument("--out", type=pathlib.Path, required=True)
    parser.add_argument("--scenarios", default="abcde")
    options = parser.parse_args()
    (options.out / "sim").mkdir(parents=True, exist_ok=True)
    for stale in ("sim_truth.csv", "READY", "DONE"):
        (options.out / stale).unlink(missing_ok=True)
    pybamm.set_logging_level("ERROR")
    began = time.monotonic()
    traces = 0
    for number in range(options.packs):
        for scenario in options.scenarios:
            truth = make_pack(options.seed, scenario, number, options.discharges, options.out)
            target = options.out / "sim_truth.csv"
            pd.DataFrame(truth).to_csv(target, mode="a", header=not target.exists(), index=False)
            traces += len(truth)
            spent = time.monotonic() - began
            each = f"{spent / traces:.2f} s each"
            print(f"pack {number} of {scenario}: {traces} traces, {spent:.0f} s, {each}", flush=True)
        if number + 1 == READY_PACKS:
            (options.out / "READY").touch()
    (options.out / "DONE").touch()


if __name__ == "__main__":
    main()
