"""The table of confusions of the blind study, as a picture: run by hand.

`python -m tests.studies.confusion FILE.png` draws what was said after five actions (across) for
each true fault (down). A count stands in each square, so that the shade is not needed.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from tests.studies.blind_study import RESULT, WORLDS
from trimkit.diagnosis.causes import NOTHING
from trimkit.units import Floats

INCHES = 15.0


def table(world: Mapping[str, Any]) -> tuple[list[str], Floats]:
    """Names, "nothing" last, and counts: (true, said)."""
    confused = world["confused"]
    said = {name for row in confused.values() for name in row}
    names = [*sorted((said | set(confused)) - {NOTHING}), NOTHING]
    counts = np.zeros((len(names), len(names)))
    for true, row in confused.items():
        for name, count in row.items():
            counts[names.index(true), names.index(name)] = count
    return names, counts


def draw(world: Mapping[str, Any], path: Path) -> Floats:
    """Write the picture, and give back its counts."""
    names, counts = table(world)
    figure = Figure(figsize=(INCHES, INCHES), layout="constrained")
    FigureCanvasAgg(figure)
    axes = figure.add_subplot()
    axes.imshow(np.sqrt(counts), cmap="Greys")
    axes.set_xticks(range(len(names)), names, rotation=90)
    axes.set_yticks(range(len(names)), names)
    axes.set_xlabel("said after five actions")
    axes.set_ylabel("true fault")
    for row, column in np.argwhere(counts > 0):
        ink = "white" if counts[row, column] > counts.max() / 3 else "black"
        axes.text(column, row, f"{counts[row, column]:.0f}", ha="center", va="center", color=ink)
    figure.savefig(path, dpi=80)
    return counts


if __name__ == "__main__":
    kept = json.loads(RESULT.read_text("utf-8"))
    draw(kept[WORLDS[False]], Path(sys.argv[1]))
