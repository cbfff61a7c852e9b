"""The command for a contest: contest."""

from __future__ import annotations

import argparse
from pathlib import Path

from trimkit.cli.shared import DONE, NO, Commands, add_json, load, print_json


def describe(commands: Commands) -> None:
    """Describe what can be typed after contest.

    Parameters
    ----------
    commands : Commands
        The parser's commands, filled [-].
    """
    command = commands.add_parser(
        "contest",
        help="check an aeroplane, its motors and its logbook against a card of rules",
        description="Goes through a card of rules and says what passes, what fails, by how much "
        "and what to do, what to measure again, and what a person must look at. The card in the "
        "demo data is invented; a coach copies it and writes the real rules of the year into it. "
        "Exit status: 0 all passes, 1 something fails or must be measured again, 2 bad input.",
    )
    command.add_argument("rules", type=Path, metavar="RULES", help="the card, a TOML file")
    command.add_argument(
        "--aeroplane",
        required=True,
        metavar="AEROPLANE",
        help="an aeroplane file, or the name of a demo aeroplane",
    )
    command.add_argument(
        "--motors", type=Path, metavar="FILE", help="list of motors, a TOML file of [[motor]]"
    )
    command.add_argument("--logbook", type=Path, metavar="FILE", help="the team's logbook, CSV")
    command.add_argument(
        "--sheet", type=Path, metavar="FILE", help="also write a check-in sheet to print, HTML"
    )
    add_json(command)
    command.set_defaults(run=_contest)


def _contest(given: argparse.Namespace) -> int:
    from trimkit import rules

    card = rules.read(given.rules)
    aeroplane = load(given.aeroplane)
    motors = rules.read_motors(given.motors) if given.motors else None
    logged = None
    if given.logbook:
        names = (Path(given.aeroplane).stem, aeroplane.name)
        logged = rules.logged_flights(given.logbook, names, card.log.columns if card.log else ())
    table = rules.check(card, aeroplane, motors, logged)
    if given.sheet:
        from trimkit import letter

        letter.save_page(letter.check_in(table, aeroplane), given.sheet)
    if given.json:
        print_json(table.as_data())
    else:
        print(table.words())
        if given.sheet:
            print(f"\nCheck-in sheet to print: {given.sheet}")
    return DONE if table.ready else NO
