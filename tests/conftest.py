"""What tests share: a small course, and no traces in the user's home or environment."""

from __future__ import annotations

from pathlib import Path

import pytest

from trimkit import places


@pytest.fixture(autouse=True)
def at_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody's environment or already-said words change a test."""
    for name in ("TRIMKIT_MARKING", "TRIMKIT_PUPIL", "TRIMKIT_CLASS_WORD"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(places, "_already_said", set())


@pytest.fixture
def small_course(tmp_path: Path) -> Path:
    """Make a course of two lessons outside the project."""
    course = tmp_path / "course"
    for name in ("02-angles/angles.ipynb", "04-low-power/low-power.ipynb"):
        path = course / name
        path.parent.mkdir(parents=True)
        path.write_text(f"first edition of {name}", encoding="utf-8")
    return course
