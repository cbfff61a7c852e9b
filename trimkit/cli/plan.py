"""The command that plans flights for a hall: plan."""

from __future__ import annotations

import argparse
import math
import sys
from collections.abc import Callable
from pathlib import Path

from trimkit.cli.shared import (
    DONE,
    NO,
    Commands,
    add_aeroplane,
    add_json,
    load,
    print_json,
    save_picture,
)


def describe(commands: Commands) -> None:
    """Describe what can be typed after plan.

    Parameters
    ----------
    commands : Commands
        The parser's commands, filled [-].
    """
    command = commands.add_parser(
        "plan",
        help="turns, torque, height and time for a hall, and which motor to take",
        description="Winds each motor of a stock so far that the ceiling is seldom touched, flies "
        "it many times in computed air, and says what to expect with its spread and what to try "
        "first when the flight differs. A fit beside the aeroplane file (NAME.fit.toml) is used. "
        "Takes some seconds for each motor. Exit status 1 when no motor has a plan.",
    )
    add_aeroplane(command)
    command.add_argument(
        "--height",
        type=_between(3, 60, "m", "is it in feet or cm?"),
        required=True,
        metavar="M",
        help="from the floor to the lowest thing under the roof, in m",
    )
    command.add_argument(
        "--temperature",
        type=_between(0, 40, "°C", "is it in °F?"),
        default=20.0,
        metavar="C",
        help="of the hall (20 if left out)",
    )
    command.add_argument(
        "--motors",
        type=Path,
        metavar="FILE",
        help="the stock, a TOML file of [[motor]], best with fitted curves (if left out: the "
        "aeroplane's own motor)",
    )
    command.add_argument(
        "--free",
        type=_between(0, 10, "m", "is it in cm?"),
        default=0.5,
        metavar="M",
        help="room to keep under it (0.5)",
    )
    command.add_argument(
        "--back-off",
        type=_between(0, 20, "%", "is it in turns?"),
        default=5.0,
        metavar="PERCENT",
        help="turns to take off (5)",
    )
    command.add_argument(
        "--touch",
        type=_between(1, 90, "%", "is it a share of one?"),
        default=10.0,
        metavar="PERCENT",
        help="chance to touch the ceiling that is still good (10)",
    )
    command.add_argument("--picture", type=Path, metavar="FILE.png", help="save a picture")
    add_json(command)
    command.set_defaults(run=_plan)


def _between(low: float, high: float, unit: str, slip: str) -> Callable[[str], float]:
    def read(text: str) -> float:
        try:
            value = float(text)
        except ValueError:
            value = math.nan
        if not low <= value <= high:
            raise argparse.ArgumentTypeError(
                f"{text[:20]!r} cannot be used. Allowed: {low:g} to {high:g} {unit}; {slip}"
            )
        return value

    return read


def _plan(given: argparse.Namespace) -> int:
    from trimkit import fit, plan, rules

    aeroplane = load(given.aeroplane)
    want = plan.Want(
        height_m=given.height,
        temperature_c=given.temperature,
        free_m=given.free,
        back_off=given.back_off / 100,
        touch_chance=given.touch / 100,
    )
    stock = rules.read_motors(given.motors) if given.motors else ()
    path = fit.fit_path(Path(given.aeroplane))
    known = fit.read_fit(path) if path.exists() else None
    found = plan.plan_flights(aeroplane, want, stock, known, None if given.json else _say)
    if given.picture and found.outlooks:
        from trimkit.figures.outlook import plan_view

        save_picture(plan_view(found), given.picture)
    if given.json:
        print_json(found.as_data())
    else:
        print(found.words())
        if given.picture and found.outlooks:
            print(f"\nPicture, with its words beside it: {given.picture}")
    return DONE if found.outlooks else NO


def _say(number: str) -> None:
    sys.stderr.write(f"motor {number} ...\n")
    sys.stderr.flush()
