"""A log as a sheet that `trimkit diagnose` reads."""

from __future__ import annotations

from typing import Any

from trimkit.diagnosis.readings import FOUND_READING
from trimkit.log import Entry, Log


def as_sheet(log: Log) -> str:
    """Write a log as a sheet of an evening.

    Parameters
    ----------
    log : Log
        What was done; what was only said is left out [-].

    Returns
    -------
    str
        TOML with one `[[entry]]` for each action [-].
    """
    import tomlkit

    several = tomlkit.aot()
    for entry in log.entries:
        if entry.action != "say":
            several.append(tomlkit.item(_row(entry)))
    document = tomlkit.document()
    document["entry"] = several
    return tomlkit.dumps(document)


def _row(entry: Entry) -> dict[str, Any]:
    readings = dict(entry.result.readings)
    found = readings.pop(FOUND_READING, None)
    row: dict[str, Any] = {"action": entry.action, "date": entry.date}
    if entry.what:
        row["what"] = entry.what
    if entry.turns is not None:
        row["turns"] = entry.turns
    if found is not None:
        row[FOUND_READING] = entry.result.named or bool(found)
    return {**row, **entry.changes, **entry.result.features, **readings}
