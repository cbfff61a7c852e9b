"""Aeroplanes for the flight tests: the demo ones, made straight, and mirrored."""

from __future__ import annotations

import dataclasses

from trimkit import load_aeroplane, places
from trimkit.aeroplane import Aeroplane, replace

NAMES = ("hallfinch-46", "longreed-42", "stubwren-33")


def demo(name: str) -> Aeroplane:
    return load_aeroplane(places.demo_folder() / "aeroplanes" / f"{name}.toml")


def straight(aeroplane: Aeroplane) -> Aeroplane:
    """Take everything away that asks for a circle."""
    return replace(
        aeroplane,
        wing_offset_mm=0.0,
        left_wash_in_deg=0.0,
        right_wash_in_deg=0.0,
        fin_deg=0.0,
        tail_tilt_deg=0.0,
        side_thrust_deg=0.0,
    )


def mirrored(aeroplane: Aeroplane) -> Aeroplane:
    """Swap left and right, the propeller's hand included."""
    build, setting = aeroplane.build, aeroplane.setting
    propeller = dataclasses.replace(
        setting.propeller, hand="left" if setting.propeller.hand == "right" else "right"
    )
    wing = dataclasses.replace(
        build.wing,
        left_warp_deg=build.wing.right_warp_deg,
        right_warp_deg=build.wing.left_warp_deg,
        skew_deg=-build.wing.skew_deg,
    )
    fin = dataclasses.replace(build.fin, warp_deg=-build.fin.warp_deg)
    made = dataclasses.replace(aeroplane, build=dataclasses.replace(build, wing=wing, fin=fin))
    return replace(
        made,
        propeller=propeller,
        wing_offset_mm=-setting.wing_offset_mm,
        left_wash_in_deg=setting.right_wash_in_deg,
        right_wash_in_deg=setting.left_wash_in_deg,
        fin_deg=-setting.fin_deg,
        tail_tilt_deg=-setting.tail_tilt_deg,
        side_thrust_deg=-setting.side_thrust_deg,
    )
