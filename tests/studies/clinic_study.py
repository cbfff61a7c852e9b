"""Which seeds make a clinic case: each is worked on by the expert in the pupils' own hall.

`python -m tests.studies.clinic_study SCRATCH [COUNT]` lets the expert of `pupils.py` work on the
next COUNT seeds of each demo aeroplane, in the hall that pupils have: flights are flown, looks and
readings err. It goes on where SCRATCH, a file of lines, ends. `python -m tests.studies.clinic_study
SCRATCH write` sorts what was solved into levels and writes `clinic_study.json`; the seeds go into
`trimkit/lesson/casebook.py` by hand. Nothing here names what is wrong.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.studies.halls import LibraryHall
from tests.studies.pupils import POLICIES, worked
from trimkit.faults import CATALOGUE, PLACES
from trimkit.flight import canon
from trimkit.flight.canon import NAMES, demo_aeroplanes
from trimkit.lesson import referee
from trimkit.lesson.case import HALL_C
from trimkit.lesson.referee import TOOLS, Request, Terms
from trimkit.log import FLIGHTS, Entry, Log, Result
from trimkit.settings import SETTINGS

RESULT = Path(__file__).with_name("clinic_study.json")
SHARES = {"hallfinch-46": 3, "longreed-42": 1, "stubwren-33": 1}  # seeds tried of each
EXPERT_MIN = {1: 24.0, 2: 28.0, 3: 45.0}  # what he takes at most in each level
PER_LEVEL = 22
READ = {name for names in TOOLS.values() for name in names}


@dataclass(frozen=True)
class PupilsHall(LibraryHall):
    """The hall that pupils have: what an action shows comes from the case's referee."""

    def terms(self, seed: int) -> Terms:
        return Terms(seed=str(seed), aeroplane=self.aeroplane, class_word="", faults=1)

    def result(self, log: Log, entry: Entry, truth: str, seed: int) -> Result:
        state = Log((*log.entries, entry)).in_force(entry.number)
        answer = referee.result(
            Request(
                terms=self.terms(seed),
                do="fly" if entry.action in FLIGHTS else entry.action,
                number=entry.number,
                what=entry.what if entry.action in ("look", "measure") else "",
                changes=dict(state.changes),
                repairs=tuple(state.repairs),
                turns=self.turns if state.turns is None else state.turns,
            )
        )
        return Result(answer["features"], answer["words"], answer["readings"], answer["named"])


def halls() -> dict[str, PupilsHall]:
    """One for each demo aeroplane, by the name of its file."""
    return {
        name: PupilsHall(aeroplane=one) for name, one in zip(NAMES, demo_aeroplanes(), strict=True)
    }


def offered(hall: PupilsHall, entry: Entry) -> bool:
    """Whether the clinic has a tap for that."""
    most = int(hall.aeroplane.setting.motor.max_turns(HALL_C))
    turns = entry.turns if entry.turns is not None else 1.0
    known = {"look": PLACES, "measure": READ, "repair": CATALOGUE}.get(entry.action)
    return (
        (known is None or entry.what in known)
        and set(entry.changes) <= set(SETTINGS)
        and turns == round(turns)
        and 1 <= turns <= most
    )


def tried(name: str, hall: PupilsHall, seed: int) -> dict[str, Any]:
    """What the expert makes of a seed.

    Solved is: what is hidden was named, nothing else was repaired, one more flight confirmed it,
    and everything he did is on offer.
    """
    log = worked(POLICIES["expert"], hall, "", seed)
    truth = referee.hidden_faults(hall.terms(seed))[0][0]
    repaired = [entry.what for entry in log.entries if entry.action == "repair"]
    named = log.entries[-1].what == truth and log.entries[-2].action == "fly"
    return {
        "aeroplane": name,
        "seed": seed,
        "solved": named and repaired == [truth] and all(offered(hall, one) for one in log.entries),
        "minutes": round(log.minutes, 1),
        "actions": len(log.entries),
        "flights": len(log.flights),
    }


def _next(done: list[dict[str, Any]], count: int) -> Iterator[tuple[str, int]]:
    known = {(one["aeroplane"], one["seed"]) for one in done}
    for name, share in SHARES.items():
        first = 1 + max((seed for aeroplane, seed in known if aeroplane == name), default=0)
        yield from ((name, seed) for seed in range(first, first + share * count))


def go_on(scratch: Path, count: int) -> None:
    done = lines(scratch)
    known = halls()
    with scratch.open("a", encoding="utf-8") as out:
        for name, seed in _next(done, count):
            out.write(json.dumps(tried(name, known[name], seed)) + "\n")
            out.flush()


def lines(scratch: Path) -> list[dict[str, Any]]:
    """What was tried so far."""
    if not scratch.exists():
        return []
    return [json.loads(line) for line in scratch.read_text("utf-8").splitlines()]


def levels(done: list[dict[str, Any]]) -> dict[int, list[dict[str, Any]]]:
    """Sort what was solved by the expert's minutes; a first level has the trainer alone."""
    found: dict[int, list[dict[str, Any]]] = {level: [] for level in EXPERT_MIN}
    for one in sorted(done, key=lambda one: (one["seed"], one["aeroplane"])):
        fits = [level for level, most in EXPERT_MIN.items() if one["minutes"] <= most]
        if not one["solved"] or not fits or (fits[0] == 1 and one["aeroplane"] != NAMES[0]):
            continue
        if len(found[fits[0]]) < PER_LEVEL:
            found[fits[0]].append(one)
    return found


def write(scratch: Path) -> None:
    done = lines(scratch)
    kept = {
        "canon": canon.figures().tolist(),
        "tried": len(done),
        "solved": sum(one["solved"] for one in done),
        "levels": levels(done),
    }
    RESULT.write_text(json.dumps(kept, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    if sys.argv[2:] == ["write"]:
        write(Path(sys.argv[1]))
    else:
        go_on(Path(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 1)
