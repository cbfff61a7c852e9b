"""The commands for lessons: open, pack, rehearse, release."""

from __future__ import annotations

import argparse
import os
import signal
import sys
import webbrowser
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trimkit import places
from trimkit.cli.shared import (
    DONE,
    NO,
    Commands,
    add_json,
    course_folder,
    print_json,
    whole_number,
)

if TYPE_CHECKING:
    from trimkit.jupyter.server import Lab

MOST_PUPILS = 500


def describe(commands: Commands) -> None:
    """Describe what can be typed after open, pack, rehearse and release.

    Parameters
    ----------
    commands : Commands
        The parser's commands, filled [-].
    """
    _describe_open(commands)
    _describe_pack(commands)
    _describe_rehearse(commands)
    _describe_release(commands)


def _describe_open(commands: Commands) -> None:
    command = commands.add_parser(
        "open",
        help="copy the lessons into your work folder and open them in JupyterLab",
        description="Copy the lessons into your work folder and open them in JupyterLab. "
        "Your own work is never overwritten: a new edition lands beside it.",
    )
    command.add_argument(
        "--work",
        type=Path,
        metavar="DIR",
        help=f"your work folder (if left out: {places.default_work_folder().name} in your home)",
    )
    command.add_argument(
        "--pupil", type=_pupil_number, metavar="N", help="your pupil number; kept in the folder"
    )
    command.add_argument(
        "--class-word", metavar="W", help="the word your coach gave the class; kept too"
    )
    command.add_argument(
        "--check", action="store_true", help="start, answer one request for each lesson, stop"
    )
    command.add_argument(
        "--no-browser", action="store_true", help="only print the address, open no browser"
    )
    command.add_argument(
        "--coach",
        nargs="?",
        const="",
        metavar="DIR",
        help="for coaches: open the course folder itself, the one that holds instructor "
        "(DIR left out: this project's own), to mark and to see the class",
    )
    command.set_defaults(run=_open)


def _describe_pack(commands: Commands) -> None:
    command = commands.add_parser(
        "pack",
        help="make the zip that pupils are given",
        description="Make the zip that pupils are given: package, lessons, demo data and a "
        "text to start from. Nothing of the instructor's folder goes in.",
    )
    command.add_argument(
        "--students", action="store_true", required=True, help="for pupils (say it, to be sure)"
    )
    command.add_argument(
        "--output",
        type=Path,
        default=Path("trimkit-course.zip"),
        metavar="FILE",
        help="the zip to write (if left out: trimkit-course.zip here)",
    )
    command.add_argument(
        "--class-word", default="", metavar="W", help="the class word, for the text to start from"
    )
    add_json(command)
    command.set_defaults(run=_pack)


def _describe_rehearse(commands: Commands) -> None:
    command = commands.add_parser(
        "rehearse",
        help="a class in miniature: synthetic pupils, marking, feedback, marks",
        description="A class in miniature, offline: pack, answers by synthetic pupils, marking, "
        "feedback pages, marks. Everything stays in the folder you name.",
    )
    command.add_argument(
        "--pupils",
        type=whole_number(MOST_PUPILS),
        default=12,
        metavar="N",
        help="how many synthetic pupils (if left out: 12)",
    )
    command.add_argument(
        "--output",
        type=Path,
        metavar="DIR",
        help="a new or empty folder to fill (if left out: rehearsal- and the date, here)",
    )
    _add_instructor(command)
    add_json(command)
    command.set_defaults(run=_rehearse)


def _describe_release(commands: Commands) -> None:
    command = commands.add_parser(
        "release",
        help="for instructors: make the pupils' lessons from the instructor's",
        description="Make the folder course, beside the instructor's folder, from the lessons "
        "with solutions. Run it after every change to a lesson.",
    )
    command.add_argument(
        "--check", action="store_true", help="change nothing, only say whether they differ"
    )
    _add_instructor(command)
    command.set_defaults(run=_release)


def _add_instructor(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--instructor",
        type=Path,
        metavar="PATH",
        help="the instructor's folder (if left out: the one in this project)",
    )


def _open(given: argparse.Namespace) -> int:
    from trimkit.jupyter import server

    coach = given.coach is not None
    folder = _class_folder(given) if coach else _pupils_folder(given)
    _warm()
    print("Starting JupyterLab ...", flush=True)
    try:
        with _a_stop_is_an_interrupt(), server.running(folder, coach) as lab:
            below = "course/" if coach else ""
            return _check(lab, below) if given.check else _stay_open(lab, given.no_browser)
    except KeyboardInterrupt:
        print("Stopped before the course was open.")
        return NO


def _pupils_folder(given: argparse.Namespace) -> Path:
    from trimkit.lesson import work

    prepared = work.prepare(
        given.work or places.default_work_folder(), given.pupil, given.class_word
    )
    print(f"Work folder: {prepared.folder}\n{prepared.words()}", flush=True)
    return prepared.folder


def _class_folder(given: argparse.Namespace) -> Path:
    typed = {"--work": given.work, "--pupil": given.pupil, "--class-word": given.class_word}
    if pupils := [name for name, value in typed.items() if value is not None]:
        raise ValueError(
            f"{' and '.join(pupils)} cannot stand beside --coach: a coach opens the course folder, "
            "a pupil a work folder. Leave one of them out."
        )
    root = course_folder(Path(given.coach) if given.coach else None)
    places.instructor_folder(root / "instructor")
    print(f"Course folder: {root}", flush=True)
    return root


@contextmanager
def _a_stop_is_an_interrupt() -> Iterator[None]:
    """Let a polite kill end JupyterLab as Ctrl-C does, so that nothing stays behind."""
    before = signal.signal(signal.SIGTERM, signal.default_int_handler)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)


def _warm() -> None:
    from trimkit.jupyter import warm

    steps = list(warm.steps())
    for number, (what, step) in enumerate(steps, 1):
        print(f"Getting ready, {number} of {len(steps)}: {what}", flush=True)
        step()


def _check(lab: Lab, below: str) -> int:
    from trimkit.lesson import work

    names = [n for n in work.lesson_files(places.course_folder()) if n.endswith(".ipynb")]
    for name in names:
        found = lab.ask(f"api/contents/{below}{name}?content=0")
        print(f"JupyterLab shows {found['path']}", flush=True)
    print(f"Check done: {len(names)} lessons." if names else "The course holds no lessons.")
    return DONE if names else NO


def _stay_open(lab: Lab, no_browser: bool) -> int:
    print(f"The course is open at {lab.address}", flush=True)
    if no_browser or not _open_browser(lab.address):
        print("Copy this address into a browser on this machine.", flush=True)
    print("To stop, press Ctrl and C together.", flush=True)
    with suppress(KeyboardInterrupt):
        lab.process.wait()
    print("Stopping JupyterLab. Your work is saved as you last saved it.", flush=True)
    return DONE


def _open_browser(address: str) -> bool:
    on_a_screen = sys.platform in {"win32", "darwin"} or any(
        os.environ.get(name) for name in ("DISPLAY", "WAYLAND_DISPLAY")
    )
    with suppress(webbrowser.Error):
        return on_a_screen and webbrowser.open(address)
    return False


def _pack(given: argparse.Namespace) -> int:
    from trimkit.classroom import pack

    packed = pack.write(given.output, given.class_word)
    if given.json:
        print_json(
            {
                "pack": str(packed.path),
                "files": len(packed.files),
                "size": packed.size,
                "sha256": packed.sha256,
            }
        )
    else:
        print(f"{packed.path}: {len(packed.files)} files, {packed.size / 1024:.0f} KB.")
        print(f"Pupils unzip it and read {pack.START_HERE}.")
    return DONE


def _rehearse(given: argparse.Namespace) -> int:
    instructor = places.instructor_folder(given.instructor)
    from trimkit.classroom import rehearse

    outcome = rehearse.rehearse(
        given.pupils, given.output, instructor, progress=None if given.json else _bar
    )
    if given.json:
        print_json(outcome.as_dict())
    else:
        print(f"{outcome.words()}\nEverything lies in {outcome.folder}")
    return DONE if outcome.good else NO


def _bar(**about: Any) -> Any:
    from tqdm import tqdm

    return tqdm(file=sys.stdout, disable=None, **about)


def _release(given: argparse.Namespace) -> int:
    instructor = places.instructor_folder(given.instructor)
    course = instructor.parent / "course"
    from trimkit.classroom import release

    if not given.check:
        print(f"Made in {course}: {', '.join(release.generate(instructor, course))}")
        return DONE
    differing = release.check(instructor, course)
    if differing:
        print(f"Not as {instructor} makes them: {', '.join(differing)}. Next: trimkit release")
        return NO
    print(f"{course} is what {instructor} makes.")
    return DONE


def _pupil_number(text: str) -> int:
    try:
        return places.checked_pupil(text).number
    except ValueError as error:
        raise argparse.ArgumentTypeError(str(error)) from error
