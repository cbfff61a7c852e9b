"""The command for a page that asks a coach: letter."""

from __future__ import annotations

import argparse
from pathlib import Path

from trimkit.cli.shared import DONE, Commands, add_json, load, print_json


def describe(commands: Commands) -> None:
    """Describe what can be typed after letter.

    Parameters
    ----------
    commands : Commands
        The parser's commands, filled [-].
    """
    command = commands.add_parser(
        "letter",
        help="make one page about an aeroplane for a coach elsewhere, or load such a page",
        description="Makes one HTML page: the aeroplane's figures and drawing, the log, what was "
        "seen, the likeliest causes. An adult sends it. The coach opens it in any browser, or "
        "loads aeroplane and log out of it with --read. Write no names.",
    )
    way = command.add_mutually_exclusive_group(required=True)
    way.add_argument(
        "--aeroplane", metavar="AEROPLANE", help="an aeroplane file, or a demo aeroplane's name"
    )
    way.add_argument(
        "--read", type=Path, metavar="LETTER", help="take aeroplane and log out of such a page"
    )
    command.add_argument(
        "--log", type=Path, metavar="SHEET", help="sheet of an evening, as for trimkit diagnose"
    )
    command.add_argument("--words", default="", metavar="TEXT", help="what the team saw")
    command.add_argument("--photo", type=Path, metavar="FILE", help="a photo of the aeroplane only")
    command.add_argument(
        "--adult-agrees",
        action="store_true",
        help="an adult has looked at the photo, nobody is on it, and it may be sent",
    )
    command.add_argument(
        "--output",
        type=Path,
        required=True,
        metavar="FILE",
        help="the page, .html; with --read the aeroplane file, .toml",
    )
    add_json(command)
    command.set_defaults(run=_letter)


def _letter(given: argparse.Namespace) -> int:
    return _read(given) if given.read else _write(given)


def _write(given: argparse.Namespace) -> int:
    from trimkit import letter
    from trimkit.diagnosis import sheet

    _check_photo(given)
    aeroplane = load(given.aeroplane)
    log = sheet.read(given.log) if given.log else None
    photo = letter.cleaned(given.photo) if given.photo else None
    letter.save_page(letter.write(aeroplane, log, given.words, photo), given.output)
    if given.json:
        print_json({"page": str(given.output), "aeroplane": aeroplane.name})
    else:
        print(f"{given.output}: open it, read it once, and let an adult send it.")
    return DONE


def _check_photo(given: argparse.Namespace) -> None:
    if given.photo and not given.adult_agrees:
        raise ValueError(
            "a photo needs an adult's yes: let an adult look at it, see that nobody is on it, and "
            "add --adult-agrees. Without --photo the page is made at once"
        )
    if given.adult_agrees and not given.photo:
        raise ValueError("--adult-agrees is given without --photo; leave it out, or name the photo")


def _read(given: argparse.Namespace) -> int:
    from trimkit import letter
    from trimkit.files import save_aeroplane, write_whole

    if given.log or given.words or given.photo or given.adult_agrees:
        raise ValueError("--read takes --output only; leave the rest out")
    if given.output.suffix.lower() != ".toml":
        raise ValueError(f"{given.output.name} is given for an aeroplane; allowed is FILE.toml")
    evening = given.output.with_name(f"{given.output.stem}.evening.toml")
    for path in (given.output, evening):
        if path.exists():
            raise ValueError(f"{path} is there already, and is kept; name another file")
    found = letter.read(given.read)
    save_aeroplane(found.aeroplane, given.output)
    logged = bool(found.log.entries)
    if logged:
        write_whole(evening, letter.as_sheet(found.log).encode("utf-8"))
    if given.json:
        print_json(
            {
                "aeroplane": found.aeroplane.name,
                "file": str(given.output),
                "log": str(evening) if logged else None,
                "words": found.words,
            }
        )
        return DONE
    print(f"{found.aeroplane.name}: {given.output}")
    if found.words:
        print(f"The team saw: {found.words}")
    if logged:
        print(f"Its log: {evening}")
        print(f"Next: trimkit diagnose {evening} --aeroplane {given.output}")
    return DONE
