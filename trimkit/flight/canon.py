"""A dozen short flights that tell whether the physics is still the same.

Whatever was computed at length and stored (a library of flights, a study) keeps the figures of
these flights with it. Stored work is fresh as long as the figures agree: that is what matters,
not whether a line of the source changed.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from trimkit import files, places
from trimkit.aeroplane import Aeroplane, replace
from trimkit.flight.hall import Hall
from trimkit.flight.launch import Launch
from trimkit.flight.many import Job, fly_many
from trimkit.flight.record import Flight
from trimkit.units import Floats

SECONDS = 5.0
SHARES = (0.35, 0.7)  # of the most turns
TOLERANCE = 0.01  # of a metre, a metre a second, a turn over ten: other machines round otherwise
NAMES = ("hallfinch-46", "longreed-42", "stubwren-33")


def demo_aeroplanes() -> tuple[Aeroplane, ...]:
    """Load the invented aeroplanes that the canon flies.

    Returns
    -------
    tuple of Aeroplane
        In the order of `NAMES` [-].
    """
    demo = places.demo_aeroplanes()
    return tuple(files.load_aeroplane(demo[name]) for name in NAMES)


def jobs() -> Iterator[Job]:
    """List the flights of the canon.

    Yields
    ------
    Job
        Four for each aeroplane: little power, much power, a glide, an upset [-].
    """
    for plane in demo_aeroplanes():
        most = plane.setting.motor.max_turns()
        little, much = (Launch(turns=round(share * most)) for share in SHARES)
        yield Job(aeroplane=plane, launch=little, longest_s=SECONDS)
        yield Job(aeroplane=plane, launch=much, longest_s=SECONDS)
        yield Job(aeroplane=plane, launch=little, longest_s=SECONDS, propeller=False)
        upset = replace(plane, fin_deg=plane.setting.fin_deg - 2.0, shim_mm=0.6)
        loose = Launch(turns=little.turns, pitch_deg=12.0, bank_deg=15.0)
        yield Job(aeroplane=upset, launch=loose, hall=Hall(temperature_c=12.0), longest_s=SECONDS)


def figures() -> Floats:
    """Fly the canon.

    Returns
    -------
    numpy.ndarray
        Rows of north, east, down [m], speed [m/s] and turns left over ten [-] at the end,
        rounded to a thousandth.
    """
    flights = [flight for flight in fly_many(jobs()) if isinstance(flight, Flight)]
    rows = [
        [*flight.position_m[-1], flight.speed_m_s[-1], flight.turns_at_landing / 10]
        for flight in flights
    ]
    return np.asarray(np.round(np.array(rows, dtype=np.float64), 3), dtype=np.float64)


def agree(stored: Floats) -> bool:
    """Say whether stored figures are still those of the physics.

    Parameters
    ----------
    stored : numpy.ndarray
        From `figures`, at another time or on another machine [as there].

    Returns
    -------
    bool
        True within `TOLERANCE` [-].
    """
    now = figures()
    return now.shape == np.shape(stored) and bool(np.all(np.abs(now - stored) <= TOLERANCE))
