"""How often the intervals of a fit hold the truth: `python -m tests.studies.fit_study`.

Aeroplanes are drawn around the measured one, flown in restless air, written down with reading
error and fitted. A 90 % interval should hold the truth nine times in ten.
"""

from __future__ import annotations

import argparse
import json
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path
from typing import Any

from tests.studies import recovery
from trimkit.files import write_whole
from trimkit.flight import canon

RESULT = Path(__file__).with_name("fit_study.json")
NAME = "hallfinch-46"
AEROPLANES, MOTORS = 60, 400


def counted(rows: list[dict[str, bool]]) -> dict[str, dict[str, float]]:
    """Of how many, and the share that was held."""
    names = dict.fromkeys(name for row in rows for name in row)
    found: dict[str, dict[str, float]] = {}
    for name in names:
        told = [row[name] for row in rows if name in row]
        found[name] = {"of": len(told), "held": round(sum(told) / len(told), 4)}
    return found


def study(aeroplanes: int, motors: int, workers: int) -> dict[str, Any]:
    """Run it."""
    with ProcessPoolExecutor(workers) as pool:
        rows = list(pool.map(partial(recovery.recovered, NAME), range(aeroplanes)))
        loops = list(pool.map(recovery.motor_held, range(motors)))
    flown = [row for row in rows if "held" in row]
    return {
        "stated": 0.9,
        "canon": canon.figures().tolist(),
        "aeroplane": NAME,
        "refused": len(rows) - len(flown),
        "figures": counted([row["held"] for row in flown]),
        "motor": counted(loops),
        "rows": rows,
    }


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--aeroplanes", type=int, default=AEROPLANES)
    parser.add_argument("--motors", type=int, default=MOTORS)
    parser.add_argument("--workers", type=int, default=2)
    given = parser.parse_args()
    result = study(given.aeroplanes, given.motors, given.workers)
    write_whole(RESULT, (json.dumps(result, indent=1) + "\n").encode("utf-8"))
    print(json.dumps({key: result[key] for key in ("refused", "figures", "motor")}, indent=1))
