"""The coach's report: one page, tables beside it, and the counts for the next one."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from trimkit.classroom.report import moved, page, tables
from trimkit.classroom.report.content import Report, gather
from trimkit.files import write_whole

__all__ = ["PAGE", "Report", "gather", "save"]

PAGE = "report.html"


def save(report: Report, folder: Path) -> tuple[Path, ...]:
    """Write a report into a folder; a file is replaced whole, or not at all.

    Parameters
    ----------
    report : Report
        The report [-].
    folder : pathlib.Path
        Where to; made when it is not there [-].

    Returns
    -------
    tuple of pathlib.Path
        What was written, the page first [-].
    """
    kept = moved.as_text(report.memory, report.now, report.talks)
    texts: Mapping[str, str] = {
        PAGE: page.write(report),
        **tables.write(report),
        moved.FILE: kept,
    }
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in texts.items():
        write_whole(folder / name, text.encode("utf-8"))
    return tuple(folder / name for name in texts)
