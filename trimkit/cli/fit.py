"""The command from readings and flights to figures with intervals: fit."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from trimkit.cli.shared import (
    DONE,
    NO,
    Commands,
    Parser,
    add_json,
    add_list,
    load,
    print_json,
    save_picture,
)

if TYPE_CHECKING:
    from trimkit import rules
    from trimkit.aeroplane import Aeroplane
    from trimkit.fit import MotorCurve, TorqueTable
    from trimkit.logbook import FlightRow, Logbook


def describe(commands: Commands) -> None:
    """Describe what can be typed after fit.

    Parameters
    ----------
    commands : Commands
        The parser's commands, filled [-].
    """
    command = commands.add_parser(
        "fit",
        help="torque readings to a motor's curve, a logbook to an aeroplane that flies like yours",
        description="Two fits. torque: readings of a torque meter to a curve for each motor. "
        "flights: times, turns, laps and circles of a logbook to the aeroplane's lift, drag and "
        "propeller. Every figure comes with the interval that holds it nine times in ten; what "
        "lies too far off is named and left out.",
    )
    kinds = command.add_subparsers(dest="kind", required=True, metavar="KIND", parser_class=Parser)
    _describe_torque(kinds)
    _describe_flights(kinds)


def _describe_torque(kinds: Commands) -> None:
    torque = kinds.add_parser(
        "torque",
        help="readings of a torque meter to a curve for each motor",
        description="Reads a table of torque readings (CSV) and fits a curve for each motor. "
        "Exit status 1 when a row is to be mended or a motor gets no curve.",
    )
    torque.add_argument("file", type=Path, metavar="READINGS.csv", help="the readings")
    add_list(torque, "--columns", "list what the table may hold, and stop", _columns)
    torque.add_argument(
        "--motors",
        type=Path,
        metavar="FILE",
        help="list of motors with loop_mm and mass_g, a TOML file of [[motor]]",
    )
    torque.add_argument(
        "--aeroplane",
        metavar="AEROPLANE",
        help="where the loop is that of an aeroplane file or demo aeroplane, for motors that no "
        "list names",
    )
    torque.add_argument(
        "--output", type=Path, metavar="FILE", help="write the list of motors with its curves"
    )
    torque.add_argument(
        "--pictures", type=Path, metavar="DIR", help="save a picture of each curve and its words"
    )
    add_json(torque)
    torque.set_defaults(run=_torque)


def _describe_flights(kinds: Commands) -> None:
    flights = kinds.add_parser(
        "flights",
        help="a logbook to the aeroplane's lift, drag and propeller",
        description="Changes what a ruler leaves open until computed flights show what the "
        "logbook says. Takes some seconds to a minute. Exit status 1 when too few flights count.",
    )
    flights.add_argument("file", type=Path, metavar="LOGBOOK.csv", help="the logbook")
    flights.add_argument(
        "--aeroplane",
        required=True,
        metavar="AEROPLANE",
        help="the aeroplane as measured: a file, or the name of a demo aeroplane",
    )
    flights.add_argument(
        "--motors", type=Path, metavar="FILE", help="list of motors, best with fitted curves"
    )
    flights.add_argument(
        "--name", metavar="NAME", help="what the logbook calls it (if left out: its file's name)"
    )
    flights.add_argument(
        "--output",
        type=Path,
        metavar="FILE",
        help="write the fitted aeroplane; the file that was there is kept beside it",
    )
    add_json(flights)
    flights.set_defaults(run=_flights)


def _columns() -> str:
    from trimkit.fit import reading_columns_words

    return reading_columns_words()


def _torque(given: argparse.Namespace) -> int:
    from trimkit import fit, rules

    table = fit.read_torque(given.file)
    stock = list(rules.read_motors(given.motors)) if given.motors else []
    one = load(given.aeroplane) if given.aeroplane else None
    curves, refused = [], []
    for number in table.motors:
        try:
            curves.append(_curve(table, number, stock, one))
        except ValueError as error:
            refused.append(str(error))
    if given.output and curves:
        _write_motors(curves, stock, given.output)
    saved = _pictures(curves, table, given.pictures) if given.pictures else []
    bad = [row.words() for row in table.bad_rows]
    if given.json:
        print_json(
            {
                "motors": [curve.as_data() for curve in curves],
                "refused": refused,
                "bad_rows": bad,
                "remarks": list(table.remarks),
                "pictures": [str(path) for path in saved],
            }
        )
    else:
        print("\n".join(curve.words() for curve in curves) or "No curve.")
        for title, lines in (
            ("No curve for these", refused),
            ("Rows to mend; they are kept and not used", bad),
            ("Understood so; look at it", list(table.remarks)),
            ("Pictures, each with its words beside it", [str(path) for path in saved]),
        ):
            if lines:
                print(f"\n{title}:\n" + "\n".join(f"- {line}" for line in lines))
        if given.output and curves:
            print(f"\nWritten: {given.output}")
    return NO if refused or bad or not curves else DONE


def _curve(
    table: TorqueTable, number: str, stock: list[rules.Motor], one: Aeroplane | None
) -> MotorCurve:
    from trimkit import fit

    listed = next((motor for motor in stock if motor.number == number), None)
    loop = listed.rubber() if listed else None
    weighed = bool(listed and listed.mass_g)
    if loop is None and one is not None:
        loop, weighed = one.setting.motor, False
    if loop is None:
        raise ValueError(
            f"motor {number}: its length and mass are not known. Write loop_mm and mass_g into "
            "the list of motors (--motors FILE), or name an aeroplane with --aeroplane"
        )
    return fit.fit_curve(table.of(number), loop, weighed)


def _write_motors(curves: list[MotorCurve], stock: list[rules.Motor], path: Path) -> None:
    from trimkit import rules
    from trimkit.files import keep_before

    fitted = {curve.number: curve for curve in curves}
    motors = [fitted.pop(m.number).in_stock(m) if m.number in fitted else m for m in stock]
    for curve in fitted.values():  # those that no list names
        loop = curve.motor
        bare = rules.Motor(
            number=curve.number,
            loop_mm=loop.loop_mm,
            strip_width_mm=loop.strip_width_mm,
            strands=loop.strands,
        )
        motors.append(curve.in_stock(bare))
    keep_before(path)
    rules.write_motors(motors, path, "Curves fitted to readings of a torque meter.")


def _pictures(curves: list[MotorCurve], table: TorqueTable, folder: Path) -> list[Path]:
    from trimkit.figures.curve import fitted_curve

    folder.mkdir(parents=True, exist_ok=True)
    saved = []
    for place, curve in enumerate(curves, 1):
        plain = "".join(c for c in curve.number if c.isalnum() or c in "-_") or str(place)
        path = folder / f"motor-{plain}.png"
        save_picture(fitted_curve(curve), path)
        saved.append(path)
    return saved


def _flights(given: argparse.Namespace) -> int:
    from trimkit import fit, logbook, rules
    from trimkit.files import keep_before, save_aeroplane

    book = logbook.read(given.file)
    aeroplane = load(given.aeroplane)
    stock = rules.read_motors(given.motors) if given.motors else ()
    rows = _rows_of(book, given, aeroplane)
    evidence, remarks = fit.gather(rows, aeroplane, fit.loops_of(stock))
    remarks = (*remarks, *(bad.words().replace("\n", "; ") for bad in book.bad_rows))
    known = [one.strength_error for one in stock if one.strength_error is not None]
    try:
        fitted = fit.fit_flights(
            evidence, aeroplane, remarks, max(known, default=None), None if given.json else _say
        )
    except fit.TooFewError as few:
        if given.json:
            print_json({"aeroplane": aeroplane.name, "refused": str(few)})
        else:
            print(f"No fit: {few}")
        return NO
    written = []
    if given.output:
        if given.output.suffix.lower() != ".toml":
            raise ValueError(f"{given.output} is given; allowed is a name such as own-fitted.toml")
        kept = keep_before(given.output)
        save_aeroplane(fitted.aeroplane, given.output)
        keep_before(fit.fit_path(given.output))
        fit.write_fit(fitted, fit.fit_path(given.output))
        written = [str(given.output), str(fit.fit_path(given.output))]
        if kept and not given.json:
            print(f"The file that was there is now {kept}")
    if given.json:
        print_json({**fitted.as_data(), "written": written})
    else:
        print(fitted.words())
        if written:
            print(f"\nWritten: {' and '.join(written)}\nNext: trimkit plan {given.output}")
    return DONE


def _say(count: int, misfit: float) -> None:
    sys.stderr.write(f"round {count}: misfit {misfit:.0f}\n")
    sys.stderr.flush()


def _rows_of(book: Logbook, given: argparse.Namespace, aeroplane: Aeroplane) -> list[FlightRow]:
    """Flights of this aeroplane; a logbook of one aeroplane without its name will do."""
    names = {given.name} if given.name else {Path(given.aeroplane).stem, aeroplane.name}
    rows = [one for one in book.flights if one.aeroplane in names]
    if rows or not book.flights:
        return list(rows)
    if not given.name and book.aeroplanes == ("",):
        return list(book.flights)
    known = ", ".join(book.aeroplanes)
    raise ValueError(
        f"no flight of {' or '.join(sorted(names))} in {given.file}; aeroplanes are {known}. "
        "Say which is meant: --name NAME"
    )
