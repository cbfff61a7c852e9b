"""The command for a team's sheet: diagnose."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trimkit.cli.shared import DONE, Commands, add_json, add_list, load, print_json

if TYPE_CHECKING:
    from trimkit.diagnosis import Posterior, Step

SHOWN = 3


def describe(commands: Commands) -> None:
    """Describe what can be typed after diagnose.

    Parameters
    ----------
    commands : Commands
        The parser's commands, filled [-].
    """
    command = commands.add_parser(
        "diagnose",
        help="say what is likely wrong with an aeroplane, from a sheet of an evening",
        description="Reads what was flown, looked at and measured (CSV or TOML), and says what "
        "is likely wrong, which signs weigh most, what to do next, and which one setting to move. "
        "It is a list to test in the hall, not a verdict: the model has never seen your hall.",
    )
    command.add_argument("sheet", type=Path, metavar="SHEET", help="the sheet, .csv or .toml")
    command.add_argument(
        "--aeroplane",
        required=True,
        metavar="AEROPLANE",
        help="the aeroplane file as planned, or the name of a demo aeroplane",
    )
    add_list(command, "--columns", "list what a sheet may hold, and stop", _columns)
    add_json(command)
    command.set_defaults(run=_diagnose)


def _columns() -> str:
    from trimkit import observe
    from trimkit.diagnosis.readings import READINGS
    from trimkit.log import MOVED
    from trimkit.settings import SETTINGS

    lines = [
        "action: fly, look, measure, change, repair. what: place, tool or fault.",
        "turns: on the rubber. date: such as 2026-11-25.",
        "found: after a look; yes, no, or the name of the fault that was seen.",
    ]
    lines += [f"{n}: moved by, in {SETTINGS[n].unit}; {SETTINGS[n].more} is +" for n in MOVED]
    lines += [f"{one.name}: seen. {one.meaning}" for one in observe.FEATURES]
    lines += [f"{name}: measured. {reading.title}" for name, reading in READINGS.items()]
    return "\n".join(lines)


def _diagnose(given: argparse.Namespace) -> int:
    from trimkit.diagnosis import posterior, sheet, steps

    aeroplane = load(given.aeroplane)
    log = sheet.read(given.sheet)
    believed = posterior(log, aeroplane)
    best = steps.ranked(believed)[:SHOWN]
    advice = steps.advice(believed)
    if given.json:
        print_json(_as_data(believed, best, advice.words()))
        return DONE
    print(f"{aeroplane.name}: {len(log.flights)} flights, {len(log.entries)} rows.")
    print(f"\nWhat is likely wrong:\n{believed.words(SHOWN)}")
    print("\nWhat teaches most for its time:")
    for number, step in enumerate(best, 1):
        print(f"{number}. {step.words()}")
    print(f"\nOne setting, if you must fly now:\n{advice.words()}")
    print("\nThe list was learned from computed flights. Your aeroplane has the last word.")
    return DONE


def _as_data(believed: Posterior, steps: tuple[Step, ...], advice: str) -> dict[str, Any]:
    return {
        "faults": {name: round(p, 4) for name, p in believed.probabilities.items()},
        "signs": [str(sign) for sign in believed.signs(SHOWN)],
        "next_steps": [step.words() for step in steps],
        "advice": advice,
    }
