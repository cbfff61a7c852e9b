"""The trade's facts on generated aeroplanes: run by hand, the result is kept beside it.

`python -m tests.studies.trade_study` flies every row of `tests/trade/rows.py` on two hundred
generated aeroplanes and writes `trade_study.json`. It takes more than an hour on two cores;
stopped with Ctrl-C it writes what it has, with the number of aeroplanes flown.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import suppress
from pathlib import Path

from tests.trade.rows import ROWS, flown
from trimkit import fleet
from trimkit.aeroplane import Aeroplane
from trimkit.flight import Flight, canon, fly_many
from trimkit.observe import watch

COUNT, SAMPLE = 200, 3
RESULT = Path(__file__).with_name("trade_study.json")


def held(aeroplane: Aeroplane) -> str:
    """One letter for each row: y held, n not, - could not be flown."""
    wanted = flown()
    flights = fly_many([each.job(aeroplane) for each in wanted], refused="keep")
    seen = {
        each: watch(flight)
        for each, flight in zip(wanted, flights, strict=True)
        if isinstance(flight, Flight)
    }
    letters = ""
    for row in ROWS:
        if any(each not in seen for each in row.flights.values()):
            letters += "-"
            continue
        found = {short: seen[each] for short, each in row.flights.items()}
        letters += "y" if row.holds(found) else "n"
    return letters


def main() -> None:
    with ProcessPoolExecutor() as cores:
        made = fleet.draw_many(COUNT, 0, executor=cores)
    print(f"{len(made.aeroplanes)} of {COUNT} plans could be trimmed", flush=True)
    letters: list[str] = []
    with suppress(KeyboardInterrupt):
        for number, aeroplane in enumerate(made.aeroplanes, 1):
            letters.append(held(aeroplane))
            print(number, letters[-1], flush=True)
    RESULT.write_text(json.dumps(summary(letters, len(made.rejected)), indent=1) + "\n", "utf-8")


def summary(letters: Sequence[str], rejected: int) -> dict[str, object]:
    """What is kept: the physics' figures, how many were flown, and each row's count."""
    return {
        "canon": canon.figures().tolist(),
        "plans": COUNT,
        "rejected": rejected,
        "flown": len(letters),
        "rows": {
            row.name: {
                "held": sum(one[place] == "y" for one in letters),
                "of": sum(one[place] != "-" for one in letters),
            }
            for place, row in enumerate(ROWS)
        },
        "sample": letters[:SAMPLE],
    }


if __name__ == "__main__":
    main()
