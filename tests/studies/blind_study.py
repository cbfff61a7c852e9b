"""How often the reference finds a hidden fault, and how often its advice cures: run by hand.

`python -m tests.studies.blind_study` works on five hundred generated aeroplanes, nine in ten with a
hidden fault, in the world of `blind.py`, then on as many in the world whose physics and eyes are
off, and writes `blind_study.json`. Another number of cases may be given. Stopped with Ctrl-C it
keeps what it has, with the number of cases.

Of each case are kept: the rank of the true fault, or of the class that nothing tells apart from
it, after one flight, after flights at two powers, after five further actions of `next_steps`, and
after five further flights of `next_steps`; the chances given; and what came of following `advise`
alone, six flights at most.
"""

from __future__ import annotations

import json
import sys
import time
from collections import Counter
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import suppress
from pathlib import Path
from typing import Any

import numpy as np

from tests.studies import blind
from tests.studies.blind import LOW, MIDDLE, Case
from trimkit.diagnosis import causes, deviations, library, steps
from trimkit.diagnosis.causes import NOTHING, Posterior
from trimkit.flight import canon
from trimkit.log import FLIGHTS, Log
from trimkit.settings import SETTINGS, Change

CASES, PLANS, SAMPLE = 500, 60, 3
ACTIONS, FLIGHTS_TO_CURE, GOOD, SURE = 5, 6, 0.9, 0.999
BINS, EVERY = 10, 10
WORLDS = {False: "as the library assumes", True: "physics and eyes off"}
RESULT = Path(__file__).with_name("blind_study.json")
STAGES = ("one flight", "two powers", "five actions", "five flights")
AIMS = {False: (0.90, 0.99), True: (0.80, 0.95)}  # first, among three, after five actions


def believed(case: Case, log: Log) -> Posterior:
    return causes.posterior(log, case.plan.aeroplane)


def rank(case: Case, known: Posterior) -> int:
    """Place of the class with the true fault, 0 for the first."""
    groups = known.classes()
    chances = {group: sum(known[name] for name in group) for group in groups}
    order = sorted(groups, key=lambda group: -chances[group])
    return next(place for place, group in enumerate(order) if case.truth in group)


def stated(case: Case, known: Posterior) -> tuple[float, float]:
    """Chance of the first fault, and of the true one."""
    chances = known.probabilities
    return max(chances.values()), chances[case.truth]


def followed(case: Case, log: Log, count: int, flights_only: bool = False) -> Log:
    """The log after so many more of the reference's steps; steps that cannot be are passed over."""
    for _ in range(count):
        known = believed(case, log)
        if max(known.probabilities.values()) > SURE:
            break  # nothing is left to learn
        for step in steps.ranked(known):
            if flights_only and step.action not in FLIGHTS:
                continue
            given: dict[str, Any] = {"turns": step.turns} if step.action in FLIGHTS else {}
            if step.changes.amounts:
                given["changes"] = dict(step.changes.amounts)
            with suppress(ValueError):
                log = case.tried(log, step.action, step.what, **given)
                break
    return log


def cured(case: Case, log: Log, good_s: float) -> int:
    """Flights until one lasts nine tenths of the good time by following `advise`, 0 for never."""
    turns = case.turns(MIDDLE)
    for count in range(1, FLIGHTS_TO_CURE + 1):
        if log.flights[-1].result.features["duration_s"] >= GOOD * good_s:
            return count
        if count == FLIGHTS_TO_CURE:
            break
        advice = steps.advice(believed(case, log))
        with suppress(ValueError):
            if advice.setting:
                moved = {advice.setting: advice.amount}
                log = case.tried(log, "change", turns=turns, changes=moved)
                continue
        try:
            log = case.tried(log, "fly", turns=turns)
        except ValueError:
            break
    return 0


def curable(case: Case) -> bool:
    """Whether the one best setting takes away half of what is wrong."""
    if case.truth == NOTHING:
        return True
    ill = deviations.of_fault(case.plan, case.truth, case.size)
    left = [float(np.linalg.norm(ill))]
    for name, known in SETTINGS.items():
        for amount in (known.usual, known.usual / 2, -known.usual / 2, -known.usual):
            with suppress(ValueError):
                if name != "turns":
                    moved = deviations.of_change(case.plan, Change({name: amount}))
                    left.append(float(np.linalg.norm(ill + moved)))
    return min(left) <= 0.5 * left[0]


def worked(case: Case) -> dict[str, Any]:
    """Everything about one case."""
    first = case.tried(Log(), "fly", turns=case.turns(MIDDLE))
    logs = [
        first,
        case.tried(first, "change", turns=case.turns(LOW)),
        followed(case, first, ACTIONS),
        followed(case, first, ACTIONS, flights_only=True),
    ]
    known = [believed(case, log) for log in logs]
    good = case.good_s()
    return {
        "case": case.number,
        "truth": case.truth,
        "size": round(case.size, 4),
        "said": [one.ranked(1)[0] for one in known],
        "rank": [rank(case, one) for one in known],
        "stated": [[round(p, 4) for p in stated(case, one)] for one in known],
        "actions": [entry.action + " " + entry.what for entry in logs[2].entries[1:]],
        "good": round(good, 1),
        "cured": cured(case, first, good),
        "curable": curable(case),
    }


def attempted(case: Case) -> dict[str, Any] | None:
    """None for an aeroplane that cannot be flown at all with its fault."""
    try:
        return worked(case)
    except ValueError as problem:
        print(case.number, case.truth, problem, flush=True)
        return None


def run(which: Sequence[Case], cores: int | None = None) -> list[dict[str, Any]]:
    """Every case on some process; Ctrl-C keeps what is done."""
    rows: list[dict[str, Any]] = []
    with ProcessPoolExecutor(cores) as executor:
        waiting = [executor.submit(attempted, case) for case in which]
        try:
            for done, one in enumerate(waiting, 1):
                rows += [row] if (row := one.result()) is not None else []
                if done % EVERY == 0:
                    print(done, "of", len(which), flush=True)
        except KeyboardInterrupt:
            executor.shutdown(cancel_futures=True)
    return rows


def summary(rows: Sequence[dict[str, Any]]) -> dict[str, Any]:
    """Shares that are found and cured, calibration, and the table of confusions."""
    faulty = [row for row in rows if row["truth"] != NOTHING]
    found: dict[str, Any] = {"cases": len(rows), "with a fault": len(faulty)}
    for place, stage in enumerate(STAGES):
        ranks = np.array([row["rank"][place] for row in faulty])
        found[stage] = {
            "first": round(float(np.mean(ranks < 1)), 3),
            "among three": round(float(np.mean(ranks < 3)), 3),
            **calibration(
                [row["stated"][place][0] for row in rows],
                [row["said"][place] == row["truth"] for row in rows],
            ),
        }
    later = [row for row in faulty if row["cured"] != 1]
    able = [row for row in later if row["curable"]]
    found["cure"] = {
        "good at the first": len(faulty) - len(later),
        "others": len(later),
        "cured": sum(row["cured"] > 1 for row in later),
        "a setting can help": len(able),
        "of those cured": sum(row["cured"] > 1 for row in able),
    }
    found["faults"] = per_fault(faulty)
    found["confused"] = confused(faulty)
    return found


def calibration(chances: Sequence[float], right: Sequence[bool]) -> dict[str, Any]:
    """Brier score of the first fault with Murphy's three parts, and the reliability curve.

    A. H. Murphy, Journal of Applied Meteorology 12 (1973) 595: reliability - resolution +
    uncertainty, from memory. The parts are of ten bins, so they add up only nearly.
    """
    p, hit = np.array(chances), np.array(right, dtype=float)
    bins = np.minimum((p * BINS).astype(int), BINS - 1)
    curve = []
    reliability = resolution = 0.0
    for one in range(BINS):
        own = bins == one
        if own.any():
            said, came = float(p[own].mean()), float(hit[own].mean())
            curve.append([round(said, 3), round(came, 3), int(own.sum())])
            reliability += own.mean() * (said - came) ** 2
            resolution += own.mean() * (came - hit.mean()) ** 2
    return {
        "stated": round(float(p.mean()), 3),
        "came": round(float(hit.mean()), 3),
        "Brier": round(float(np.mean((p - hit) ** 2)), 4),
        "reliability": round(float(reliability), 4),
        "resolution": round(float(resolution), 4),
        "uncertainty": round(float(hit.mean() * (1 - hit.mean())), 4),
        "curve": curve,
    }


def per_fault(rows: Sequence[dict[str, Any]]) -> dict[str, list[int]]:
    """For each fault: cases, first and among three after five actions, cured, not good at first."""
    found = {}
    for name in sorted({row["truth"] for row in rows}):
        own = [row for row in rows if row["truth"] == name]
        ranks = [row["rank"][2] for row in own]
        ill = [row["cured"] for row in own if row["cured"] != 1]
        found[name] = [
            len(own), sum(r < 1 for r in ranks), sum(r < 3 for r in ranks),
            sum(c > 1 for c in ill), len(ill),
        ]  # fmt: skip
    return found


def confused(rows: Sequence[dict[str, Any]]) -> dict[str, dict[str, int]]:
    """For each fault, what was said after five actions, and how often."""
    found: dict[str, Counter[str]] = {}
    for row in rows:
        found.setdefault(row["truth"], Counter())[row["said"][2]] += 1
    return {name: dict(found[name].most_common()) for name in sorted(found)}


def main(cases: int = CASES) -> None:
    began = time.monotonic()
    kept: dict[str, Any] = {"canon": canon.figures().tolist(), "library": library.fresh().flights}
    with ProcessPoolExecutor() as cores:
        plans = blind.plans(PLANS, cores)
    kept["plans"] = len(plans)
    for perturbed, name in WORLDS.items():
        rows = run([blind.drawn(number, plans, perturbed) for number in range(cases)])
        kept[name] = {**summary(rows), "sample": rows[:SAMPLE]}
        print(name, time.monotonic() - began, flush=True)
        RESULT.write_text(json.dumps(kept, indent=1) + "\n", "utf-8")


if __name__ == "__main__":
    main(*(int(one) for one in sys.argv[1:]))
