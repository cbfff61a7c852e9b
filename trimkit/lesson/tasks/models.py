"""The invented aeroplanes that the lessons fly."""

from __future__ import annotations

import dataclasses
from functools import lru_cache

from trimkit import places
from trimkit.aeroplane import Aeroplane
from trimkit.files import load_aeroplane

GLIDE_DECALAGE_DEG = 0.75  # puts the trainer in the middle of its good band

# Just outside the trainer's good band: changes of its setting with which the glide surely dives
# or stalls. From `trim.glide`, .1 mm of shim and 1 to 2 mm of wing beyond the edge; a test looks.
SHIM_DIVES_MM, SHIM_STALLS_MM = -1.1, 1.2
WING_DIVES_MM, WING_STALLS_MM = 19, -12  # the wing's station, + aft


@lru_cache(maxsize=1)
def trainer() -> Aeroplane:
    """Return the docile trainer with its tail set for the hand glide.

    The file's own tail is set for powered circles: the propeller's stream on the tail and the
    circle push the nose down, and more decalage makes up for it. The lessons glide without
    power and with the wings level, so they take that part away.

    Returns
    -------
    Aeroplane
        Invented, from the demo folder; no shim [-].
    """
    powered = load_aeroplane(places.demo_aeroplanes()["hallfinch-46"])
    build = powered.build
    tail_deg = build.wing.incidence_deg - GLIDE_DECALAGE_DEG
    tail = dataclasses.replace(build.tail, incidence_deg=tail_deg)
    return dataclasses.replace(powered, build=dataclasses.replace(build, tail=tail))


def boom_end_mm(aeroplane: Aeroplane) -> int:
    """Return how far the boom's tail end lies behind the socket it tilts in.

    The socket is taken to end at the rear hook, the boom at the tailplane's trailing edge.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane [-].

    Returns
    -------
    int
        The long lever, to a whole millimetre [mm].
    """
    tail = aeroplane.build.tail
    return round(tail.station_mm + tail.chord_mm - aeroplane.build.stick.hook_station_mm)
