"""The aeroplane as a set of frozen records.

`Build` is the aeroplane as it was made: a fault changes it, a student cannot. `Setting` holds
what a student may change between flights. `Aeroplane(build, setting)` is both together.
`replace(aeroplane, shim_mm=0.8)` returns the changed copy: that is "change one thing".

Datum: stations in mm aft of the propeller bearing, heights in mm above the stick, y to the
right as seen from behind. A positive shim lifts the tailplane's trailing edge and so
increases the decalage. Positive fin, tail tilt and side thrust all ask for a left circle.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass, field
from typing import Any

from trimkit.motor import RubberMotor
from trimkit.propeller import Propeller
from trimkit.units import check_ranges, quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A piece of the aeroplane that has mass and stays where it was glued.

    Parameters
    ----------
    name : str
        What it is called on the bench [-].
    mass_g : float
        Mass [g].
    station_mm : float
        Station of its own balance point [mm].
    height_mm : float
        Height of its own balance point [mm].
    length_mm : float
        Length along the stick, for the moment of inertia [mm].
    """

    name: str
    mass_g: float = quantity("g", 0.001, 20, "Mass of the part")
    station_mm: float = quantity("mm", -60, 900, "Station of the part's own balance point")
    height_mm: float = quantity("mm", -150, 200, "Height of the part's own balance point", 0.0)
    length_mm: float = quantity("mm", 0, 900, "Length of the part along the stick", 0.0)

    def __post_init__(self) -> None:
        check_ranges(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wing:
    """A straight-tapered wing with V dihedral.

    Parameters
    ----------
    span_mm : float
        Span, tip to tip, projected [mm].
    root_chord_mm, tip_chord_mm : float
        Chord at the middle and at the tips [mm].
    dihedral_deg : float
        Dihedral of each panel [deg].
    incidence_deg : float
        Root chord line against the stick, + leading edge up [deg].
    camber_percent : float
        Height of the section's arc, in percent of the chord [-].
    height_mm : float
        Height of the root chord above the stick [mm].
    mass_g : float
        Mass with covering and posts [g].
    balance_percent : float
        Where the wing alone balances, percent of the root chord [-].
    left_warp_deg, right_warp_deg : float
        Twist at the tip that nobody asked for, + wash-in [deg].
    skew_deg : float
        Wing turned on its saddle, + right tip forward [deg].
    covering_quality : float
        1 for smooth whole covering, less for wrinkles and holes [-].
    saddle_slack : float
        0 for a firm saddle, 1 for one that rocks freely [-].
    left_covering_quality : float
        The left panel's covering against the rest of the wing's, 1 when they are alike [-].
    left_droop_deg : float
        The left panel hangs lower by so much than the right one: a cracked dihedral joint [deg].
    """

    span_mm: float = quantity("mm", 200, 700, "Wing span, tip to tip")
    root_chord_mm: float = quantity("mm", 40, 180, "Wing chord in the middle")
    tip_chord_mm: float = quantity("mm", 20, 180, "Wing chord at the tips")
    dihedral_deg: float = quantity("°", 0, 30, "Dihedral of each wing panel")
    incidence_deg: float = quantity("°", -5, 12, "Wing root chord against the stick, + nose up")
    camber_percent: float = quantity("%", 0, 8, "Height of the wing section's arc", 5.0)
    height_mm: float = quantity("mm", -30, 120, "Height of the wing root above the stick")
    mass_g: float = quantity("g", 0.1, 10, "Mass of the wing")
    balance_percent: float = quantity("%", 20, 70, "Where the wing alone balances", 45.0)
    left_warp_deg: float = quantity("°", -8, 8, "Unwanted twist of the left tip, + wash-in", 0.0)
    right_warp_deg: float = quantity("°", -8, 8, "Unwanted twist of the right tip, + wash-in", 0.0)
    skew_deg: float = quantity("°", -10, 10, "Wing turned on its saddle, + right tip forward", 0.0)
    covering_quality: float = quantity("", 0.7, 1, "1 for smooth and whole covering", 1.0)
    saddle_slack: float = quantity("", 0, 1, "0 for a firm saddle, 1 for a loose one", 0.0)
    left_covering_quality: float = quantity(
        "", 0.7, 1, "Left panel's covering against the rest", 1.0
    )
    left_droop_deg: float = quantity("°", 0, 30, "Left panel hangs lower than the other by", 0.0)

    def __post_init__(self) -> None:
        check_ranges(self)
        if self.tip_chord_mm > self.root_chord_mm:
            raise ValueError(
                f"Wing: tip_chord_mm is {self.tip_chord_mm:g}, more than root_chord_mm "
                f"{self.root_chord_mm:g}; are the two swapped?"
            )

    @property
    def area_mm2(self) -> float:
        """Projected area, both panels [mm²]."""
        return self.span_mm * (self.root_chord_mm + self.tip_chord_mm) / 2

    @property
    def aspect_ratio(self) -> float:
        """Span squared over area [-]."""
        return self.span_mm**2 / self.area_mm2

    @property
    def mean_chord_mm(self) -> float:
        """Mean aerodynamic chord of the straight taper [mm]."""
        root, tip = self.root_chord_mm, self.tip_chord_mm
        return 2 / 3 * (root + tip - root * tip / (root + tip))

    @property
    def panels_deg(self) -> tuple[float, float]:
        """How much the left and the right panel rise to their tips [deg]."""
        return self.dihedral_deg - self.left_droop_deg, self.dihedral_deg


@dataclass(frozen=True, slots=True, kw_only=True)
class Tail:
    """A rectangular tailplane at the end of the boom.

    Parameters
    ----------
    span_mm, chord_mm : float
        Span and chord [mm].
    station_mm : float
        Station of its leading edge [mm].
    height_mm : float
        Height of its chord above the stick [mm].
    incidence_deg : float
        Chord line against the stick with no shim, + leading edge up [deg].
    camber_percent : float
        Height of the section's arc, in percent of the chord [-].
    socket_mm : float
        Distance between the two points whose difference in height sets the tail's angle: the
        boom's socket length or the spacing of two posts. A shim goes under the far one [mm].
    mass_g : float
        Mass of the tailplane with covering [g].
    covering_quality : float
        1 for smooth whole covering, less for wrinkles and holes [-].
    joint_slack : float
        0 for a firm joint, 1 for one that flops [-].
    """

    span_mm: float = quantity("mm", 80, 400, "Tailplane span")
    chord_mm: float = quantity("mm", 30, 140, "Tailplane chord")
    station_mm: float = quantity("mm", 150, 850, "Station of the tailplane's leading edge")
    height_mm: float = quantity("mm", -60, 80, "Height of the tailplane above the stick", 0.0)
    incidence_deg: float = quantity("°", -12, 8, "Tailplane chord against the stick, no shim")
    camber_percent: float = quantity("%", 0, 8, "Height of the tailplane section's arc", 0.0)
    socket_mm: float = quantity("mm", 15, 150, "Length of the boom socket, or post spacing")
    mass_g: float = quantity("g", 0.05, 4, "Mass of the tailplane")
    covering_quality: float = quantity("", 0.7, 1, "1 for smooth and whole covering", 1.0)
    joint_slack: float = quantity("", 0, 1, "0 for a firm tail joint, 1 for a loose one", 0.0)

    def __post_init__(self) -> None:
        check_ranges(self)

    @property
    def area_mm2(self) -> float:
        """Area [mm²]."""
        return self.span_mm * self.chord_mm

    @property
    def aspect_ratio(self) -> float:
        """Span over chord [-]."""
        return self.span_mm / self.chord_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Fin:
    """An upright fin.

    Parameters
    ----------
    area_mm2 : float
        Area [mm²].
    span_mm : float
        Height from foot to top [mm].
    station_mm : float
        Station of its quarter chord [mm].
    height_mm : float
        Height of its middle above the stick [mm].
    warp_deg : float
        Bend that nobody asked for, + trailing edge left [deg].
    """

    area_mm2: float = quantity("mm²", 200, 12000, "Area of the fin")
    span_mm: float = quantity("mm", 15, 160, "Height of the fin from foot to top")
    station_mm: float = quantity("mm", 150, 850, "Station of the fin's quarter chord")
    height_mm: float = quantity("mm", -100, 120, "Height of the fin's middle above the stick")
    warp_deg: float = quantity("°", -10, 10, "Unwanted bend of the fin, + trailing edge left", 0.0)

    def __post_init__(self) -> None:
        check_ranges(self)

    @property
    def aspect_ratio(self) -> float:
        """Height squared over area [-]."""
        return self.span_mm**2 / self.area_mm2

    @property
    def chord_mm(self) -> float:
        """Mean chord [mm]."""
        return self.area_mm2 / self.span_mm

    @property
    def leading_edge_mm(self) -> float:
        """Station of its leading edge [mm]."""
        return self.station_mm - self.chord_mm / 4

    @property
    def trailing_edge_mm(self) -> float:
        """Station of its trailing edge [mm]."""
        return self.station_mm + 0.75 * self.chord_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Stick:
    """The motor stick that carries the rubber between bearing and rear hook.

    Parameters
    ----------
    hook_station_mm : float
        Station of the rear hook [mm].
    motor_height_mm : float
        Height of the rubber's line, below the stick is negative [mm].
    shaft_bend_deg : float
        Bend of the propeller shaft [deg].
    propeller_imbalance_g_mm : float
        Mass of the propeller times its balance point's distance from the shaft [g mm].
    propeller_track_mm : float
        The blades are out of track: their tips run in two discs so far apart [mm].
    bow_deg_mNm : float
        The wound motor bows the stick, middle up: by so much for each mN m of torque the thrust
        line goes down and the tail's leading edge up; assumed [deg/mN m].
    twist_deg_mNm : float
        The wound motor twists the stick: by so much the tail rolls for each mN m, right tip up
        with a right-hand propeller; assumed [deg/mN m].
    bearing_drag_mNm : float
        Torque that a hook or washer that binds takes, whatever the load [mN m].
    hub_grip_mNm : float
        Torque at which the propeller begins to slip on its shaft [mN m].
    drag_area_mm2 : float
        Drag of what nobody drew, such as fittings, gaps and wrinkles, against the stick and posts
        that the model has: drag over the pressure of the oncoming air [mm²].
    """

    hook_station_mm: float = quantity("mm", 80, 600, "Station of the rear hook")
    motor_height_mm: float = quantity("mm", -40, 40, "Height of the rubber's line", -8.0)
    shaft_bend_deg: float = quantity("°", 0, 15, "Bend of the propeller shaft", 0.0)
    propeller_imbalance_g_mm: float = quantity("g mm", 0, 50, "Imbalance of the propeller", 0.0)
    propeller_track_mm: float = quantity("mm", 0, 20, "Blade tips run in two discs, apart by", 0.0)
    bow_deg_mNm: float = quantity("°/mN m", 0, 2, "Bow of the stick under torque", 0.03)
    twist_deg_mNm: float = quantity("°/mN m", 0, 5, "Twist of the stick under torque", 0.05)
    bearing_drag_mNm: float = quantity("mN m", 0, 3, "Torque that a binding hook takes", 0.0)
    hub_grip_mNm: float = quantity("mN m", 0.2, 100, "Torque at which the propeller slips", 100.0)
    drag_area_mm2: float = quantity("mm²", -300, 3000, "Drag area of what nobody drew", 0.0)

    def __post_init__(self) -> None:
        check_ranges(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Build:
    """The aeroplane as made.

    Parameters
    ----------
    wing : Wing
        The wing [-].
    tail : Tail
        The tailplane [-].
    fin : Fin
        The fin [-].
    stick : Stick
        The motor stick [-].
    parts : tuple of Part
        Everything else that has mass: stick, boom, fin, bearing, fittings [-].
    """

    wing: Wing
    tail: Tail
    fin: Fin
    stick: Stick
    parts: tuple[Part, ...]

    @property
    def end_mm(self) -> float:
        """Station of what lies farthest back, tailplane or fin [mm]."""
        return max(self.tail.station_mm + self.tail.chord_mm, self.fin.trailing_edge_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """What a student may change between two flights.

    Parameters
    ----------
    wing_station_mm : float
        Station of the wing root's leading edge [mm].
    shim_mm : float
        Shim at the tail's socket, + lifts the trailing edge: more decalage [mm].
    wing_offset_mm : float
        Middle of the wing to the right of the stick [mm].
    left_wash_in_deg, right_wash_in_deg : float
        Twist set at each tip, + wash-in (trailing edge down) [deg].
    fin_deg : float
        Fin, + trailing edge left: asks for a left circle [deg].
    tail_tilt_deg : float
        Tail tilt, + left tip high: asks for a left circle when the tail lifts [deg].
    side_thrust_deg : float
        Thrust line, + to the left [deg].
    down_thrust_deg : float
        Thrust line, + down [deg].
    ballast_g : float
        Ballast [g].
    ballast_station_mm : float
        Where the ballast sits [mm].
    motor : RubberMotor
        The rubber loop [-].
    propeller : Propeller
        The propeller [-].
    """

    wing_station_mm: float = quantity("mm", 0, 500, "Station of the wing root's leading edge")
    shim_mm: float = quantity("mm", -6, 6, "Tail shim, + lifts the trailing edge", 0.0)
    wing_offset_mm: float = quantity("mm", -60, 60, "Middle of the wing right of the stick", 0.0)
    left_wash_in_deg: float = quantity("°", -8, 8, "Left tip twist, + trailing edge down", 0.0)
    right_wash_in_deg: float = quantity("°", -8, 8, "Right tip twist, + trailing edge down", 0.0)
    fin_deg: float = quantity("°", -12, 12, "Fin, + trailing edge left", 0.0)
    tail_tilt_deg: float = quantity("°", -20, 20, "Tail tilt, + left tip high", 0.0)
    side_thrust_deg: float = quantity("°", -10, 10, "Side thrust, + to the left", 0.0)
    down_thrust_deg: float = quantity("°", -10, 10, "Down thrust, + down", 0.0)
    ballast_g: float = quantity("g", 0, 5, "Ballast", 0.0)
    ballast_station_mm: float = quantity("mm", -60, 900, "Station of the ballast", 0.0)
    motor: RubberMotor = field(kw_only=True)
    propeller: Propeller = field(kw_only=True)

    def __post_init__(self) -> None:
        check_ranges(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Aeroplane:
    """A named aeroplane: as built, and as set.

    Parameters
    ----------
    name : str
        Name on the box [-].
    build : Build
        As made [-].
    setting : Setting
        As set for the next flight [-].
    note : str
        Where the figures come from [-].
    """

    name: str
    build: Build
    setting: Setting
    note: str = ""

    @property
    def fin_deg(self) -> float:
        """How the fin stands, its warp counted, + trailing edge left [deg]."""
        return self.setting.fin_deg + self.build.fin.warp_deg


def replace(aeroplane: Aeroplane, **changes: Any) -> Aeroplane:
    """Return a copy with some settings changed; the original stays as it was.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane before the change [-].
    **changes : float or record
        Fields of `Setting` by name [in the unit of each name].

    Returns
    -------
    Aeroplane
        The changed copy [-].

    Raises
    ------
    ValueError
        When a name is not a setting, with the list of settings, or a value is out of range.
    """
    allowed = [f.name for f in dataclasses.fields(Setting)]
    unknown = [name for name in changes if name not in allowed]
    if unknown:
        raise ValueError(
            f"{', '.join(unknown)} is not a setting. Settings are: {', '.join(allowed)}"
        )
    return dataclasses.replace(aeroplane, setting=dataclasses.replace(aeroplane.setting, **changes))
