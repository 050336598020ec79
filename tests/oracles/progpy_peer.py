#!/usr/bin/env python3
"""progpy as a peer: its battery model, Kalman filter and Monte Carlo predictor on the same traces, for a table.

Usage: progpy_peer.py DIR --gauge cc1 --out FILE [--every 300] [--samples 40] [--no-history] [--traces N]
DIR is laid out as discharges.py writes it. FILE gets trace,t,p10,p50,p90 (remaining seconds) every 60 s from t = 300.
A prediction is made every `--every` seconds and counted down in between.

Wiring, all of it from progpy 1.9 where progpy has the part:
- Model: progpy's SimplifiedBattery (energy counter plus an open-circuit curve with one resistance), its two events
  merged into one, the end by energy or by voltage (in 1.9.0 MonteCarlo's strategy "first" fails with a KeyError when
  samples end by different events; progpy's BatteryCircuit merges them the same way). Scaled to a 2S 7.2 V x 3 Ah
  pack: E_crit = 21.6 Wh x 0.95, VEOD = 6.0 V, curve fitted by least squares to the display's voltage table plus the
  drop of 10 W over 0.10 Ohm (rms error 0.08 V).
- A cart reports a percentage and a mode, never watts. So the model is subclassed, as progpy's documentation has it
  for own inputs and outputs: inputs are the shares of the time step in each mode; watts per mode are
  states without dynamics (joint state and parameter estimation); the output is the percentage, `end` when empty.
- State estimator: progpy's UnscentedKalmanFilter, fed at most once a minute with the middle of the displayed step;
  the measurement noise is twice the step's standard deviation, because errors of a display follow one another.
- Predictor: progpy's MonteCarlo on samples of the filter's state, about 50 steps each.
- Future load: every sample draws the rest of the schedule at random: the current mode lasts as long as a stretch of
  it seen so far that is longer than the present one (else exponential with the present age), then stretches and
  changes of mode are drawn from those seen so far in this discharge and in earlier ones of the same pack; a mode
  never seen to end is followed by recording. External power comes and goes by the same rule, independently of the
  mode; on it the pack has loads of its own, one while recording (none) and one otherwise (charging, learned).
- History (unless --no-history): the last percentage shown in earlier discharges of the pack is the model's `end`, and
  the last estimate of the watts is the next prior. Without history `end` is 4 +- 5 and the watts are typical ones.
  The spread of `end` widens the charge the predictor samples from (as a filter state it ran away: tried).

It is ours to wire and therefore not progpy at its best; nobody tuned its noise terms against the traces.
"""

import argparse
import pathlib
import time
import warnings

import numpy as np
import pandas as pd
from progpy.models import SimplifiedBattery
from progpy.predictors import MonteCarlo
from progpy.state_estimators import UnscentedKalmanFilter
from progpy.uncertain_data import MultivariateNormalDist

# On external power: "ext" while recording, "charge" otherwise (some packs charge then; learned).
LOADS = ["rec", "standby", "off", "ext", "charge"]
WATTS = {"rec": (11.5, 1.5), "standby": (2.7, 0.9), "off": (0.05, 0.03), "ext": (0.0, 0.1), "charge": (-2.0, 3.0)}
WATTS_DRIFT_AFTER_HISTORY = {"rec": 0.6, "standby": 0.3, "off": 0.01, "ext": 0.05, "charge": 0.5}
END_PERCENT_UNKNOWN = (4.0, 5.0)
END_PERCENT_HISTORY_SD = 1.5
FIRST_PREDICTION_S, STEP_S, LONGEST_S = 300, 60, 12 * 3600.0
# Middle of what a reading may mean, and its standard deviation.
READING = {1: (0.5, 0.29), 5: (0.0, 1.44), 25: (-12.5, 7.2), "human": (0.0, 3.2)}


class CameraPack(SimplifiedBattery):
    """SimplifiedBattery told the mode instead of watts, and seen through a percentage."""

    inputs = LOADS
    states = ["SOC", "v", *LOADS]
    outputs = ["percent"]
    events = ["EOD"]
    state_limits = {}
    default_parameters = {
        **SimplifiedBattery.default_parameters,
        "E_crit": 21.6 * 0.95 * 3600.0,
        "v_L": 18.998,
        "gamma": 0.1756,
        "mu": 11.849,
        "beta": 0.1518,
        "R_int": 0.10,
        "VEOD": 6.0,
        "end": 0.0,
    }
    param_callbacks = {}

    def next_state(self, x, u, dt):
        """One step of progpy's own equations; past empty, where they have no answer, plain energy counting."""
        watts = sum(u[load] * x[load] for load in LOADS)
        drained = watts * dt / self["E_crit"]
        x["SOC"] = min(x["SOC"], 1.0)
        if x["SOC"] - drained <= 0.0:
            x["SOC"] -= drained
            x["v"] = self["VEOD"] - 0.01
            return x
        return super().next_state(x, {"P": watts}, dt)

    def output(self, x):
        """What the display shows: `end` percent when the pack is empty, 100 when full."""
        return self.OutputContainer({"percent": self["end"] + (100.0 - self["end"]) * x["SOC"]})

    def event_state(self, x):
        """Empty by energy or by voltage, whichever comes first; the voltage on the fitted curve's own range."""
        return {"EOD": min(x["SOC"], (x["v"] - self["VEOD"]) / 2.4)}


class Stretches:
    """Lengths of the stretches of one state (mode, or source of power), and what followed them, seen so far."""

    def __init__(self, usual):
        self.usual = usual
        self.lengths, self.after = {}, {}
        self.begin_discharge()

    def begin_discharge(self):
        """A new discharge: its first stretch has no predecessor."""
        self.state, self.lasted = None, 0.0

    def row(self, state, seconds):
        """One row of a trace."""
        if self.state is not None and state != self.state:
            self.lengths.setdefault(self.state, []).append(self.lasted)
            self.after.setdefault(self.state, []).append(state)
            self.lasted = 0.0
        self.state = state
        self.lasted += seconds

    def draw(self, now, rng):
        """A random continuation: endless pairs of a state and the time it ends."""
        longer = [length - self.lasted for length in self.lengths.get(self.state, []) if length > self.lasted]
        state = self.state
        ends = now + (rng.choice(longer) if longer else rng.exponential(max(self.lasted, 60.0)))
        while True:
            yield state, ends
            state = rng.choice(self.after.get(state, [self.usual]))
            ends += rng.choice(self.lengths.get(state, [600.0]))


class RandomSchedule:
    """Future load for the predictor; a new random schedule of modes and external power for every sample."""

    def __init__(self, model, seen, now, rng):
        self.containers = {
            load: model.InputContainer({other: float(other == load) for other in LOADS}) for load in LOADS
        }
        self.seen, self.now, self.rng = seen, now, rng
        self.last_time = np.inf

    def __call__(self, t, x=None):
        if t < self.last_time:  # the predictor has begun another sample
            self.chains = [stretches.draw(self.now, self.rng) for stretches in self.seen]
            self.present = [next(chain) for chain in self.chains]
        self.last_time = t
        for which, chain in enumerate(self.chains):
            while self.present[which][1] <= t:
                self.present[which] = next(chain)
        (mode, _), (source, _) = self.present
        return self.containers[load_of(mode, source)]


def load_of(mode, source):
    """Which of the model's loads a row is."""
    if source == "battery":
        return mode
    return "ext" if mode == "rec" else "charge"


def nothing_seen():
    """What is known of a pack's schedule before its first discharge: modes, and sources of power."""
    return Stretches("rec"), Stretches("battery")


def end_percent(history):
    """Mean and spread of the percentage shown when the pack is empty."""
    if not history:
        return END_PERCENT_UNKNOWN
    return float(np.mean([past["end"] for past in history[-2:]])), END_PERCENT_HISTORY_SD


def starting_watts(history):
    """Mean and spread of each load before the first report of a discharge."""
    if not history:
        return {k: m for k, (m, _) in WATTS.items()}, {k: s for k, (_, s) in WATTS.items()}
    last = history[-1]
    spread = {load: np.hypot(WATTS_DRIFT_AFTER_HISTORY[load], last["sd"][load]) for load in LOADS}
    return {load: last["mean"][load] for load in LOADS}, {load: min(spread[load], WATTS[load][1]) for load in LOADS}


def build_filter(model, history, first_percent, noise_sd):
    """progpy's unscented Kalman filter for one discharge."""
    watts, spread = starting_watts(history)
    soc = float(np.clip((first_percent - model["end"]) / (100.0 - model["end"]), 0.05, 1.0))
    mean = {"SOC": soc, "v": 8.0, **watts}
    covariance = np.diag(np.square([0.01, 0.05] + [spread[load] for load in LOADS]))
    state = MultivariateNormalDist(mean.keys(), list(mean.values()), covariance, _type=model.StateContainer)
    process = np.diag(np.square([2e-4, 1e-2, 0.05, 0.02, 1e-4, 1e-3, 0.05]))
    return UnscentedKalmanFilter(model, state, Q=process, R=np.array([[(2.0 * noise_sd) ** 2]]), dt=STEP_S)


def with_unknown_end(model, state, end_sd):
    """The filter's state, its charge less certain because the percentage shown at the end is."""
    covariance = np.array(state.cov, dtype=float)
    soc = float(state.mean["SOC"])
    covariance[0, 0] += ((1.0 - soc) / (100.0 - model["end"]) * end_sd) ** 2
    names, values = list(state.mean), [float(value) for value in state.mean.values()]
    return MultivariateNormalDist(names, values, covariance, _type=model.StateContainer)


def read_trace(directory, trace, gauge):
    """Time, mode, source of power and gauge reading of every row (all that a predictor may see)."""
    table = pd.read_csv(directory / "sim" / f"{trace}.csv", usecols=["t_s", "mode", "ext", gauge])
    source = np.where(table.ext == 1, "external", "battery")
    return table.t_s.to_numpy(), table["mode"].to_numpy(), source, table[gauge].to_numpy(dtype=float)


def forecast(model, state, schedule, now, settings):
    """Quantiles of the remaining seconds from progpy's Monte Carlo predictor."""
    step = float(np.clip(settings["previous"] / 50.0, 10.0, 180.0))
    result = MonteCarlo(model).predict(
        state,
        schedule,
        t0=now,
        dt=step,
        events=["EOD"],
        n_samples=settings["samples"],
        horizon=LONGEST_S,
    )
    times = [sample["EOD"] for sample in result.time_of_event]
    ends = [LONGEST_S if at is None else at - now for at in times]
    return np.quantile(ends, [0.1, 0.5, 0.9])


def follow(directory, trace, seen, history, options):
    """Runs one discharge; returns its predictions and what it leaves for the pack's history."""
    step = options.gauge.lstrip("cv") if options.gauge != "human" else "human"
    offset, noise_sd = READING[step if step == "human" else int(step)]
    end_mean, end_sd = end_percent(history)
    model, rng = CameraPack(end=end_mean), np.random.default_rng(len(trace))
    times, modes, sources, readings = read_trace(directory, trace, options.gauge)
    estimator = build_filter(model, history, np.clip(readings[0] + offset, 0, 100), noise_sd)
    shares, rows, held, held_at = dict.fromkeys(LOADS, 0.0), [], None, 0
    for t, mode, source, reading in zip(times, modes, sources, readings):
        if t > 0 and t % STEP_S == 0 and not np.isnan(reading):
            total = sum(shares.values())
            u = {name: seconds / total for name, seconds in shares.items()}
            estimator.estimate(float(t), u, {"percent": float(np.clip(reading + offset, 0, 100))})
            shares = dict.fromkeys(LOADS, 0.0)
        seen[0].row(mode, 30.0)
        seen[1].row(source, 30.0)
        shares[load_of(mode, source)] += 30.0
        if t >= FIRST_PREDICTION_S and t % STEP_S == 0:
            if held is None or t - held_at >= options.every:
                schedule = RandomSchedule(model, seen, float(t), rng)
                previous = 3600.0 if held is None else held[1]
                settings = {"samples": options.samples, "previous": previous}
                state = with_unknown_end(model, estimator.x, end_sd)
                held = forecast(model, state, schedule, float(t), settings)
                held_at = t
            rows.append((trace, int(t), *np.maximum(0.0, held - (t - held_at)).round(1)))
    mean = dict(estimator.x.mean)
    sd = dict(zip(mean, np.sqrt(np.diag(estimator.x.cov))))
    last = readings[~np.isnan(readings)][-1]
    return rows, {"end": last, "mean": mean, "sd": sd}


def main():
    """Command line; see the head of the file."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("directory", type=pathlib.Path)
    parser.add_argument("--gauge", default="cc1")
    parser.add_argument("--out", type=pathlib.Path, required=True)
    parser.add_argument("--every", type=int, default=300, help="seconds between predictions, held in between")
    parser.add_argument("--samples", type=int, default=40)
    parser.add_argument("--no-history", action="store_true")
    parser.add_argument("--traces", type=int, help="only the first so many traces of the truth file")
    options = parser.parse_args()
    warnings.simplefilter("ignore")
    np.random.seed(1)  # progpy draws from numpy's global generator
    truth = pd.read_csv(options.directory / "sim_truth.csv").sort_values(["pack", "discharge"], kind="stable")
    began, predictions, traces = time.monotonic(), [], 0
    for _, discharges in truth.head(options.traces or len(truth)).groupby("pack", sort=False):
        seen, history = nothing_seen(), []
        for trace in discharges.trace:
            if options.no_history:
                seen, history = nothing_seen(), []
            for stretches in seen:
                stretches.begin_discharge()
            rows, left = follow(options.directory, trace, seen, history, options)
            predictions += rows
            history.append(left)
            traces += 1
            print(f"{trace}: {(time.monotonic() - began) / traces:.1f} s per trace", flush=True)
    pd.DataFrame(predictions, columns=["trace", "t", "p10", "p50", "p90"]).to_csv(options.out, index=False)


if __name__ == "__main__":
    main()
