"""What commands share: exit statuses, the parser, aeroplanes, JSON, pictures, the course folder."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn, TypeAlias

from trimkit import places

DONE, NO, BAD_INPUT = 0, 1, 2


class Parser(argparse.ArgumentParser):
    """A parser that says the next step, and ends with the status for bad input."""

    def error(self, message: str) -> NoReturn:
        """End with a message.

        Parameters
        ----------
        message : str
            What is wrong with what was typed [-].
        """
        self.exit(BAD_INPUT, f"trimkit: {message}\nNext: {self.prog} --help\n")


if TYPE_CHECKING:
    from trimkit.aeroplane import Aeroplane
    from trimkit.figures import Picture

    Commands: TypeAlias = argparse._SubParsersAction[Parser]
else:
    Commands = argparse._SubParsersAction  # it takes no parameter when it runs


def add_json(command: argparse.ArgumentParser) -> None:
    """Give a command the option --json.

    Parameters
    ----------
    command : argparse.ArgumentParser
        The command, changed [-].
    """
    command.add_argument("--json", action="store_true", help="print the result as JSON")


class _List(argparse.Action):
    """Prints a list and ends, as --help does."""

    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> None:
        print(self.const())  # `add_list` puts a function there
        parser.exit(DONE)


def add_list(
    command: argparse.ArgumentParser, option: str, told: str, words: Callable[[], str]
) -> None:
    """Give a command an option that prints a list and stops.

    Parameters
    ----------
    command : argparse.ArgumentParser
        The command, changed [-].
    option : str
        Such as --columns [-].
    told : str
        What --help says of it [-].
    words : callable
        Makes the list when it is asked for [-].
    """
    command.add_argument(option, action=_List, nargs=0, const=words, help=told)


def add_aeroplane(command: argparse.ArgumentParser) -> None:
    """Give a command an aeroplane as its first word; `load` loads it.

    Parameters
    ----------
    command : argparse.ArgumentParser
        The command, changed [-].
    """
    command.add_argument(
        "aeroplane", metavar="AEROPLANE", help="an aeroplane file, or the name of a demo aeroplane"
    )


def load(given: str) -> Aeroplane:
    """Load an aeroplane file, or a demo aeroplane by its name.

    Parameters
    ----------
    given : str
        What was typed [-].

    Returns
    -------
    Aeroplane
        The aeroplane [-].

    Raises
    ------
    ValueError
        When there is neither, with the names of the demo aeroplanes.
    """
    from trimkit import load_aeroplane

    if Path(given).exists():
        return load_aeroplane(given)
    demo = places.demo_aeroplanes()
    if given in demo:
        return load_aeroplane(demo[given])
    raise ValueError(
        f"there is no file {given!r}. Give the name of an aeroplane file, or one of the demo "
        f"aeroplanes: {', '.join(demo)}"
    )


def save_picture(picture: Picture, path: Path) -> Path:
    """Save a picture, and its words beside it.

    Parameters
    ----------
    picture : Picture
        The picture [-].
    path : pathlib.Path
        Where the PNG goes [-].

    Returns
    -------
    pathlib.Path
        Where its words are: the same name with .txt [-].
    """
    path.write_bytes(picture.png())
    words = path.with_suffix(".txt")
    words.write_text(picture.text + "\n", encoding="utf-8")
    return words


def add_course(command: argparse.ArgumentParser) -> None:
    """Give a command the option --course; `course_folder` turns it into a folder.

    Parameters
    ----------
    command : argparse.ArgumentParser
        The command, changed [-].
    """
    command.add_argument(
        "--course",
        type=Path,
        metavar="DIR",
        help="the course folder, the one that holds marking (if left out: this project's own)",
    )


def course_folder(given: Path | None) -> Path:
    """Find the course folder.

    Parameters
    ----------
    given : pathlib.Path or None
        What was typed, None for the project's own [-].

    Returns
    -------
    pathlib.Path
        The folder, there or not [-].

    Raises
    ------
    FileNotFoundError
        When nothing was typed and an installed trimkit has none of its own.
    """
    root = given or places.checkout()
    if root is None:
        raise FileNotFoundError(
            "an installed trimkit has no course folder of its own. Say where it is: --course DIR"
        )
    return root.resolve()


def instructor_folder(given: Path | None, root: Path) -> Path:
    """Find the instructor's folder of a class.

    Parameters
    ----------
    given : pathlib.Path or None
        What was typed, None for the course folder's own or else this project's [-].
    root : pathlib.Path
        The course folder [-].

    Returns
    -------
    pathlib.Path
        The folder, with settings and keys [-].

    Raises
    ------
    FileNotFoundError
        When there is none.
    """
    own = root / "instructor"
    return places.instructor_folder(given or (own if (own / "marking").is_dir() else None))


def whole_number(most: int) -> Callable[[str], int]:
    """Make what reads a whole number from 1, for argparse.

    Parameters
    ----------
    most : int
        The largest allowed [-].

    Returns
    -------
    callable
        Takes what was typed, returns the number or says what is allowed [-].
    """

    def read(text: str) -> int:
        if not text.isdecimal() or not 1 <= int(text) <= most:
            raise argparse.ArgumentTypeError(
                f"{text!r} cannot be used. Allowed: a whole number from 1 to {most}."
            )
        return int(text)

    return read


def print_json(content: object) -> None:
    """Print for another program to read.

    Parameters
    ----------
    content : object
        Plain data [-].
    """
    print(json.dumps(content, indent=1, ensure_ascii=False))
