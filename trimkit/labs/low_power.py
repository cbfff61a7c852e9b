"""The lab of the first flights: shim, wing and nose ballast, and the steady glide they make."""

from __future__ import annotations

from trimkit import balance, figures, trim
from trimkit.aeroplane import Aeroplane, Setting, replace
from trimkit.labs.bench import (
    LAB_DPI,
    Lab,
    Read,
    Reading,
    Slider,
    Values,
    open_lab,
    setting_slider,
    show,
)
from trimkit.trim import Trim
from trimkit.units import quantities

TITLE = "Shim, wing and nose ballast"
SHIM_MOVE_MM, WING_MOVE_MM = 2.5, 30.0  # either way from the design setting
LARGEST_NOSE_BALLAST_G = 1.5
NOSE_STATION_MM = 0.0


def low_power(aeroplane: Aeroplane) -> None:
    """Open the lab: change shim, wing place and nose ballast, and see the steady glide.

    Parameters
    ----------
    aeroplane : Aeroplane
        Any aeroplane; its setting is the design setting [-].
    """
    open_lab(TITLE, lambda: (_sliders(aeroplane), _reader(aeroplane)))


def lab(aeroplane: Aeroplane) -> Lab:
    """Make the lab without showing it.

    Parameters
    ----------
    aeroplane : Aeroplane
        Any aeroplane [-].

    Returns
    -------
    Lab
        The lab; its `form` can be put into other widgets [-].
    """
    return Lab(TITLE, _sliders(aeroplane), _reader(aeroplane))


def compare_settings(
    before: Aeroplane, after: Aeroplane, names: tuple[str, str] = ("before", "after")
) -> None:
    """Show two steady glides in one picture, and say what was changed between them.

    Parameters
    ----------
    before, after : Aeroplane
        The same aeroplane with two settings, or two aeroplanes [-].
    names : (str, str)
        What the picture calls the two [-].
    """
    flown = [trim.glide(before), trim.glide(after)]
    picture = figures.glide_path(flown, names)
    show(figures.Picture(picture.figure, f"{changes(before, after)} {picture.text}"))


def changes(before: Aeroplane, after: Aeroplane) -> str:
    """Say in words which settings differ.

    Parameters
    ----------
    before, after : Aeroplane
        Two settings [-].

    Returns
    -------
    str
        One sentence [-].
    """
    old, new = before.setting, after.setting
    measured = quantities(Setting)
    found = [
        f"{_named(name)} from {_with_unit(getattr(old, name), name)} to "
        f"{_with_unit(getattr(new, name), name)}"
        for name in measured
        if getattr(old, name) != getattr(new, name)
    ]
    found += [name for name in ("motor", "propeller") if getattr(old, name) != getattr(new, name)]
    if before.build != after.build:
        found.append("the aeroplane itself")
    return f"Changed: {'; '.join(found)}." if found else "Nothing was changed."


def _named(name: str) -> str:
    return quantities(Setting)[name].meaning.partition(",")[0].lower()


def _with_unit(value: float, name: str) -> str:
    unit = quantities(Setting)[name].unit
    return f"{value:g}{'' if unit in ('', '°') else ' '}{unit}".replace("-", "−")


def _sliders(aeroplane: Aeroplane) -> list[Slider]:
    return [
        setting_slider(
            aeroplane, "shim_mm", SHIM_MOVE_MM, 0.1, "Shim, + lifts tail",
            "More lifts the tail's trailing edge: more decalage, nose up.",
        ),
        setting_slider(
            aeroplane, "wing_station_mm", WING_MOVE_MM, 0.5, "Wing behind bearing",
            "Leading edge behind the propeller bearing. Less slides it forward: nose up.",
        ),
        Slider(
            name="nose_ballast_g",
            label="Ballast at the nose",
            unit="g",
            low=0.0,
            high=_most_ballast_g(aeroplane),
            step=0.05,
            start=0.0,
            meaning="More makes the nose heavy.",
        ),
    ]  # fmt: skip


def _most_ballast_g(aeroplane: Aeroplane) -> float:
    left = quantities(Setting)["ballast_g"].high - aeroplane.setting.ballast_g
    return max(min(LARGEST_NOSE_BALLAST_G, left), 0.1)


def as_set(aeroplane: Aeroplane, values: Values) -> Aeroplane:
    """Put the lab's values on the aeroplane; nose ballast comes on top of what is there.

    Parameters
    ----------
    aeroplane : Aeroplane
        At its design setting [-].
    values : mapping
        shim_mm, wing_station_mm and nose_ballast_g [mm, mm, g].

    Returns
    -------
    Aeroplane
        The changed copy [-].
    """
    setting, added = aeroplane.setting, values["nose_ballast_g"]
    ballast = [(setting.ballast_g, setting.ballast_station_mm), (added, NOSE_STATION_MM)]
    changed = replace(
        aeroplane, shim_mm=values["shim_mm"], wing_station_mm=values["wing_station_mm"]
    )
    if not added:
        return changed
    both = balance.centre_of_gravity_mm(ballast)
    return replace(changed, ballast_g=both.mass_g, ballast_station_mm=both.station_mm)


def _reader(aeroplane: Aeroplane) -> Read:
    stage = figures.glide_stage(trim.glide(aeroplane), LAB_DPI)

    def read(values: Values) -> Reading:
        changed = as_set(aeroplane, values)
        flown = trim.glide(changed)
        return Reading(stage(flown), _words(changed, flown))

    return read


def _words(aeroplane: Aeroplane, flown: Trim) -> str:
    return (
        f"{flown.words()}\nDecalage {figures.signed(flown.decalage_deg)}°. Balance point "
        f"{balance.balance_point_mm(aeroplane):.0f} mm behind the wing's leading edge."
        f"{_landing(flown)}"
    )


def _landing(flown: Trim) -> str:
    if not flown.found:
        return ""
    return (
        f" From a hand 1.8 m up it lands {figures.landing_m(flown):.1f} m away after "
        f"{figures.time_down_s(flown):.1f} s."
    )
