"""The command for a team's logbook of a season: logbook."""

from __future__ import annotations

import argparse
import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trimkit.cli.shared import (
    DONE,
    NO,
    Commands,
    add_json,
    add_list,
    load,
    print_json,
    save_picture,
)

if TYPE_CHECKING:
    from trimkit.logbook import FlightRow, Logbook

SHOWN = 3


def describe(commands: Commands) -> None:
    """Describe what can be typed after logbook.

    Parameters
    ----------
    commands : Commands
        The parser's commands, filled [-].
    """
    command = commands.add_parser(
        "logbook",
        help="read a team's logbook: flights, slips in it, what each change did",
        description="Reads a logbook that a spreadsheet saved as CSV, names every row that cannot "
        "be used, looks whether one thing was changed at a time, and says what each change did or "
        "that it cannot tell yet. The file is left as it is. Exit status 1 when rows are to be "
        "mended.",
    )
    command.add_argument("file", type=Path, metavar="FILE.csv", help="the logbook")
    add_list(command, "--columns", "list what a logbook may hold, and stop", _columns)
    command.add_argument(
        "--dates",
        choices=("day-first", "month-first"),
        default="",
        help="how 3/4/2026 is meant (if left out it is asked about)",
    )
    command.add_argument("--aeroplane", metavar="NAME", help="only the flights of this aeroplane")
    command.add_argument(
        "--pictures", type=Path, metavar="DIR", help="save pictures of the season and their words"
    )
    command.add_argument(
        "--evening",
        type=_day,
        metavar="DATE",
        help="also say what was likely wrong that evening, such as 2026-11-26; the aeroplane's "
        "name is that of its file or of a demo aeroplane",
    )
    command.add_argument(
        "--write", type=Path, metavar="FILE", help="also write it as plain CSV with ISO dates"
    )
    add_json(command)
    command.set_defaults(run=_logbook)


def _columns() -> str:
    from trimkit.logbook import columns_words

    return columns_words()


def _day(text: str) -> datetime.date:
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(
            f"{text!r} is no day. Allowed: year-month-day, such as 2026-11-26."
        ) from None


def _logbook(given: argparse.Namespace) -> int:
    from trimkit import logbook

    book = logbook.read(given.file, given.dates)
    if given.aeroplane:
        book = _of_one(book, given.aeroplane)
    if given.write:
        _write(book, given)
    pictures = _pictures(book, given.pictures) if given.pictures else []
    evening = _evening(book, given) if given.evening else None
    if given.json:
        print_json(_as_data(book, pictures, evening))
    else:
        _say(book, pictures, evening)
    return NO if book.bad_rows else DONE


def _of_one(book: Logbook, name: str) -> Logbook:
    from trimkit import logbook

    if name not in book.aeroplanes:
        known = ", ".join(book.aeroplanes) or "none"
        raise ValueError(f"no flight of {name!r} in it; aeroplanes are {known}")
    return logbook.only(book, lambda flight: flight.aeroplane == name)


def _write(book: Logbook, given: argparse.Namespace) -> None:
    from trimkit import logbook

    if given.write.exists():
        raise ValueError(f"{given.write} is there already; name a new file")
    if given.aeroplane:
        raise ValueError("--write writes the whole logbook; leave out --aeroplane")
    logbook.write(book, given.write)


def _pictures(book: Logbook, folder: Path) -> list[Path]:
    from trimkit.figures import season

    folder.mkdir(parents=True, exist_ok=True)
    saved = []
    for name, view in season.VIEWS.items():
        try:
            picture = view(book.flights)
        except season.TooFewError:
            continue
        save_picture(picture, folder / f"{name}.png")
        saved.append(folder / f"{name}.png")
    return saved


def _evening(book: Logbook, given: argparse.Namespace) -> dict[str, Any]:
    """What the diagnosis says of one evening."""
    from trimkit import logbook
    from trimkit.diagnosis import posterior, steps

    log = logbook.to_log(book, given.evening, given.aeroplane)
    name = given.aeroplane or next(f.aeroplane for f in book.flights if f.date == given.evening)
    beside = given.file.with_name(f"{name}.toml")
    believed = posterior(log, load(str(beside) if beside.exists() else name))
    return {
        "date": given.evening.isoformat(),
        "aeroplane": name,
        "flights": len(log.flights),
        "words": believed.words(SHOWN),
        "faults": {fault: round(p, 4) for fault, p in believed.probabilities.items()},
        "next_steps": [step.words() for step in steps.ranked(believed)[:SHOWN]],
        "advice": steps.advice(believed).words(),
    }


def _say(book: Logbook, pictures: list[Path], evening: dict[str, Any] | None) -> None:
    from trimkit import logbook

    days = len(book.evenings)
    print(f"{len(book.flights)} flights on {days} evenings, {len(book.bad_rows)} rows to mend.")
    for flight in book.flights:
        print(f"  {flight_words(flight)}")
    _section("Rows to mend; they are kept and not used", [bad.words() for bad in book.bad_rows])
    _section("Understood so; look at it", book.remarks)
    _section("Which motor was it?", [one.words() for one in logbook.swaps(book)])
    several = [step.words() for step in logbook.steps(book) if len(step.changed) > 1]
    _section("More than one change at a time", several)
    _section("What each change did", [one.words() for one in logbook.effects(book)])
    if evening:
        print(f"\nThe evening of {evening['date']}, {evening['aeroplane']}:\n{evening['words']}")
        _section("What teaches most for its time", evening["next_steps"])
        print(f"One setting, if you must fly now:\n{evening['advice']}")
    _section("Pictures, each with its words beside it", [str(path) for path in pictures])


def _section(title: str, lines: list[str] | tuple[str, ...]) -> None:
    if lines:
        print(f"\n{title}:")
        print("\n".join(f"- {line}" for line in lines))


def flight_words(flight: FlightRow) -> str:
    """Say a flight in one line.

    Parameters
    ----------
    flight : FlightRow
        The flight [-].

    Returns
    -------
    str
        Date, aeroplane, motor, turns, setting, time, what it hit [-].
    """
    parts = [f"{flight.date} {flight.aeroplane}".strip()]
    parts += [f"motor {flight.motor}"] if flight.motor else []
    if flight.turns is not None:
        off = f" less {flight.backed_off}" if flight.backed_off else ""
        left = f", {flight.turns_left} left" if flight.turns_left is not None else ""
        parts.append(f"{flight.turns}{off} turns{left}")
    parts.append(flight.setting_words())
    parts += [f"{flight.time_s:g} s"] if flight.time_s else ["no time"]
    parts += [f"hit {flight.hit}"] if flight.hit else []
    return "; ".join(parts)


def _as_data(book: Logbook, pictures: list[Path], evening: dict[str, Any] | None) -> dict[str, Any]:
    from trimkit import logbook

    return {
        "flights": [_flight_data(flight) for flight in book.flights],
        "bad_rows": [
            {"line": bad.line, "cells": dict(bad.cells), "problems": bad.words().split("\n")}
            for bad in book.bad_rows
        ],
        "remarks": list(book.remarks),
        "swaps": [
            {"line": one.flight.line, "motor": one.flight.motor, "words": one.words()}
            for one in logbook.swaps(book)
        ],
        "steps": [
            {"lines": [one.before.line, one.after.line], "changed": list(one.changed)}
            for one in logbook.steps(book)
        ],
        "effects": [_effect_data(one) for one in logbook.effects(book)],
        "pictures": [str(path) for path in pictures],
        "evening": evening,
    }


def _flight_data(flight: FlightRow) -> dict[str, Any]:
    import dataclasses

    fields = {one.name: getattr(flight, one.name) for one in dataclasses.fields(flight)}
    plain = {**fields, "date": flight.date.isoformat(), "setting": dict(flight.setting)}
    return {**plain, "other": dict(flight.other)}


def _effect_data(effect: Any) -> dict[str, Any]:
    sure = effect.low == effect.low  # not a number without repeats
    return {
        "date": effect.date.isoformat(),
        "aeroplane": effect.aeroplane,
        "change": effect.change,
        "before_s": list(effect.before_s),
        "after_s": list(effect.after_s),
        "share": round(effect.share, 4),
        "interval": [round(effect.low, 4), round(effect.high, 4)] if sure else None,
        "verdict": effect.verdict,
        "words": effect.words(),
    }
