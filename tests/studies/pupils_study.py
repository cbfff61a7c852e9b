"""What the marks say about seven kinds of synthetic pupils: run by hand, the result is kept.

`python -m tests.studies.pupils_study` lets every pupil work on two hundred cases in the small
exact hall of `tests/diagnosis/toy.py`, marks the logs and writes `pupils_study.json`.
`python -m tests.studies.pupils_study library` does the same in the hall of the stored library,
and adds it. This is validity evidence from synthetic pupils only.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

from tests.diagnosis import toy
from tests.studies.pupils import POLICIES, worked
from trimkit.diagnosis import labels, marks, reference
from trimkit.diagnosis.marks import WEIGHTS, Marks
from trimkit.flight import canon
from trimkit.log import Log

SEEDS, SAMPLE = 200, 4
RESULT = Path(__file__).with_name("pupils_study.json")


class Unlabelled:
    """The reference without its list of steps: a label needs it, a score does not."""

    def __init__(self, hall: Any) -> None:
        self.hall = hall

    def posterior(self, log: Log, aeroplane: Any) -> Any:
        return self.hall.posterior(log, aeroplane)

    def next_steps(self, log: Log, aeroplane: Any) -> tuple[()]:
        return ()


class Study:
    """One hall, with what the reference needs for each fault kept."""

    def __init__(self, hall: Any, truth_for: Callable[[int], str]) -> None:
        self.hall, self.truth_for = hall, truth_for
        self.needs: dict[str, float] = {}

    def marks(self, pupil: str, seed: int) -> Marks:
        truth = self.truth_for(seed)
        if truth not in self.needs:
            self.needs[truth] = reference.minutes(self.hall.aeroplane, truth, self.hall)
        log = worked(POLICIES[pupil], self.hall, truth, seed)
        along = labels.trail(log, self.hall.aeroplane, Unlabelled(self.hall))
        return marks.marked(along, (truth,), self.needs[truth])

    def row(self, pupil: str, seed: int) -> list[float]:
        found = self.marks(pupil, seed)
        return [found.total, *(found[name] for name in WEIGHTS)]


def toy_truth(seed: int) -> str:
    chance = np.random.default_rng([seed, 90])
    return str(chance.choice(toy.NAMES, p=toy.Toy().prior))


def toy_study() -> Study:
    return Study(toy.Toy(), toy_truth)


def library_study() -> Study:
    from tests.studies.halls import LibraryHall, truth_for

    return Study(LibraryHall(), truth_for)


def run(study: Study, seeds: int = SEEDS) -> dict[str, Any]:
    """Means, spreads and how often the expert's total is the higher one."""
    rows: dict[str, list[list[float]]] = {pupil: [] for pupil in POLICIES}
    for seed in range(seeds):
        for pupil in POLICIES:
            rows[pupil].append(study.row(pupil, seed))
        print(seed, {pupil: rows[pupil][-1][0] for pupil in POLICIES}, flush=True)
    expert = np.array(rows["expert"])[:, 0]
    result: dict[str, Any] = {"seeds": seeds, "pupils": {}}
    for pupil, each in rows.items():
        table = np.array(each)
        result["pupils"][pupil] = {
            "total": round(float(table[:, 0].mean()), 3),
            "spread": round(float(table[:, 0].std()), 3),
            "expert is higher": round(float(np.mean(expert > table[:, 0])), 3),
            "expert is lower": round(float(np.mean(expert < table[:, 0])), 3),
            **dict(zip(WEIGHTS, table[:, 1:].mean(axis=0).round(3).tolist(), strict=True)),
        }
    result["sample"] = {pupil: [row[0] for row in each[:SAMPLE]] for pupil, each in rows.items()}
    return result


def main(which: str) -> None:
    kept = json.loads(RESULT.read_text("utf-8")) if RESULT.exists() else {"halls": {}}
    kept["canon"] = canon.figures().tolist()
    kept["weights"] = dict(WEIGHTS)
    kept["halls"][which] = run(library_study() if which == "library" else toy_study())
    RESULT.write_text(json.dumps(kept, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main("library" if "library" in sys.argv[1:] else "small")
