"""The lessons as written, for the tests in this folder."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

SOURCE = Path(__file__).parents[2] / "instructor" / "source"


def lesson_cells(folder: str) -> list[dict[str, Any]]:
    """Read the cells of a lesson's notebook."""
    book = next((SOURCE / folder).glob("*.ipynb"))
    return list(json.loads(book.read_text(encoding="utf-8"))["cells"])


def lesson_text(folder: str) -> str:
    """Read everything that stands in a lesson's cells."""
    return "\n".join("".join(cell["source"]) for cell in lesson_cells(folder))
