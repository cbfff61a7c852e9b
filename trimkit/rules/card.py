"""A card of rules and a list of motors, as records."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from trimkit import balance
from trimkit.aeroplane import Aeroplane
from trimkit.motor import RubberMotor
from trimkit.units import Quantity, check_ranges, quantity


@dataclass(frozen=True, slots=True)
class Figure:
    """Something of an aeroplane that a rule may limit.

    Parameters
    ----------
    title : str
        What the bench calls it [-].
    unit : str
        Unit [-].
    of : callable
        From the aeroplane to the figure [in that unit].
    error : str
        Which reading error of the card counts [-].
    measured_as : tuple of str
        What it is called among the readings of a measured aeroplane [-].
    """

    title: str
    unit: str
    of: Callable[[Aeroplane], float]
    error: str = "length_mm"
    measured_as: tuple[str, ...] = ()


def length_mm(aeroplane: Aeroplane) -> float:
    """Measure from the propeller to the end of the tail.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].

    Returns
    -------
    float
        Overall length [mm].
    """
    return aeroplane.build.end_mm - min(aeroplane.setting.propeller.station_mm, 0.0)


FIGURES: Mapping[str, Figure] = MappingProxyType(
    {
        "mass_without_motor_g": Figure(
            "mass without the motor",
            "g",
            lambda one: balance.aeroplane_cg(one, motor=False).mass_g,
            "mass_g",
            ("mass ready to fly", "mass of the rubber"),
        ),
        "mass_with_motor_g": Figure(
            "mass with the motor",
            "g",
            lambda one: balance.aeroplane_cg(one).mass_g,
            "mass_g",
            ("mass ready to fly",),
        ),
        "wing_span_mm": Figure(
            "wing span",
            "mm",
            lambda one: one.build.wing.span_mm,
            measured_as=("wing span",),
        ),
        "wing_chord_mm": Figure(
            "widest wing chord",
            "mm",
            lambda one: one.build.wing.root_chord_mm,
            measured_as=("wing chord in the middle",),
        ),
        "tail_span_mm": Figure(
            "tailplane's span",
            "mm",
            lambda one: one.build.tail.span_mm,
            measured_as=("tailplane's span",),
        ),
        "tail_chord_mm": Figure(
            "tailplane's chord",
            "mm",
            lambda one: one.build.tail.chord_mm,
            measured_as=("tailplane's chord",),
        ),
        "propeller_diameter_mm": Figure(
            "propeller's diameter",
            "mm",
            lambda one: one.setting.propeller.diameter_mm,
            measured_as=("propeller's diameter",),
        ),
        "length_mm": Figure(
            "length from propeller to tail",
            "mm",
            length_mm,
            measured_as=("tailplane's place",),
        ),
        "motor_mass_g": Figure(
            "mass of each motor",
            "g",
            lambda one: one.setting.motor.mass_g,
            "motor_mass_g",
            ("mass of the rubber",),
        ),
    }
)
MOTOR_MASS = "motor_mass_g"
USUAL_STRIP_MM = 1.1  # thickness of the strip where nobody measured it; assumed
DENSITY_G_CM3 = 0.93
BATCH_LOW, BATCH_HIGH = 0.8, 1.2  # what a `RubberMotor` takes


@dataclass(frozen=True, slots=True)
class Limit:
    """How large or small a figure may be.

    Parameters
    ----------
    name : str
        A key of `FIGURES` [-].
    least, most : float or None
        Limits, None for none [in the figure's unit].
    """

    name: str
    least: float | None = None
    most: float | None = None

    @property
    def figure(self) -> Figure:
        """What is limited [-]."""
        return FIGURES[self.name]

    def words(self) -> str:
        """Say the rule.

        Returns
        -------
        str
            Such as "at least 8.00 g" [-].
        """
        unit = self.figure.unit
        told = [f"at least {shown(self.least, unit)}"] if self.least is not None else []
        told += [f"at most {shown(self.most, unit)}"] if self.most is not None else []
        return ", ".join(told)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingErrors:
    """What our own ruler and balance may be wrong by.

    Parameters
    ----------
    length_mm : float
        Of a length with a ruler; common practice, no source [mm].
    mass_g : float
        Of the aeroplane on a balance; common practice, no source [g].
    motor_mass_g : float
        Of a motor on a finer balance; common practice, no source [g].
    """

    length_mm: float = quantity("mm", 0.05, 5, "Reading error of a length", 0.5)
    mass_g: float = quantity("g", 0.001, 0.5, "Reading error of the aeroplane's mass", 0.05)
    motor_mass_g: float = quantity("g", 0.001, 0.2, "Reading error of a motor's mass", 0.01)

    def __post_init__(self) -> None:
        check_ranges(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class MotorPlan:
    """How many motors a team may bring, and how many it wants to have left.

    Parameters
    ----------
    may_bring : int
        The rule: motors that may be handed in [-].
    must_survive : int
        The team's wish: whole motors after the last flight [-].
    winds_each : int
        How often each is wound up to then [-].
    break_chance : float
        Chance that one winding breaks it; assumed, put your own count here [-].
    confidence : float
        Chance wanted that enough survive [-].
    """

    may_bring: int = quantity("", 1, 60, "Motors that may be handed in")
    must_survive: int = quantity("", 1, 30, "Whole motors wanted after the last flight")
    winds_each: int = quantity("", 1, 20, "How often each motor is wound", 4)
    break_chance: float = quantity("", 0, 0.5, "Chance that one winding breaks a motor", 0.04)
    confidence: float = quantity("", 0.5, 0.999, "Chance wanted that enough survive", 0.9)

    def __post_init__(self) -> None:
        check_ranges(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class FlightPlan:
    """The official flights and the time there is for them.

    Parameters
    ----------
    official : int
        Official flights [-].
    window_min : float
        Time for all of them together [min].
    winding_min : float
        The team's own time to wind, hook up and walk out, for one flight; assumed [min].
    """

    official: int = quantity("", 1, 12, "Official flights")
    window_min: float = quantity("min", 1, 240, "Time for all of them together")
    winding_min: float = quantity("min", 0.2, 30, "The team's own time before each flight", 2.0)

    def __post_init__(self) -> None:
        check_ranges(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class LogRule:
    """What the logbook must hold.

    Parameters
    ----------
    flights : int
        Flights written down in full [-].
    columns : tuple of str
        Columns of the logbook that must be filled for each [-].
    """

    flights: int = quantity("", 0, 500, "Flights that must be written down")
    columns: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        check_ranges(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rules:
    """A card of rules.

    Parameters
    ----------
    name : str
        What the card is called [-].
    note : str
        Where the rules come from [-].
    invented : bool
        Whether it is still the example; said on everything made from it [-].
    limits : tuple of Limit
        What ruler and balance judge [-].
    errors : ReadingErrors
        Of ruler and balance [-].
    motors : MotorPlan or None
        Motors, None when the card is silent [-].
    flights : FlightPlan or None
        Official flights, None when the card is silent [-].
    log : LogRule or None
        Logbook, None when the card is silent [-].
    marking, box, papers : tuple of str
        What a person must look at, one sentence each [-].
    """

    name: str
    note: str = ""
    invented: bool = True
    limits: tuple[Limit, ...] = ()
    errors: ReadingErrors = field(default_factory=ReadingErrors)
    motors: MotorPlan | None = None
    flights: FlightPlan | None = None
    log: LogRule | None = None
    marking: tuple[str, ...] = ()
    box: tuple[str, ...] = ()
    papers: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Motor:
    """One motor in its bag.

    Parameters
    ----------
    number : str
        Number or letter on the bag [-].
    mass_g : float or None
        Mass, None when it was never weighed [g].
    loop_mm : float or None
        Length of the loop [mm].
    strip_width_mm : float or None
        Width of the strip [mm].
    winds : int
        How often it has been wound [-].
    strands : int
        Strands side by side, 2 for a single loop [-].
    section_mm2 : float or None
        Section of all strands, as a fit of torque readings has it [mm²].
    strength : float or None
        Torque against the usual rubber, from the same fit [-].
    strength_error : float or None
        Standard error of that as a share of it [-].
    lubrication : float or None
        How little it loses on the way down, from the same fit [-].
    read_from_turns, read_to_turns : float or None
        Turns between which the meter was read; beyond them nothing is known [turns].
    """

    number: str
    mass_g: float | None = None
    loop_mm: float | None = None
    strip_width_mm: float | None = None
    winds: int = 0
    strands: int = 2
    section_mm2: float | None = None
    strength: float | None = None
    strength_error: float | None = None
    lubrication: float | None = None
    read_from_turns: float | None = None
    read_to_turns: float | None = None

    def rubber(self) -> RubberMotor | None:
        """Make the loop that torque and turns are worked out from.

        The section is the fitted one, or that which mass and length give, or that of a strip
        1.1 mm thick (assumed).

        Returns
        -------
        RubberMotor or None
            The loop, None when its length is unknown or the figures make no loop [-].
        """
        section = self.section_mm2 or self._section_mm2()
        if self.loop_mm is None or section is None:
            return None
        width = self.strip_width_mm or section / self.strands / USUAL_STRIP_MM
        strength = self.strength or 1.0
        batch = min(max(strength, BATCH_LOW), BATCH_HIGH)
        try:
            loop = RubberMotor(
                self.loop_mm, width, section / self.strands / width, self.strands,
                batch_strength=batch, freshness=min(strength / batch, 1.0),
                lubrication=1.0 if self.lubrication is None else self.lubrication,
            )  # fmt: skip
            if self.mass_g is None:
                return loop
            return replace(loop, density_g_cm3=DENSITY_G_CM3 * self.mass_g / loop.mass_g)
        except ValueError:
            return None

    def _section_mm2(self) -> float | None:
        if self.mass_g is not None and self.loop_mm is not None:
            return 1000 * self.mass_g / (DENSITY_G_CM3 * self.loop_mm)
        if self.strip_width_mm is not None:
            return self.strands * self.strip_width_mm * USUAL_STRIP_MM
        return None


MOTOR_QUANTITIES: Mapping[str, Quantity] = MappingProxyType(
    {
        "mass_g": Quantity("g", 0.05, 12, "Mass of the motor"),
        "loop_mm": Quantity("mm", 40, 1500, "Length of the loop, hook to hook"),
        "strip_width_mm": Quantity("mm", 0.5, 8, "Width of the strip"),
        "winds": Quantity("", 0, 200, "How often it has been wound"),
        "strands": Quantity("", 2, 60, "Strands side by side, 2 for a single loop"),
        "section_mm2": Quantity("mm²", 0.5, 200, "Section of all strands, from a fit"),
        "strength": Quantity("", BATCH_LOW * 0.6, BATCH_HIGH, "Torque against the usual rubber"),
        "strength_error": Quantity("", 0, 0.5, "Standard error of that, as a share"),
        "lubrication": Quantity("", 0, 1, "1 for little loss on the way down, from a fit"),
        "read_from_turns": Quantity("turns", 0, 20000, "Fewest turns at which it was read"),
        "read_to_turns": Quantity("turns", 0, 20000, "Most turns at which it was read"),
    }
)
WHOLE = ("winds", "strands")


def shown(value: float | None, unit: str) -> str:
    """Write a figure with its unit.

    Parameters
    ----------
    value : float
        The figure [in that unit].
    unit : str
        "g" or "mm" [-].

    Returns
    -------
    str
        A mass to .01, a length to .1 [-].

    Examples
    --------
    >>> shown(8.0, "g"), shown(460, "mm")
    ('8.00 g', '460.0 mm')
    """
    return f"{value:.2f} {unit}" if unit == "g" else f"{value:.1f} {unit}"
