"""The command that looks an aeroplane over before its first flight: inspect."""

from __future__ import annotations

import argparse

from trimkit.cli.shared import DONE, Commands, add_aeroplane, add_json, load, print_json


def describe(commands: Commands) -> None:
    """Describe what can be typed after inspect.

    Parameters
    ----------
    commands : Commands
        The parser's commands, filled [-].
    """
    command = commands.add_parser(
        "inspect",
        help="look an aeroplane file over: angles, balance, motor, what to mend first",
        description="Works out the angles, the balance and the motor of an aeroplane file, names "
        "what stands out in the order in which it matters for the first flight, each with what to "
        "do, and says what to fly first. No flight is computed.",
    )
    add_aeroplane(command)
    command.add_argument(
        "--temperature", type=float, default=20.0, metavar="C", help="of the hall (20 if left out)"
    )
    add_json(command)
    command.set_defaults(run=_inspect)


def _inspect(given: argparse.Namespace) -> int:
    from trimkit.inspection import inspect

    found = inspect(load(given.aeroplane), given.temperature)
    if given.json:
        print_json(found.as_data())
    else:
        print(found.words())
    return DONE
