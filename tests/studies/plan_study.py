"""How many true flights lie inside a plan's spread: `python -m tests.studies.plan_study`.

Aeroplanes are drawn around the measured one, flown, fitted, and planned from the fit. Then the
true aeroplane flies ten times with the plan's turns under a roof. Eight should lie inside. What
is done is written after each aeroplane, so a run may be stopped.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from tests.studies import recovery
from tests.studies.fit_study import NAME
from trimkit.files import write_whole
from trimkit.flight import canon

RESULT = Path(__file__).with_name("plan_study.json")
AEROPLANES = 24


def summed(rows: list[dict[str, Any]]) -> dict[str, Any]:
    """Shares over all true flights."""
    flown = [row for row in rows if "time" in row]
    count = recovery.TRUE_FLIGHTS * len(flown)
    return {
        "stated": 0.8,
        "aeroplane": NAME,
        "planned": len(flown),
        "flights": count,
        **{
            f"{what}_inside": round(sum(row[what] for row in flown) / count, 4)
            for what in ("time", "height")
        },
        "touched": round(sum(row["touched"] for row in flown) / count, 4),
        "touch_said": round(sum(row["touch_chance"] for row in flown) / len(flown), 4),
    }


if __name__ == "__main__":
    kept: list[dict[str, Any]] = []
    for seed in range(int(sys.argv[1]) if len(sys.argv) > 1 else AEROPLANES):
        kept.append(recovery.planned(NAME, seed))
        if any("time" in row for row in kept):
            told = {**summed(kept), "canon": canon.figures().tolist(), "rows": kept}
            write_whole(RESULT, (json.dumps(told, indent=1) + "\n").encode("utf-8"))
