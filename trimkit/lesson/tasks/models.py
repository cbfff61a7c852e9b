"""The invented aeroplanes that the lessons fly."""

from __future__ import annotations

from functools import lru_cache

from trimkit import places
from trimkit.aeroplane import Aeroplane
from trimkit.files import load_aeroplane


@lru_cache(maxsize=1)
def trainer() -> Aeroplane:
    """Return the docile trainer at its design setting.

    Returns
    -------
    Aeroplane
        Invented, from the demo folder [-].
    """
    return load_aeroplane(places.demo_folder() / "aeroplanes" / "gymfinch-46.toml")


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
