"""What the demo folder's README says of the formats is what the readers take."""

from __future__ import annotations

import re

from trimkit import fit, places
from trimkit.fit.readings import WAYS
from trimkit.fit.unknowns import NAMES
from trimkit.rules.card import MOTOR_QUANTITIES

README = (places.demo_folder() / "README.md").read_text("utf-8")


def table(title: str) -> dict[str, tuple[str, str]]:
    part = README.split(f"## {title}\n")[1].split("\n## ")[0]
    rows = re.findall(r"^\| `(\w+)` \| (.+?) \| (.+?) \|$", part, re.M)
    return {name: (allowed, meaning) for name, allowed, meaning in rows}


def test_torque_readings() -> None:
    told = table("A table of torque readings")
    ways = " or ".join(WAYS)
    known = {
        one.name: (ways if one.name == "way" else one.allowed, one.meaning)
        for one in fit.READING_COLUMNS
    }
    assert told == known


def test_motors() -> None:
    known = {
        name: (f"{one.low:g} to {one.high:g} {one.unit}".strip(), one.meaning)
        for name, one in MOTOR_QUANTITIES.items()
    }
    assert table("A list of motors") == known


def test_the_file_of_a_fit_names_its_five_figures() -> None:
    part = README.split("## The file of a fit\n")[1]
    assert all(f"`{name}`" in part for name in NAMES)
