"""What a coach has on the desk: for each lesson who handed it in and who is marked."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from trimkit.jupyter import exchange, standing
from trimkit.jupyter.worker import DOWNLOADS

REPORT = "marking/report/report.html"


def as_data(root: Path) -> dict[str, Any]:
    """Tell it as plain data.

    Parameters
    ----------
    root : pathlib.Path
        The course folder [-].

    Returns
    -------
    dict
        Lessons with their counts, whether they wait to be handed out through nbgrader's exchange,
        and the report when there is one [-].
    """
    to = exchange.at_desk(root)
    return {
        "lessons": [
            {
                "id": page.id,
                "folder": page.folder,
                "title": page.title,
                "notebook": f"instructor/source/{page.notebook}",
                "plan": standing.there(root, f"instructor/plans/{page.id}.md"),
                "card": standing.there(root, f"course/{page.card}"),
                "handed_in": _count(root / "marking" / "submitted", page.folder),
                "marked": _count(root / "marking" / "autograded", page.folder),
                "to_hand_out": to is not None and not to.has(page.folder),
            }
            for page in standing.pages(root / "course")
        ],
        "downloads": DOWNLOADS,
        "exchange": to is not None,
        "report": standing.there(root, REPORT),
        "notes": [],
    }


def _count(folder: Path, lesson: str) -> int:
    return sum(any(found.iterdir()) for found in folder.glob(f"*/{lesson}") if found.is_dir())
