"""Every derivation still runs, and still gives the constants in use."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

SCRIPTS = sorted((Path(__file__).parents[1] / "instructor" / "derivations").glob("*.py"))


def test_there_are_derivations() -> None:
    assert [path.stem for path in SCRIPTS] == ["motor", "section"]


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: path.stem)
def test_a_derivation_gives_the_constants_in_use(path: Path) -> None:
    done = subprocess.run([sys.executable, str(path)], capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    assert done.stdout.strip()
