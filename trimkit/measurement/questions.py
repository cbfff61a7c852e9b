"""What can be read of an aeroplane, where to put the ruler, and how well it can be read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from trimkit.aeroplane import Fin, Setting, Stick, Tail, Wing
from trimkit.motor import RubberMotor
from trimkit.propeller import Propeller
from trimkit.units import Quantity, quantities

RULER_MM, BALANCE_G, BALANCE_POINT_MM, TORQUE_SHARE, GAUGE_DEG = 0.5, 0.1, 1.0, 0.05, 1.0
STRIP_MM = 0.1  # five strips side by side, a fifth of the ruler's error
FIRST = ("span_mm", "root_chord_mm", "wing_station_mm", "mass_g", "balance_point_mm")
LONGEST_NAME = 60

Answer = float | str
Sheet = Mapping[str, Answer | None]


class SlipError(ValueError):
    """Something typed that cannot be used; the words say what is allowed."""


def spaced(unit: str) -> str:
    """Put a space before a unit that wants one.

    Parameters
    ----------
    unit : str
        Unit, "" for none [-].

    Returns
    -------
    str
        Ready to stand behind a number [-].
    """
    return unit if unit in ("", "°") else f" {unit}"


@dataclass(frozen=True, slots=True)
class Question:
    """One reading to take.

    Parameters
    ----------
    name : str
        Its name with its unit, as in the sheet [-].
    title : str
        What the bench calls it [-].
    where : str
        Where to put the ruler, one or two plain sentences [-].
    picture : str
        Name of the picture that shows it, one of `figures.questions.PICTURES` [-].
    allowed : Quantity
        Unit and range; a text has no unit and no range [-].
    error : float
        Usual size of the reading error; of a torque, its share [in that unit].
    group : str
        Heading under which it is asked [-].
    """

    name: str
    title: str
    where: str
    picture: str
    allowed: Quantity
    error: float
    group: str

    @property
    def is_text(self) -> bool:
        """Whether the answer is a word [-]."""
        return self.name in ("name", "hand")

    def words(self) -> str:
        """Say what is allowed and how well it can be read.

        Returns
        -------
        str
            One line [-].
        """
        if self.name == "name":
            return f"up to {LONGEST_NAME} letters"
        if self.name == "hand":
            return "right or left"
        unit = spaced(self.allowed.unit)
        read = f"{self.error:.0%}" if self.name == "torque_mNm" else f"{self.error:g}{unit}"
        told = f", read to ±{read}" if self.error else ""
        return f"allowed {self.allowed.low:g} to {self.allowed.high:g}{unit}{told}"


def _height(meaning: str) -> Quantity:
    return Quantity("mm", 0, 300, meaning)


def _from(record: type[Any], name: str) -> Quantity:
    return quantities(record)[name]


_TEXT = Quantity("", 0, 0, "")
_FIVE, _SHAPE, _HEIGHTS = "The first five", "Lengths", "Heights above the table"
_SMALL, _POWER, _MASSES = "Twists, fin and tilt", "Propeller and motor", "Parts on the balance"

QUESTIONS: tuple[Question, ...] = (
    Question(
        "name", "name on the box", "What the aeroplane is called. Not your own name.", "overview",
        _TEXT, 0.0, _FIVE,
    ),
    Question(
        "span_mm", "wing span", "From tip to tip over the table, straight across, not along the "
        "bent wing.", "span", _from(Wing, "span_mm"), RULER_MM, _FIVE,
    ),
    Question(
        "root_chord_mm", "wing chord in the middle", "Beside the stick, from the leading edge "
        "(front) to the trailing edge (back).", "chords", _from(Wing, "root_chord_mm"),
        RULER_MM, _FIVE,
    ),
    Question(
        "wing_station_mm", "wing's place", "Along the stick, from the front of the propeller's "
        "bearing to the wing's leading edge.", "stations", _from(Setting, "wing_station_mm"),
        RULER_MM, _FIVE,
    ),
    Question(
        "mass_g", "mass ready to fly", "The whole aeroplane on the balance, with its rubber.",
        "overview", Quantity("g", 1.5, 60, "Mass ready to fly"), BALANCE_G, _FIVE,
    ),
    Question(
        "balance_point_mm", "balance point", "Hold the wing on two fingertips, rubber on and not "
        "wound, until the nose neither drops nor rises. Measure from the wing's leading edge "
        "in the middle back to your fingers.", "balance", Quantity("mm", -40, 200, "Balance point"),
        BALANCE_POINT_MM, _FIVE,
    ),
    Question(
        "wing_leading_edge_mm", "wing's leading edge", "Block the stick up until it is level. "
        "From the table up to the wing's leading edge, beside the stick.", "edges",
        _height("Height"), RULER_MM, _HEIGHTS,
    ),
    Question(
        "wing_trailing_edge_mm", "wing's trailing edge", "From the table up to the wing's "
        "trailing edge, beside the stick.", "edges", _height("Height"), RULER_MM, _HEIGHTS,
    ),
    Question(
        "tail_leading_edge_mm", "tailplane's leading edge", "From the table up to the tailplane's "
        "leading edge, in the middle.", "edges", _height("Height"), RULER_MM, _HEIGHTS,
    ),
    Question(
        "tail_trailing_edge_mm", "tailplane's trailing edge", "From the table up to the "
        "tailplane's trailing edge, in the middle.", "edges", _height("Height"), RULER_MM, _HEIGHTS,
    ),
    Question(
        "stick_mm", "stick's upper side", "From the table up to the upper side of the stick, "
        "which must be level.", "edges", _height("Height"), RULER_MM, _HEIGHTS,
    ),
    Question(
        "tail_chord_mm", "tailplane's chord", "From the tailplane's leading edge to its trailing "
        "edge.", "chords", _from(Tail, "chord_mm"), RULER_MM, _SHAPE,
    ),
    Question(
        "tail_span_mm", "tailplane's span", "From tip to tip of the tailplane.", "span",
        _from(Tail, "span_mm"), RULER_MM, _SHAPE,
    ),
    Question(
        "tail_station_mm", "tailplane's place", "From the front of the propeller's bearing to the "
        "tailplane's leading edge.", "stations", _from(Tail, "station_mm"), RULER_MM, _SHAPE,
    ),
    Question(
        "tip_chord_mm", "wing chord at the tip", "At one tip, from leading edge to trailing edge. "
        "For a round tip, where the rounding begins.", "chords", _from(Wing, "tip_chord_mm"),
        RULER_MM, _SHAPE,
    ),
    Question(
        "tip_rise_mm", "rise of the tips", "How much higher the tips stand than the wing's middle. "
        "Measure both tips and take the mean.", "front", Quantity("mm", 0, 170, "Rise of the tips"),
        RULER_MM, _SHAPE,
    ),
    Question(
        "hook_station_mm", "rear hook's place", "From the front of the propeller's bearing to the "
        "hook that holds the rubber's rear end.", "stations", _from(Stick, "hook_station_mm"),
        RULER_MM, _SHAPE,
    ),
    Question(
        "socket_mm", "length of the boom's socket", "How far the boom sits in its socket; or, for "
        "a tail on two posts, from post to post.", "shim", _from(Tail, "socket_mm"), RULER_MM,
        _SHAPE,
    ),
    Question(
        "shim_mm", "shim in the socket", "Thickness of the shim that is in now; 0 for none. + when "
        "it lifts the tail's trailing edge, - when it lowers it.", "shim",
        _from(Setting, "shim_mm"), STRIP_MM, _SHAPE,
    ),
    Question(
        "left_tip_leading_mm", "left tip's leading edge", "From the table, with the stick level "
        "and not rolled, up to the leading edge at the left tip (left as seen from behind).",
        "front", _height("Height"), RULER_MM, _SMALL,
    ),
    Question(
        "left_tip_trailing_mm", "left tip's trailing edge", "The same at the trailing edge of the "
        "left tip.", "front", _height("Height"), RULER_MM, _SMALL,
    ),
    Question(
        "right_tip_leading_mm", "right tip's leading edge", "The same at the leading edge of the "
        "right tip.", "front", _height("Height"), RULER_MM, _SMALL,
    ),
    Question(
        "right_tip_trailing_mm", "right tip's trailing edge", "The same at the trailing edge of "
        "the right tip.", "front", _height("Height"), RULER_MM, _SMALL,
    ),
    Question(
        "wing_offset_mm", "wing's middle beside the stick", "How far the wing's middle lies to "
        "the right of the stick; - when it lies to the left.", "span",
        _from(Setting, "wing_offset_mm"), RULER_MM, _SMALL,
    ),
    Question(
        "fin_height_mm", "height of the fin", "From the fin's foot to its top.", "fin",
        _from(Fin, "span_mm"), RULER_MM, _SMALL,
    ),
    Question(
        "fin_chord_mm", "chord of the fin", "From the fin's leading edge to its trailing edge, "
        "half way up.", "fin", Quantity("mm", 10, 140, "Chord of the fin"), RULER_MM, _SMALL,
    ),
    Question(
        "fin_left_mm", "fin's trailing edge to the left", "Sight along the stick from behind. How "
        "far the fin's trailing edge stands to the left of its leading edge; - for the right.",
        "fin", Quantity("mm", -25, 25, "Fin's trailing edge"), RULER_MM, _SMALL,
    ),
    Question(
        "tail_left_tip_mm", "tailplane's left tip", "With the wing's middle level, from the table "
        "up to the left tip of the tailplane.", "tilt", _height("Height"), RULER_MM, _SMALL,
    ),
    Question(
        "tail_right_tip_mm", "tailplane's right tip", "The same at the right tip of the "
        "tailplane.", "tilt", _height("Height"), RULER_MM, _SMALL,
    ),
    Question(
        "diameter_mm", "propeller's diameter", "From blade tip to blade tip. Take the rubber off "
        "first.", "propeller", _from(Propeller, "diameter_mm"), RULER_MM, _POWER,
    ),
    Question(
        "blade_angle_deg", "blade angle", "With the pitch gauge, three quarters of the way from "
        "the shaft to the tip. Take the mean of both blades.", "propeller",
        Quantity("°", 8, 65, "Blade angle at three quarters"), GAUGE_DEG, _POWER,
    ),
    Question(
        "hand", "propeller's hand", "Seen from behind, a right-hand propeller turns clockwise: "
        "right or left.", "propeller", _TEXT, 0.0, _POWER,
    ),
    Question(
        "loop_mm", "length of the rubber loop", "Hook to hook, laid flat, not stretched.", "motor",
        _from(RubberMotor, "loop_mm"), 3.0, _POWER,
    ),
    Question(
        "strip_width_mm", "width of the strip", "Lay five pieces side by side, measure all five, "
        "and divide by five.", "motor", _from(RubberMotor, "strip_width_mm"), STRIP_MM, _POWER,
    ),
    Question(
        "motor_mass_g", "mass of the rubber", "The loop alone on the balance. The hundredths help "
        "here, if your balance shows them.", "motor", Quantity("g", 0.1, 15, "Mass of the rubber"),
        BALANCE_G, _POWER,
    ),
    Question(
        "torque_turns", "turns for the torque meter", "Wind to about half of what the loop takes "
        "and count. Eyes covered.", "motor", Quantity("turns", 20, 6000, "Turns"), 0.0, _POWER,
    ),
    Question(
        "torque_mNm", "torque at those turns", "What the torque meter shows. You may write oz in "
        "behind the number.", "motor", Quantity("mN m", 0.1, 100, "Torque"), TORQUE_SHARE, _POWER,
    ),
    Question(
        "wing_mass_g", "mass of the wing", "The wing alone on the balance.", "overview",
        _from(Wing, "mass_g"), BALANCE_G, _MASSES,
    ),
    Question(
        "tail_mass_g", "mass of the tailplane", "The tailplane alone, if it comes off.", "overview",
        _from(Tail, "mass_g"), BALANCE_G, _MASSES,
    ),
    Question(
        "propeller_mass_g", "mass of the propeller", "The propeller with its shaft.", "overview",
        _from(Propeller, "mass_g"), BALANCE_G, _MASSES,
    ),
)  # fmt: skip
BY_NAME: Mapping[str, Question] = MappingProxyType({one.name: one for one in QUESTIONS})
NAMES = tuple(BY_NAME)


EDGES = (
    ("wing_leading_edge_mm", "wing_trailing_edge_mm", "The wing's leading edge"),
    ("tail_leading_edge_mm", "tail_trailing_edge_mm", "The tailplane's leading edge"),
    ("left_tip_leading_mm", "left_tip_trailing_mm", "The left tip's leading edge"),
    ("right_tip_leading_mm", "right_tip_trailing_mm", "The right tip's leading edge"),
)


def question_of(name: str) -> Question:
    """Return a question by its name.

    Parameters
    ----------
    name : str
        Its name [-].

    Returns
    -------
    Question
        The question [-].

    Raises
    ------
    ValueError
        When there is none, with the names of all.
    """
    if name not in BY_NAME:
        raise ValueError(f"{name!r} is no question; allowed is {', '.join(NAMES)}")
    return BY_NAME[name]


def number(sheet: Sheet, name: str) -> float:
    """Return a reading that is a number.

    Parameters
    ----------
    sheet : mapping of str to float, str or None
        Readings by name [in the unit of each name].
    name : str
        Which [-].

    Returns
    -------
    float
        The reading [in the unit of its name].
    """
    value = sheet[name]
    assert isinstance(value, int | float)
    return float(value)
