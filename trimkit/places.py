"""Where the course, the demo data and a pupil's work lie, and who the pupil is.

Only this module knows folders. Everything else asks it.
"""

from __future__ import annotations

import datetime
import os
import sys
import tomllib
from dataclasses import dataclass
from pathlib import Path

PUPIL_FILE = "pupil.toml"
MANIFEST_FILE = ".trimkit-manifest.json"
LOG_FOLDER = "logs"
COURSE_ROOT, CLASS_WORD = "TRIMKIT_COURSE_ROOT", "TRIMKIT_CLASS_WORD"  # in the environment
LARGEST_NUMBER = 9999
LONGEST_WORD = 40
SEASON_STARTS_IN_MONTH = 8  # the school year, common practice, no source

_PACKAGE = Path(__file__).resolve().parent
_already_said: set[str] = set()


@dataclass(frozen=True, slots=True)
class Pupil:
    """Who works: a number, never a name.

    Parameters
    ----------
    number : int
        The pupil's number, 0 for a visitor [-].
    class_word : str
        The coach's word for the class, empty for practice [-].
    season : str
        Such as "2026-27", empty when not known [-].
    """

    number: int
    class_word: str
    season: str


VISITOR = Pupil(0, "", "")


def marking() -> bool:
    """Say whether a notebook runs to be marked.

    Returns
    -------
    bool
        True when TRIMKIT_MARKING is 1 in the environment [-].
    """
    return os.environ.get("TRIMKIT_MARKING") == "1"


def marking_environment(number: int, class_word: str) -> dict[str, str]:
    """Make what `marking` and `pupil` find in the environment of a notebook that is marked.

    Parameters
    ----------
    number : int
        The pupil's number [-].
    class_word : str
        The coach's word [-].

    Returns
    -------
    dict of str to str
        Three names and their values [-].
    """
    return {
        "TRIMKIT_MARKING": "1",
        "TRIMKIT_PUPIL": str(number),
        CLASS_WORD: class_word,
    }


def pupil(start: Path | None = None) -> Pupil:
    """Say who works here.

    While marking, the marker's word counts. Otherwise the nearest `pupil.toml` does. A file
    that cannot be used makes a visitor, and the reason is printed once.

    Parameters
    ----------
    start : pathlib.Path or None
        Folder to look upward from, None for the current one [-].

    Returns
    -------
    Pupil
        The pupil, or a visitor [-].

    Raises
    ------
    ValueError
        When the marker itself set a number that is none.
    """
    if marking():
        number = os.environ.get("TRIMKIT_PUPIL", "0")
        return checked_pupil(number, os.environ.get(CLASS_WORD, ""))
    folder = _upward(start, (PUPIL_FILE,))
    if folder is None:
        return VISITOR
    try:
        return read_pupil(folder / PUPIL_FILE)
    except (OSError, ValueError) as error:
        _say_once(f"{error}\nUntil then you work as a visitor, with practice numbers.")
        return VISITOR


def read_pupil(path: Path) -> Pupil:
    """Read a pupil file.

    Parameters
    ----------
    path : pathlib.Path
        A `pupil.toml` [-].

    Returns
    -------
    Pupil
        The pupil [-].

    Raises
    ------
    ValueError
        When it cannot be used, with what it holds and what is allowed.
    """
    try:
        content = tomllib.loads(path.read_text("utf-8-sig"))
    except ValueError as error:  # TOMLDecodeError and UnicodeDecodeError are both
        raise ValueError(
            f"{path.name} cannot be read: {error}. It should look like this: number = 7"
        ) from error
    if "number" not in content:
        raise ValueError(f"{path.name} holds no number. Add a line such as: number = 7")
    try:
        return checked_pupil(
            content["number"], content.get("class_word", ""), content.get("season", "")
        )
    except ValueError as error:
        raise ValueError(f"{path.name}: {error}") from error


def write_pupil(path: Path, who: Pupil) -> None:
    """Write a pupil file that `read_pupil` reads back.

    Parameters
    ----------
    path : pathlib.Path
        Where to [-].
    who : Pupil
        The pupil [-].
    """
    text = (
        "# Who works in this folder. A number, never a name.\n"
        f'number = {who.number}\nclass_word = "{who.class_word}"\nseason = "{who.season}"\n'
    )
    fresh = path.with_name(path.name + ".part")
    fresh.write_text(text, encoding="utf-8", newline="\n")
    fresh.replace(path)


def checked_pupil(number: object, class_word: object = "", season: object = "") -> Pupil:
    """Make a pupil from what was typed, or say what to mend.

    Parameters
    ----------
    number : int or str
        0 to 9999 [-].
    class_word : str
        At most 40 characters, without quotes and line ends [-].
    season : str
        Such as "2026-27", or empty [-].

    Returns
    -------
    Pupil
        The pupil [-].

    Raises
    ------
    ValueError
        When one of them is not allowed, with the likely slip.
    """
    for name, word in (("class word", class_word), ("season", season)):
        if not isinstance(word, str) or not _fits_in_quotes(word):
            raise ValueError(
                f"the {name} {str(word)[:60]!r} cannot be used. Allowed: up to {LONGEST_WORD} "
                "letters, figures and spaces, in quotes in the file, with no quotes inside."
            )
    return Pupil(_checked_number(number), str(class_word), str(season))


def work_folder(start: Path | None = None) -> Path | None:
    """Find the work folder around a place.

    Parameters
    ----------
    start : pathlib.Path or None
        Folder to look upward from, None for the current one [-].

    Returns
    -------
    pathlib.Path or None
        The nearest folder with a pupil file or a manifest, None when there is none [-].
    """
    return _upward(start, (PUPIL_FILE, MANIFEST_FILE))


def attempts_path() -> Path | None:
    """Say where attempts are logged.

    Returns
    -------
    pathlib.Path or None
        `logs/attempts.jsonl` in the work folder; None while marking or outside one [-].
    """
    folder = None if marking() else work_folder()
    return None if folder is None else folder / LOG_FOLDER / "attempts.jsonl"


def package_folder() -> Path:
    """Find the package itself.

    Returns
    -------
    pathlib.Path
        The folder that holds this module [-].
    """
    return _PACKAGE


def set_aside(path: Path) -> Path:
    """Rename a damaged file, so that nothing of it is lost and a new one can take its place.

    Parameters
    ----------
    path : pathlib.Path
        The file [-].

    Returns
    -------
    pathlib.Path
        Where it lies now, beside its old place [-].
    """
    number = 1
    while (aside := path.with_name(f"{path.stem}.damaged-{number}{path.suffix}")).exists():
        number += 1
    return path.rename(aside)


def checkout() -> Path | None:
    """Find the project's own folder when the package runs from it.

    Returns
    -------
    pathlib.Path or None
        The folder above the package, None when the package is installed [-].
    """
    above = _PACKAGE.parent
    return above if (above / "pyproject.toml").is_file() else None


def course_folder() -> Path:
    """Find the lessons as released.

    Returns
    -------
    pathlib.Path
        The checkout's folder when there is one, else the one inside the package [-].
    """
    return _released("course")


def demo_folder() -> Path:
    """Find the invented demo data.

    Returns
    -------
    pathlib.Path
        The checkout's folder when there is one, else the one inside the package [-].
    """
    return _released("datasets_demo")


def demo_aeroplanes() -> dict[str, Path]:
    """Find the files of the demo aeroplanes.

    Returns
    -------
    dict of str to pathlib.Path
        By name, in order [-].
    """
    return {path.stem: path for path in sorted((demo_folder() / "aeroplanes").glob("*.toml"))}


def programs() -> str:
    """Say where to look for programs: beside Python first, as nbgrader calls alembic by name.

    Returns
    -------
    str
        For PATH [-].
    """
    return os.pathsep.join([str(Path(sys.executable).parent), os.environ.get("PATH", os.defpath)])


def season(today: datetime.date | None = None) -> str:
    """Name the season a day belongs to; it turns on the first of August.

    Parameters
    ----------
    today : datetime.date or None
        The day, None for today [-].

    Returns
    -------
    str
        Such as "2026-27" [-].

    Examples
    --------
    >>> season(datetime.date(2026, 8, 1)), season(datetime.date(2027, 7, 31))
    ('2026-27', '2026-27')
    """
    day = today or datetime.date.today()
    first = day.year if day.month >= SEASON_STARTS_IN_MONTH else day.year - 1
    return f"{first}-{(first + 1) % 100:02d}"


def default_work_folder(today: datetime.date | None = None) -> Path:
    """Say where a pupil's work lies unless told otherwise.

    Parameters
    ----------
    today : datetime.date or None
        The day, None for today [-].

    Returns
    -------
    pathlib.Path
        A folder under the user's home, one for each season [-].
    """
    return Path.home() / f"trimkit-{season(today)}"


def instructor_folder(given: str | Path | None = None) -> Path:
    """Find the instructor's folder, which no pupil has.

    Parameters
    ----------
    given : str, pathlib.Path or None
        What the instructor typed, None for the checkout's [-].

    Returns
    -------
    pathlib.Path
        A folder that holds `source` and `marking` [-].

    Raises
    ------
    FileNotFoundError
        When there is none, with where it was looked for.
    """
    root = checkout()
    if given is None and root is None:
        raise FileNotFoundError(
            "the instructor's folder is not part of an installed trimkit. "
            "Say where it is: --instructor PATH"
        )
    folder = Path(given) if given is not None else Path(root or "") / "instructor"
    missing = [name for name in ("source", "marking") if not (folder / name).is_dir()]
    if missing:
        raise FileNotFoundError(
            f"{folder} is not an instructor's folder: no {' and no '.join(missing)} in it. "
            "Give the folder that holds both: --instructor PATH"
        )
    return folder.resolve()


def _released(name: str) -> Path:
    root = checkout()
    folders = [root / name] if root else []
    folders.append(_PACKAGE / "released" / name)
    for folder in folders:
        if folder.is_dir():
            return folder
    looked = " and ".join(str(folder) for folder in folders)
    raise FileNotFoundError(f"there is no folder {name}; looked for {looked}. Install again.")


def _upward(start: Path | None, names: tuple[str, ...]) -> Path | None:
    here = Path.cwd() if start is None else Path(start).resolve()
    for folder in (here, *here.parents):
        if any((folder / name).is_file() for name in names):
            return folder
    return None


def _checked_number(number: object) -> int:
    try:
        if isinstance(number, bool) or not isinstance(number, int | str):
            raise ValueError
        value = int(number)
        if not 0 <= value <= LARGEST_NUMBER:
            raise ValueError
    except ValueError:
        raise ValueError(
            f"the pupil number {str(number)[:60]!r} cannot be used. Allowed: a whole number "
            f"from 0 (a visitor) to {LARGEST_NUMBER}. A name does not belong here."
        ) from None
    return value


def _fits_in_quotes(word: str) -> bool:
    return len(word) <= LONGEST_WORD and word.isprintable() and not set(word) & {'"', "\\"}


def _say_once(text: str) -> None:
    if text not in _already_said:
        _already_said.add(text)
        print(text)
