"""What a student may change between two flights, and by how much at a time.

A fault is what is wrong with the aeroplane (`faults`); a setting is what a hand may move. The
two are kept apart on purpose: the same flight may come from either.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from trimkit import aeroplane as records
from trimkit.aeroplane import Aeroplane, Setting
from trimkit.units import quantities

Effect = Literal["pitch", "circle", "power"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Adjustment:
    """One thing a hand may move between two flights.

    Parameters
    ----------
    name : str
        Field of `Setting`, or "turns" [-].
    title : str
        What the bench calls it [-].
    unit : str
        Of a change [-].
    step : float
        A small change that is worth a flight; common practice, no source [in that unit].
    usual : float
        The most that one change should be; common practice, no source [in that unit].
    more, less : str
        What a change up and a change down is, for a hand [-].
    does : str
        What a change up asks of the flight [-].
    acts_on : str
        "pitch", "circle" or "power" [-].
    minutes : float
        Time that the change takes at the bench; common practice, no source [min].
    caution : str
        What to mind, "" for nothing [-].
    """

    name: str
    title: str
    unit: str
    step: float
    usual: float
    more: str
    less: str
    does: str
    acts_on: Effect
    minutes: float
    caution: str = ""


_ALL = (
    Adjustment(
        name="shim_mm",
        title="tail shim",
        unit="mm",
        step=0.4,
        usual=1.6,
        more="lift the tail's trailing edge",
        less="lower the tail's trailing edge",
        does="more decalage: the nose comes up",
        acts_on="pitch",
        minutes=3,
    ),
    Adjustment(
        name="wing_station_mm",
        title="wing position",
        unit="mm",
        step=5,
        usual=12,
        more="slide the wing back",
        less="slide the wing forward",
        does="the balance moves forward on the wing: the nose goes down",
        acts_on="pitch",
        minutes=3,
    ),
    Adjustment(
        name="left_wash_in_deg",
        title="left panel's twist",
        unit="°",
        step=0.5,
        usual=2,
        more="left tip's trailing edge down",
        less="left tip's trailing edge up",
        does="lifts the left wing: the left circle opens",
        acts_on="circle",
        minutes=6,
        caution="Breath or steam near a heater is for an adult.",
    ),
    Adjustment(
        name="right_wash_in_deg",
        title="right panel's twist",
        unit="°",
        step=0.5,
        usual=2,
        more="right tip's trailing edge down",
        less="right tip's trailing edge up",
        does="lifts the right wing: the left circle tightens",
        acts_on="circle",
        minutes=6,
        caution="Breath or steam near a heater is for an adult.",
    ),
    Adjustment(
        name="fin_deg",
        title="fin",
        unit="°",
        step=0.5,
        usual=1,
        more="fin's trailing edge to the left",
        less="fin's trailing edge to the right",
        does="a tighter left circle, at every power",
        acts_on="circle",
        minutes=2,
    ),
    Adjustment(
        name="tail_tilt_deg",
        title="tail tilt",
        unit="°",
        step=1,
        usual=4,
        more="left tail tip up",
        less="right tail tip up",
        does="a tighter left circle, when the tail lifts",
        acts_on="circle",
        minutes=3,
    ),
    Adjustment(
        name="side_thrust_deg",
        title="side thrust",
        unit="°",
        step=0.5,
        usual=2,
        more="thrust line to the left",
        less="thrust line to the right",
        does="a tighter left circle, most at high power",
        acts_on="circle",
        minutes=4,
        caution="Blades: take the rubber off first.",
    ),
    Adjustment(
        name="down_thrust_deg",
        title="down thrust",
        unit="°",
        step=0.5,
        usual=2,
        more="thrust line down",
        less="thrust line up",
        does="the nose comes down, most at high power",
        acts_on="pitch",
        minutes=4,
        caution="Blades: take the rubber off first.",
    ),
    Adjustment(
        name="wing_offset_mm",
        title="wing offset",
        unit="mm",
        step=3,
        usual=8,
        more="wing to the right",
        less="wing to the left",
        does="the right wing lifts more: the left circle tightens",
        acts_on="circle",
        minutes=4,
    ),
    Adjustment(
        name="ballast_g",
        title="ballast",
        unit="g",
        step=0.05,
        usual=0.3,
        more="add clay at the nose",
        less="take clay off the nose",
        does="the balance moves forward: the nose goes down",
        acts_on="pitch",
        minutes=2,
    ),
    Adjustment(
        name="turns",
        title="turns",
        unit="turns",
        step=100,
        usual=400,
        more="more turns",
        less="fewer turns",
        does="more torque: a stronger climb, and every power fault shows more",
        acts_on="power",
        minutes=2,
        caution="Eyes covered for all near the rubber. Wind it off the aeroplane.",
    ),
)
SETTINGS: Mapping[str, Adjustment] = MappingProxyType({each.name: each for each in _ALL})


@dataclass(frozen=True, slots=True)
class Change:
    """A change of one or more settings, as written in a log.

    Parameters
    ----------
    amounts : mapping of str to float
        By name of the setting, up or down [in the unit of each].
    """

    amounts: Mapping[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        unknown = [name for name in self.amounts if name not in SETTINGS]
        if unknown:
            raise ValueError(
                f"{', '.join(unknown)} is not a setting. Settings are: {', '.join(SETTINGS)}"
            )

    def words(self) -> str:
        """Say the change as a hand would do it [-]."""
        said = []
        for name, amount in self.amounts.items():
            known = SETTINGS[name]
            said.append(
                f"{known.more if amount > 0 else known.less} by {abs(amount):g} {known.unit}"
            )
        return "; ".join(said) or "nothing changed"


def changed(aeroplane: Aeroplane, change: Change) -> Aeroplane:
    """Return the aeroplane with settings moved by the amounts of a change.

    Parameters
    ----------
    aeroplane : Aeroplane
        Before the change [-].
    change : Change
        Amounts, up or down; "turns" is left to the launch [-].

    Returns
    -------
    Aeroplane
        The changed copy [-].

    Raises
    ------
    ValueError
        When a setting would leave its range, with what is allowed.

    Examples
    --------
    >>> from trimkit import load_aeroplane
    >>> from trimkit.places import demo_folder
    >>> trainer = load_aeroplane(demo_folder() / "aeroplanes/hallfinch-46.toml")
    >>> changed(trainer, Change({"shim_mm": 0.8})).setting.shim_mm
    0.8
    """
    now = aeroplane.setting
    moved = {
        name: getattr(now, name) + amount
        for name, amount in change.amounts.items()
        if name != "turns"
    }
    limits = quantities(Setting)
    for name, value in moved.items():
        low, high = limits[name].low, limits[name].high
        if not low <= value <= high:
            raise ValueError(
                f"{SETTINGS[name].title} would be {value:g} {SETTINGS[name].unit}; allowed is "
                f"{low:g} to {high:g}; is the change in another unit?"
            )
    return records.replace(aeroplane, **moved)


def other_motor(aeroplane: Aeroplane, share: float) -> Aeroplane:
    """Fit a thicker or thinner loop of the same mass.

    Parameters
    ----------
    aeroplane : Aeroplane
        Before the change [-].
    share : float
        Section against the loop that is fitted, 1.1 for a tenth thicker [-].

    Returns
    -------
    Aeroplane
        With the other loop: thicker is shorter [-].

    Raises
    ------
    ValueError
        When the loop would leave what can be made.
    """
    fitted = aeroplane.setting.motor
    if not 0.3 <= share <= 3:
        raise ValueError(f"share is {share:g}; allowed is 0.3 to 3; is it in percent?")
    motor = dataclasses.replace(
        fitted, strip_width_mm=fitted.strip_width_mm * share, loop_mm=fitted.loop_mm / share
    )
    return records.replace(aeroplane, motor=motor)
