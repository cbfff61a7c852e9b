"""The sheet of readings as a file: kept after every answer, and gone on with later."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from trimkit.files import parsed, text_of, write_whole
from trimkit.measurement.answers import checked
from trimkit.measurement.questions import BY_NAME, NAMES, Answer, Sheet

FORMAT = "trimkit measuring sheet 1"
LARGEST_SHEET = 100_000  # bytes


def sheet_path(aeroplane_path: Path) -> Path:
    """Name the sheet that lies beside an aeroplane's file.

    Parameters
    ----------
    aeroplane_path : pathlib.Path
        Where the aeroplane goes [-].

    Returns
    -------
    pathlib.Path
        Such as own.sheet.toml beside own.toml [-].
    """
    return aeroplane_path.with_name(f"{aeroplane_path.stem}.sheet.toml")


def save_sheet(sheet: Sheet, path: Path, errors: Mapping[str, float] | None = None) -> None:
    """Keep a sheet with the reading error of each reading; the file is whole or as it was.

    Parameters
    ----------
    sheet : mapping of str to float, str or None
        Answers by name; None was skipped [in the unit of each name].
    path : pathlib.Path
        Where to [-].
    errors : mapping of str to float or None
        Reading errors that differ from those of the questions [in the unit of each name].
    """
    import tomlkit

    document = tomlkit.document()
    document.add(tomlkit.comment("What was read of one aeroplane. Go on with: trimkit measure"))
    document["format"] = FORMAT
    document["skipped"] = [name for name, value in sheet.items() if value is None]
    readings, read_to = tomlkit.table(), tomlkit.table()
    for name, value in sheet.items():
        if value is not None:
            readings[name] = value
            if BY_NAME[name].error:
                share = float(value) if name == "torque_mNm" else 1.0
                read_to[name] = (errors or {}).get(name, round(BY_NAME[name].error * share, 4))
    document["readings"], document["errors"] = readings, read_to
    write_whole(path, tomlkit.dumps(document).encode("utf-8"))


def load_sheet(path: Path) -> tuple[dict[str, Answer | None], dict[str, float]]:
    """Read a sheet that was kept.

    Parameters
    ----------
    path : pathlib.Path
        The sheet [-].

    Returns
    -------
    (dict, dict)
        Answers by name in the order of the questions, None for one skipped, and the reading
        errors that stand in the file [in the unit of each name].

    Raises
    ------
    ValueError
        When it is no sheet, or an answer in it cannot be used; every such answer is named.
    """
    content = _toml_of(path)
    readings, errors = content.get("readings", {}), content.get("errors", {})
    skipped = content.get("skipped", [])
    listed = isinstance(skipped, list) and all(isinstance(name, str) for name in skipped)
    if not (isinstance(readings, dict) and isinstance(errors, dict) and listed):
        raise ValueError(f"{path.name}: readings and errors are tables, skipped is a list of names")
    problems: list[str] = []
    answers = {name: _kept(name, readings, skipped, problems) for name in NAMES}
    for name in [*readings, *errors, *skipped]:
        if name not in BY_NAME:
            problems.append(f"- {str(name)[:40]!r} is no question")
    for name, error in errors.items():
        if isinstance(error, bool) or not isinstance(error, int | float) or not 0 <= error <= 50:
            problems.append(f"- errors.{str(name)[:40]} is {error!r}; allowed is 0 to 50")
    if problems:
        raise ValueError(f"{path.name} has {len(problems)} to mend:\n" + "\n".join(problems))
    known = {name: answers[name] for name in NAMES if name in readings or name in skipped}
    return known, {name: float(error) for name, error in errors.items()}


def _kept(
    name: str, readings: Mapping[str, Any], skipped: list[Any], problems: list[str]
) -> Answer | None:
    if name not in readings or name in skipped:
        return None
    try:
        return checked({name: readings[name]})[name]
    except (ValueError, TypeError) as error:
        problems.append(f"- {name}: {error}")
        return None


def _toml_of(path: Path) -> dict[str, Any]:
    content = parsed(text_of(path, LARGEST_SHEET), path.name)
    if content.get("format") != FORMAT:
        given = str(content.get("format"))[:40]
        raise ValueError(f'{path.name}: format is "{given}"; allowed is "{FORMAT}"')
    return content
