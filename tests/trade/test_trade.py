"""The trade's facts, flown on every demo aeroplane: common practice, no source.

No row is met by a rule written for it: the flights are computed, and watched as any other.
"""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from tests.flight.planes import NAMES, demo
from tests.trade.rows import ROWS, Flown, Row, flown
from trimkit.flight import Flight, fly_many
from trimkit.observe import Observation, watch

# rows that resist, by aeroplane and row, with what was measured
RESISTS: Mapping[tuple[str, str], str] = {
    ("hallfinch-46", "left-wash-out-late"): "2°: 26 to 23°/s late, as the base (28 to 25)",
    ("longreed-42", "two-shims"): "2.1, 3.0 and 8.7 s where the third is asked to be 3 x 3.0",
    ("longreed-42", "stall"): "1.4°: 104 s of 121, a swing of .5°: it tightens and comes down",
    ("longreed-42", "stall-only-with-power"): "+.5°: smooth at 1.25, and 155 s of 121 at 2.0",
    ("longreed-42", "down-thrust-cures-it"): "+.7° does not stall it: 157 s, then 156 s",
    ("longreed-42", "wing-forward"): "10 mm: nose 14° for 6°, 157 s of 121: it only gains",
    ("longreed-42", "left-wash-in"): "+1°: 149 s of 121, but the bank stays at 15°",
    ("longreed-42", "unbalanced-blades"): "8 g mm: shakes at 13.6°/s for 1.7, 129 s of 121",
    ("longreed-42", "soft-stick"): "7 s of 165 at 2.6, but already 22 s of 38 at 1.25",
    ("longreed-42", "right-panel-washed-in"): "3°: 22° of bank for 15°, but 142 s of 121",
    ("stubwren-33", "stall"): "1.4°: 50 s of 74, a swing of 5.5° where 8 is asked",
    ("stubwren-33", "stall-only-with-power"): "+.5°: smooth at 1.25, and 82 s of 74 at 2.0",
    ("stubwren-33", "down-thrust-cures-it"): "+.7° does not stall it: 83 s, then 83 s",
    ("stubwren-33", "loose-tail"): "loose: 34 s of 74 at 2.0, and 10 s of 24 at 1.25",
    ("stubwren-33", "right-panel-washed-in"): "3°: 33° of bank for 25°, but 75 s of 74",
    ("stubwren-33", "thrust-line-up"): "3°: 80 s of 74, nose 15.6° for 14.1°: no stall",
}


@pytest.fixture(scope="session", params=NAMES)
def seen(request: pytest.FixtureRequest) -> tuple[str, Mapping[Flown, Observation]]:
    aeroplane = demo(request.param)
    wanted = flown()
    flights = fly_many([each.job(aeroplane) for each in wanted])
    return request.param, {
        each: watch(flight)
        for each, flight in zip(wanted, flights, strict=True)
        if isinstance(flight, Flight)
    }


@pytest.mark.parametrize("row", ROWS, ids=[row.name for row in ROWS])
def test_a_fact_of_the_trade_is_seen(
    row: Row,
    seen: tuple[str, Mapping[Flown, Observation]],
    request: pytest.FixtureRequest,
) -> None:
    name, all_seen = seen
    if (name, row.name) in RESISTS:
        request.applymarker(pytest.mark.xfail(strict=True, reason=RESISTS[name, row.name]))
    found = {short: all_seen[each] for short, each in row.flights.items()}
    assert row.holds(found), f"{row.says}: " + "; ".join(
        f"{short}: {one.words()}" for short, one in found.items()
    )
