"""The command for flights: fly."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trimkit.cli.shared import (
    DONE,
    Commands,
    add_aeroplane,
    add_json,
    add_list,
    load,
    print_json,
    save_picture,
)

if TYPE_CHECKING:
    from trimkit.aeroplane import Aeroplane
    from trimkit.flight import Flight, Job
    from trimkit.observe import Observation


def describe(commands: Commands) -> None:
    """Describe what can be typed after fly.

    Parameters
    ----------
    commands : Commands
        The parser's commands, filled [-].
    """
    command = commands.add_parser(
        "fly",
        help="fly an aeroplane, and say and draw what a coach would see",
        description="Fly an aeroplane file, with or without a fault. Prints what a coach in the "
        "hall would see and the figures, and saves a picture with its text.",
    )
    add_aeroplane(command)
    command.add_argument(
        "--turns", type=float, required=True, metavar="N", help="turns on the rubber at the launch"
    )
    command.add_argument(
        "--fault", metavar="NAME[=SIZE]", help="a fault; its middle size if SIZE is left out"
    )
    add_list(command, "--list-faults", "list the faults and sizes, and stop", _faults)
    command.add_argument(
        "--temperature", type=float, default=20.0, metavar="C", help="of the hall (20 if left out)"
    )
    command.add_argument(
        "--seed",
        type=int,
        metavar="N",
        help="a practised hand and a watching eye, both with errors; the same number gives the "
        "same flight (if left out: no errors)",
    )
    command.add_argument(
        "--picture",
        type=Path,
        metavar="FILE",
        help="PNG to write; its text lands beside it (if left out: named after the flight, here)",
    )
    command.add_argument(
        "--flight", type=Path, metavar="FILE", help="also keep the whole flight in this file"
    )
    add_json(command)
    command.set_defaults(run=_fly)


def _faults() -> str:
    from trimkit import faults

    return "\n".join(
        f"{one.name}={one.low:g} to {one.high:g} ({one.unit}): {one.what}"
        for one in faults.CATALOGUE.values()
    )


def _fly(given: argparse.Namespace) -> int:
    from trimkit import figures, observe

    aeroplane = load(given.aeroplane)
    job, fault = _job(given, aeroplane)
    flight = job.fly()
    seen = observe.watch(flight, given.seed)
    picture = figures.flight_view(flight, seen)
    place = given.picture or Path(f"{Path(given.aeroplane).stem}-{given.turns:g}{fault}.png")
    words = save_picture(picture, place)
    if given.flight:
        flight.save(given.flight)
    if given.json:
        print_json(_as_data(flight, seen, place))
    else:
        print(_said(flight, seen))
        print(f"Picture: {place}, the same in words: {words}")
    return DONE


def _job(given: argparse.Namespace, aeroplane: Aeroplane) -> tuple[Job, str]:
    """The flight to fly, and a word about it for the picture's name."""
    from trimkit import faults
    from trimkit.flight import Hall, Job, Launch

    seed, scatter = (0, 0.0) if given.seed is None else (given.seed, 1.0)
    job = Job(
        aeroplane=aeroplane,
        launch=Launch(turns=given.turns, scatter=scatter),
        hall=Hall(temperature_c=given.temperature),
        seed=seed,
    )
    if not given.fault:
        return job, ""
    name, _, size = given.fault.partition("=")
    return faults.afflict(job, name, _size(size)), f"-{name}"


def _size(text: str) -> float | None:
    if not text:
        return None
    try:
        return float(text)
    except ValueError:
        raise ValueError(
            f"the size {text!r} is not a number; write --fault NAME=SIZE, such as loose-tail=0.5"
        ) from None


def _said(flight: Flight, seen: Observation) -> str:
    """What was seen, every figure of it, and where the model is rough."""
    from trimkit import observe

    rows = [
        f"  {one.meaning}: {seen[one.name]:.{_digits(one.unit)}f} {one.unit}".rstrip()
        for one in observe.FEATURES
    ]
    notes = [f"Mind: {note}." for note in flight.notes]
    first = f"{flight.name}, {flight.turns_on:g} turns: {seen.words()}"
    return "\n".join([first, *rows, *notes])


def _digits(unit: str) -> int:
    return {"m/s": 2, "m": 1, "s": 1, "1/s": 1}.get(unit, 0)


def _as_data(flight: Flight, seen: Observation, picture: Path) -> dict[str, Any]:
    return {
        "aeroplane": flight.name,
        "turns": flight.turns_on,
        "words": seen.words(),
        "figures": dict(seen.values),
        "notes": list(flight.notes),
        "picture": str(picture),
    }
