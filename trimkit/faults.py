"""What can be wrong with an indoor aeroplane: a catalogue of physical changes.

A fault changes the aeroplane as it lies on the table (glued wrong, set wrong, worn), the motor
as it was wound, the launch or the hall. It never says what the flight shall look like: the
flight is computed. Which faults there are, their sizes and their cures are common practice, no
source; how a fault acts on the figures of the aeroplane is the model's assumption.
"""

from __future__ import annotations

import dataclasses
import difflib
import functools
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Literal

from trimkit.aeroplane import Aeroplane, Part
from trimkit.balance import aeroplane_cg
from trimkit.flight import Hall, Job, Launch
from trimkit.flight.fly import launch_speed_m_s
from trimkit.settings import other_motor
from trimkit.trim import level

Where = Literal[
    "tail", "wing", "fin", "stick", "propeller", "motor", "covering", "launch", "hall", "scales"
]
PLACES: Mapping[str, str] = MappingProxyType(
    {
        "tail": "tailplane, its joint and the boom",
        "wing": "wing and saddle, from behind and from above",
        "fin": "fin, from behind",
        "stick": "stick, wound and unwound, by an adult behind a shield",
        "propeller": "propeller, shaft and bearing",
        "motor": "rubber, torque meter and thermometer",
        "covering": "covering, against the light",
        "launch": "the hand that launches",
        "hall": "the hall's air: doors, fans, a strip of tissue",
        "scales": "scales: the whole aeroplane, ready to fly",
    }
)
STEEPEST_BLADE_DEG = 85.0  # a root twists no further; assumed
BLADES = "Blades: take the rubber off first. Hair tied back."
RUBBER = "Eyes covered for all near the rubber. Nobody in line with the loop."
FUMES = "Glue and steam: an adult, with a window open."
SHIELD = "Looking at a wound aeroplane: an adult, behind a shield."


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing that can be wrong.

    Parameters
    ----------
    name : str
        Short name, for commands and logs [-].
    title : str
        What the bench calls it [-].
    unit : str
        Of its size [-].
    low, high : float
        Smallest size worth finding, and largest that is still met [in that unit].
    what : str
        What is wrong, in plain words [-].
    shows : str
        What can be seen or measured on the bench, without flying [-].
    place : str
        Which place of `PLACES` has to be looked at [-].
    cure : str
        What a hand does about it; says so when no repair cures it [-].
    minutes : float
        Time that the cure takes; common practice, no source [min].
    caution : str
        What to mind, "" for nothing [-].
    often : float
        How often it is met against the others; assumed [-].
    by_eye : bool
        Whether an eye or a finger can name it; an angle, a length, a mass or a count needs a
        tool, or flights. Common practice, no source [-].
    change : callable
        From a job and a size to the changed job [-].
    """

    name: str
    title: str
    unit: str
    low: float
    high: float
    what: str
    shows: str
    place: Where
    cure: str
    minutes: float
    caution: str = ""
    often: float = 1.0
    by_eye: bool = False
    change: Callable[[Job, float], Job]

    @property
    def middle(self) -> float:
        """Middle of the range of sizes [in the fault's unit]."""
        return (self.low + self.high) / 2

    @property
    def on_aeroplane(self) -> bool:
        """The aeroplane itself is changed, not the winding, the launch or the hall [-]."""
        return self.name not in OFF_AEROPLANE


OFF_AEROPLANE = (
    "under-wound",
    "cold-hall",
    "fast-launch",
    "nose-high-launch",
    "banked-launch",
    "restless-air",
)


def _build(job: Job, part: str, **changes: Any) -> Job:
    """Change fields of one record of the build."""
    build = job.aeroplane.build
    record = dataclasses.replace(getattr(build, part), **changes)
    return _with(job, build=dataclasses.replace(build, **{part: record}))


def _with(job: Job, **changes: Any) -> Job:
    return dataclasses.replace(job, aeroplane=dataclasses.replace(job.aeroplane, **changes))


def _setting(job: Job, **changes: Any) -> Job:
    return _with(job, setting=dataclasses.replace(job.aeroplane.setting, **changes))


def _moved(field: str, way: float) -> Callable[[Job, float], Job]:
    """Set a field of the setting wrong by the size, one way."""

    def change(job: Job, size: float) -> Job:
        return _setting(job, **{field: getattr(job.aeroplane.setting, field) + way * size})

    return change


def _made(part: str, field: str, way: float) -> Callable[[Job, float], Job]:
    """Make a field of the build wrong by the size, one way."""

    def change(job: Job, size: float) -> Job:
        now = getattr(getattr(job.aeroplane.build, part), field)
        return _build(job, part, **{field: now + way * size})

    return change


def _spoilt(part: str, field: str) -> Callable[[Job, float], Job]:
    """Take the size away from a quality that is 1 when all is well."""
    return _made(part, field, -1.0)


def _boom_bowed(job: Job, size: float) -> Job:
    """A parabola with its middle up: its end slopes by four times the rise over the length."""
    build = job.aeroplane.build
    length = max(build.tail.station_mm - build.stick.hook_station_mm, build.tail.chord_mm)
    slope = math.degrees(math.atan(4 * size / length))
    return _build(job, "tail", incidence_deg=build.tail.incidence_deg + slope)


def _wing_reversed(job: Job, size: float) -> Job:
    """Turned about the upright: left and right, front and back change places."""
    wing, setting = job.aeroplane.build.wing, job.aeroplane.setting
    turned = _build(
        job,
        "wing",
        incidence_deg=-wing.incidence_deg,
        balance_percent=100 - wing.balance_percent,
        left_warp_deg=-wing.right_warp_deg,
        right_warp_deg=-wing.left_warp_deg,
    )
    return _setting(
        turned,
        left_wash_in_deg=-setting.right_wash_in_deg,
        right_wash_in_deg=-setting.left_wash_in_deg,
    )


def _blades(job: Job, **changes: Any) -> Job:
    propeller = dataclasses.replace(job.aeroplane.setting.propeller, **changes)
    return _setting(job, propeller=propeller)


def _pitched(job: Job, both: float, between: float) -> Job:
    """Turn both blades, and one against the other."""
    now = job.aeroplane.setting.propeller
    angles = tuple(
        min(angle + both - between / 2, STEEPEST_BLADE_DEG) for angle in now.blade_angles_deg
    )
    return _blades(job, blade_angles_deg=angles, second_blade_deg=now.second_blade_deg + between)


def _rubber(job: Job, **changes: Any) -> Job:
    return _setting(job, motor=dataclasses.replace(job.aeroplane.setting.motor, **changes))


def _other_loop(job: Job, share: float) -> Job:
    """Another loop of the same mass, wound to the same share of its turns."""
    changed = other_motor(job.aeroplane, share)
    fitted, now = job.aeroplane.setting.motor, changed.setting.motor
    ratio = now.max_turns(job.hall.temperature_c) / fitted.max_turns(job.hall.temperature_c)
    launch = dataclasses.replace(job.launch, turns=round(job.launch.turns * ratio))
    return dataclasses.replace(job, aeroplane=changed, launch=launch)


@functools.lru_cache(maxsize=256)
def _level_torque_mNm(aeroplane: Aeroplane) -> float:
    return level(aeroplane).torque_mNm


def _hub_loosened(job: Job, size: float) -> Job:
    """A good hub holds any launch; this one a part of twice the level flight's torque."""
    grip = 2 * _level_torque_mNm(job.aeroplane) * (1 - size)
    return _build(job, "stick", hub_grip_mNm=max(grip, 0.2))


def _heavier(job: Job, size: float) -> Job:
    """Extra mass at the balance point, so that the balance stays."""
    cg = aeroplane_cg(job.aeroplane)
    build = job.aeroplane.build
    extra = Part(
        name="extra wood and glue", mass_g=size, station_mm=cg.station_mm, height_mm=cg.height_mm
    )
    return _with(job, build=dataclasses.replace(build, parts=(*build.parts, extra)))


def _thrown(job: Job, **changes: Any) -> Job:
    return dataclasses.replace(job, launch=dataclasses.replace(job.launch, **changes))


def _fast(job: Job, size: float) -> Job:
    usual = job.launch.speed_m_s or launch_speed_m_s(job.aeroplane)
    return _thrown(job, speed_m_s=usual * size)


def _aired(job: Job, **changes: Any) -> Job:
    return dataclasses.replace(job, hall=dataclasses.replace(job.hall, **changes))


_FAULTS = (
    Fault(
        name="too-little-decalage",
        title="too little decalage",
        unit="°",
        low=0.8,
        high=2.4,
        what="The tailplane's leading edge sits too high against the wing.",
        shows="Ruler at both edges of wing and tail: the decalage is less than the card says.",
        place="tail",
        cure="Shim under the tail's trailing edge: the boom's tail end goes up.",
        minutes=3,
        often=3.0,
        change=_made("tail", "incidence_deg", 1.0),
    ),
    Fault(
        name="too-much-decalage",
        title="too much decalage",
        unit="°",
        low=0.7,
        high=2.0,
        what="The tailplane's leading edge sits too low against the wing.",
        shows="Ruler at both edges of wing and tail: the decalage is more than the card says.",
        place="tail",
        cure="Take shim out, or lower the tail's trailing edge.",
        minutes=3,
        often=3.0,
        change=_made("tail", "incidence_deg", -1.0),
    ),
    Fault(
        name="wing-too-far-back",
        title="wing too far back",
        unit="mm",
        low=6,
        high=16,
        what="The wing slid back on the stick, so the aeroplane is heavy in the nose.",
        shows="The balance point is ahead of the mark on the wing.",
        place="wing",
        cure="Slide the wing forward to its mark.",
        minutes=2,
        often=2.0,
        change=_moved("wing_station_mm", 1.0),
    ),
    Fault(
        name="wing-too-far-forward",
        title="wing too far forward",
        unit="mm",
        low=6,
        high=16,
        what="The wing slid forward on the stick, so the aeroplane is light in the nose.",
        shows="The balance point is behind the mark on the wing.",
        place="wing",
        cure="Slide the wing back to its mark.",
        minutes=2,
        often=2.0,
        change=_moved("wing_station_mm", -1.0),
    ),
    Fault(
        name="wing-back-to-front",
        title="wing on back to front",
        unit="wing",
        low=1,
        high=1,
        what="The wing sits on its saddle with its trailing edge ahead.",
        shows="The tall post is at the back. The wing slopes nose down.",
        place="wing",
        cure="Turn the wing round. Mark its front.",
        minutes=2,
        often=0.5,
        by_eye=True,
        change=_wing_reversed,
    ),
    Fault(
        name="left-panel-washed-out",
        title="left panel washed out",
        unit="°",
        low=1.2,
        high=4,
        what="The left tip's trailing edge has warped up, so the left wing lifts less.",
        shows="Sight along the wing from behind: the left tip's trailing edge is high.",
        place="wing",
        cure="Left tip's trailing edge down by 1.5 to 2 mm, with breath or steam.",
        minutes=8,
        caution=FUMES,
        often=2.0,
        change=_made("wing", "left_warp_deg", -1.0),
    ),
    Fault(
        name="left-panel-over-washed-in",
        title="left panel washed in too far",
        unit="°",
        low=2,
        high=5,
        what="The left tip's trailing edge has warped down too far.",
        shows="Sight along the wing from behind: the left tip's trailing edge is low.",
        place="wing",
        cure="Left tip's trailing edge up by 1 to 2 mm.",
        minutes=8,
        caution=FUMES,
        change=_made("wing", "left_warp_deg", 1.0),
    ),
    Fault(
        name="right-panel-over-washed-in",
        title="right panel washed in",
        unit="°",
        low=1.2,
        high=4,
        what="The right tip's trailing edge has warped down, so the right wing lifts more.",
        shows="Sight along the wing from behind: the right tip's trailing edge is low.",
        place="wing",
        cure="Right tip's trailing edge up by 1 to 2 mm.",
        minutes=8,
        caution=FUMES,
        change=_made("wing", "right_warp_deg", 1.0),
    ),
    Fault(
        name="right-panel-washed-out",
        title="right panel washed out",
        unit="°",
        low=2,
        high=5,
        what="The right tip's trailing edge has warped up, so the right wing lifts less.",
        shows="Sight along the wing from behind: the right tip's trailing edge is high.",
        place="wing",
        cure="Right tip's trailing edge down by 1 to 2 mm.",
        minutes=8,
        caution=FUMES,
        change=_made("wing", "right_warp_deg", -1.0),
    ),
    Fault(
        name="skewed-wing",
        title="wing skewed on its saddle",
        unit="°",
        low=3,
        high=8,
        what="The wing is turned on its saddle, the right tip ahead.",
        shows="From above: the tips are not the same distance from the fin.",
        place="wing",
        cure="Turn the wing back to its pencil marks.",
        minutes=2,
        often=1.5,
        change=_made("wing", "skew_deg", 1.0),
    ),
    Fault(
        name="tired-saddle-bands",
        title="tired saddle bands",
        unit="of full play",
        low=0.4,
        high=1,
        what="The bands that hold the wing are tired: it rocks on its saddle.",
        shows="Press one wing tip down gently: it moves more than 3 mm before the stick follows.",
        place="wing",
        cure="New bands.",
        minutes=3,
        often=1.5,
        by_eye=True,
        change=_made("wing", "saddle_slack", 1.0),
    ),
    Fault(
        name="broken-dihedral-joint",
        title="broken dihedral joint",
        unit="°",
        low=3,
        high=8,
        what="The glue in the middle of the wing has cracked: the left panel hangs lower.",
        shows="The tips are not the same height over the table. The joint clicks.",
        place="wing",
        cure="Glue the joint with both tips at their marked height.",
        minutes=15,
        caution=FUMES,
        by_eye=True,
        change=_made("wing", "left_droop_deg", 1.0),
    ),
    Fault(
        name="loose-tail",
        title="loose tail joint",
        unit="of full play",
        low=0.4,
        high=1,
        what="The boom moves in its socket, so the tail turns as the air pushes it.",
        shows="Wiggle the tail gently: it moves before the stick does.",
        place="tail",
        cure="Glue the joint, or wrap the boom so that it grips.",
        minutes=10,
        caution=FUMES,
        often=2.0,
        by_eye=True,
        change=_made("tail", "joint_slack", 1.0),
    ),
    Fault(
        name="wrong-tail-tilt",
        title="tail tilted the wrong way",
        unit="°",
        low=3,
        high=10,
        what="The right tip of the tailplane is high, where the left one should be.",
        shows="From behind: tail and wing are not as on the card.",
        place="tail",
        cure="Turn the boom in its socket until the left tail tip is high as on the card.",
        minutes=3,
        change=_moved("tail_tilt_deg", -1.0),
    ),
    Fault(
        name="bowed-boom",
        title="bowed boom",
        unit="mm",
        low=0.3,
        high=1.1,
        what="The boom has dried bowed, its middle up: the tail's leading edge is high.",
        shows="Sight along the boom, or lay it against a straight edge.",
        place="tail",
        cure="Straighten the boom with steam, or shim the tail for it.",
        minutes=8,
        caution=FUMES,
        by_eye=True,
        change=_boom_bowed,
    ),
    Fault(
        name="fin-bent-left",
        title="fin bent to the left",
        unit="°",
        low=1,
        high=3,
        what="The fin's trailing edge is bent to the left.",
        shows="From behind, along the boom: the fin's trailing edge is left of the line.",
        place="fin",
        cure="Fin's trailing edge .5 to 1 mm to the right.",
        minutes=2,
        often=1.5,
        change=_made("fin", "warp_deg", 1.0),
    ),
    Fault(
        name="fin-bent-right",
        title="fin bent to the right",
        unit="°",
        low=2,
        high=5,
        what="The fin's trailing edge is bent to the right.",
        shows="From behind, along the boom: the fin's trailing edge is right of the line.",
        place="fin",
        cure="Fin's trailing edge .5 to 1 mm to the left.",
        minutes=2,
        often=1.5,
        change=_made("fin", "warp_deg", -1.0),
    ),
    Fault(
        name="thrust-line-up",
        title="thrust line points up",
        unit="°",
        low=2,
        high=5,
        what="The bearing points too high.",
        shows="Straight edge along the shaft, against the stick: it points up.",
        place="propeller",
        cure="Bend the bearing down by 1 to 2 degrees.",
        minutes=4,
        caution=BLADES,
        change=_moved("down_thrust_deg", -1.0),
    ),
    Fault(
        name="thrust-line-right",
        title="thrust line points right",
        unit="°",
        low=2,
        high=5,
        what="The bearing points to the right.",
        shows="Straight edge along the shaft, against the stick: it points right.",
        place="propeller",
        cure="Bend the bearing to the left by 1 to 2 degrees.",
        minutes=4,
        caution=BLADES,
        change=_moved("side_thrust_deg", -1.0),
    ),
    Fault(
        name="thrust-line-left",
        title="thrust line points too far left",
        unit="°",
        low=1,
        high=3.5,
        what="The bearing points too far to the left.",
        shows="Straight edge along the shaft, against the stick: it points left of the card.",
        place="propeller",
        cure="Bend the bearing to the right by 1 to 2 degrees.",
        minutes=4,
        caution=BLADES,
        change=_moved("side_thrust_deg", 1.0),
    ),
    Fault(
        name="soft-stick",
        title="stick too soft",
        unit="°/mN m",
        low=0.08,
        high=0.25,
        what="The wound motor bows the stick: the thrust line goes down, the tail's nose up.",
        shows="Sight the stick, wound against unwound: more than 2 mm of bow is bad.",
        place="stick",
        cure="Stiffen the stick with a strip of wood, .1 to .2 g.",
        minutes=15,
        caution=SHIELD,
        by_eye=True,
        change=_made("stick", "bow_deg_mNm", 1.0),
    ),
    Fault(
        name="bent-shaft",
        title="bent propeller shaft",
        unit="°",
        low=2,
        high=5,
        what="The shaft is bent, so it rubs in the bearing and the propeller wobbles.",
        shows="Turn the propeller slowly: its tips wobble. A free spin stops soon.",
        place="propeller",
        cure="Straighten the shaft with two pliers.",
        minutes=4,
        caution=BLADES,
        by_eye=True,
        change=_made("stick", "shaft_bend_deg", 1.0),
    ),
    Fault(
        name="unequal-blades",
        title="blades of unequal pitch",
        unit="°",
        low=4,
        high=12,
        what="One blade has more pitch than the other.",
        shows="Pitch gauge at the same place on both blades.",
        place="propeller",
        cure="Twist the blades until they match within 1 degree.",
        minutes=8,
        caution=BLADES,
        change=lambda job, size: _pitched(job, 0.0, size),
    ),
    Fault(
        name="pitch-too-high",
        title="pitch too high",
        unit="°",
        low=9,
        high=16,
        what="Both blades have too much pitch.",
        shows="Pitch gauge: both blades are above the card.",
        place="propeller",
        cure="Both blades 3 to 5 degrees less.",
        minutes=8,
        caution=BLADES,
        change=lambda job, size: _pitched(job, size, 0.0),
    ),
    Fault(
        name="pitch-too-low",
        title="pitch too low",
        unit="°",
        low=4,
        high=10,
        what="Both blades have too little pitch.",
        shows="Pitch gauge: both blades are below the card.",
        place="propeller",
        cure="Both blades 3 to 5 degrees more.",
        minutes=8,
        caution=BLADES,
        change=lambda job, size: _pitched(job, -size, 0.0),
    ),
    Fault(
        name="out-of-balance-propeller",
        title="propeller out of balance",
        unit="g mm",
        low=2,
        high=8,
        what="One blade is heavier than the other.",
        shows="On a pin, the same blade always swings down.",
        place="propeller",
        cure="Tape of .02 to .05 g on the light blade.",
        minutes=5,
        caution=BLADES,
        by_eye=True,
        change=_made("stick", "propeller_imbalance_g_mm", 1.0),
    ),
    Fault(
        name="blades-out-of-track",
        title="blades out of track",
        unit="mm",
        low=2,
        high=6,
        what="The blades run in two discs, one ahead of the other.",
        shows="Turn the propeller past a fixed pin: one tip passes 2 to 3 mm off.",
        place="propeller",
        cure="Bend one blade at its root.",
        minutes=4,
        caution=BLADES,
        by_eye=True,
        change=_made("stick", "propeller_track_mm", 1.0),
    ),
    Fault(
        name="heavy-propeller",
        title="propeller too heavy",
        unit="g",
        low=0.4,
        high=1,
        what="A heavier propeller was fitted: the aeroplane is heavy in the nose.",
        shows="Scales: the propeller. The balance point is ahead of the mark.",
        place="propeller",
        cure="Fit the old propeller, or slide the wing forward: 12 mm for .8 g on the trainer.",
        minutes=4,
        caution=BLADES,
        change=lambda job, size: _blades(job, mass_g=job.aeroplane.setting.propeller.mass_g + size),
    ),
    Fault(
        name="slipping-hub",
        title="propeller slips on its shaft",
        unit="of the grip",
        low=0.2,
        high=0.5,
        what="The hub slips on the shaft at high torque: turns go and nobody gets them.",
        shows="Hold the propeller and turn the shaft's hook: it gives.",
        place="propeller",
        cure="A drop of glue at the hub.",
        minutes=10,
        caution=FUMES,
        often=0.7,
        by_eye=True,
        change=_hub_loosened,
    ),
    Fault(
        name="binding-hook",
        title="hook or washer binds",
        unit="mN m",
        low=0.25,
        high=0.8,
        what="The hook or the thrust washer rubs on something.",
        shows="Turn the propeller by hand without rubber: it is stiff, or catches once a turn.",
        place="propeller",
        cure="Free the hook, clean the washer, a drop of oil.",
        minutes=4,
        caution=BLADES,
        by_eye=True,
        change=_made("stick", "bearing_drag_mNm", 1.0),
    ),
    Fault(
        name="under-wound",
        title="too few turns",
        unit="of the turns",
        low=0.15,
        high=0.4,
        what="The motor has fewer turns on than the log says.",
        shows="The torque meter reads less than the plan.",
        place="motor",
        cure="Wind to the torque of the plan, and count.",
        minutes=2,
        caution=RUBBER,
        change=lambda job, size: _thrown(job, turns=round(job.launch.turns * (1 - size))),
    ),
    Fault(
        name="tired-motor",
        title="tired rubber",
        unit="of the torque",
        low=0.12,
        high=0.35,
        what="The loop has had too many hard winds: it pulls less.",
        shows="The torque meter reads less than the plan at the planned turns.",
        place="motor",
        cure="A fresh loop of the same size.",
        minutes=4,
        caution=RUBBER,
        by_eye=True,
        change=lambda job, size: _rubber(job, freshness=1 - size),
    ),
    Fault(
        name="dry-motor",
        title="dry rubber",
        unit="of the lubricant",
        low=0.5,
        high=1,
        what="The loop is dry, so its strands rub on each other.",
        shows="The strands squeak and stick. The torque falls soon as it unwinds.",
        place="motor",
        cure="Lubricate the loop, and wipe the floor.",
        minutes=3,
        caution=RUBBER + " Lubricant on a sports floor is a slip.",
        by_eye=True,
        change=lambda job, size: _rubber(job, lubrication=1 - size),
    ),
    Fault(
        name="loop-too-thick",
        title="loop too thick",
        unit="of the section",
        low=0.12,
        high=0.3,
        what="The loop is thicker and shorter than planned, at the same mass.",
        shows="Ruler: the loop is short. Fewer turns go on.",
        place="motor",
        cure="A loop 5 to 10 % thinner, and longer.",
        minutes=10,
        caution=RUBBER,
        change=lambda job, size: _other_loop(job, 1 + size),
    ),
    Fault(
        name="loop-too-thin",
        title="loop too thin",
        unit="of the section",
        low=0.12,
        high=0.3,
        what="The loop is thinner and longer than planned, at the same mass.",
        shows="Ruler: the loop is long. More turns go on.",
        place="motor",
        cure="A loop 5 to 10 % thicker, and shorter.",
        minutes=10,
        caution=RUBBER,
        change=lambda job, size: _other_loop(job, 1 - size),
    ),
    Fault(
        name="slack-covering",
        title="slack or wrinkled covering",
        unit="of its quality",
        low=0.015,
        high=0.06,
        what="The covering is slack and wrinkled all over the wing.",
        shows="Against the light: wrinkles between the ribs.",
        place="covering",
        cure="Cover the wing again.",
        minutes=40,
        caution=FUMES,
        often=1.5,
        by_eye=True,
        change=_spoilt("wing", "covering_quality"),
    ),
    Fault(
        name="torn-panel",
        title="covering torn on the left panel",
        unit="of its quality",
        low=0.08,
        high=0.25,
        what="The left panel's covering is torn or came off between two ribs.",
        shows="Against the light: a hole in the left panel.",
        place="covering",
        cure="Patch it, with no more than .05 g.",
        minutes=10,
        by_eye=True,
        change=_spoilt("wing", "left_covering_quality"),
    ),
    Fault(
        name="overweight",
        title="too heavy",
        unit="g",
        low=1,
        high=3,
        what="The aeroplane is heavier than planned: wood, glue or damp.",
        shows="Scales: the aeroplane, ready to fly.",
        place="scales",
        cure="No quick cure: lighter wood next time. Fly it with a thicker loop.",
        minutes=60,
        change=_heavier,
    ),
    Fault(
        name="cold-hall",
        title="cold hall and cold rubber",
        unit="°C colder",
        low=6,
        high=14,
        what="The hall is cold, so the rubber gives less back.",
        shows="Thermometer.",
        place="motor",
        cure="No repair cures it: keep the motors warm in a pocket, and log the temperature.",
        minutes=5,
        caution=RUBBER,
        change=lambda job, size: _aired(job, temperature_c=job.hall.temperature_c - size),
    ),
    Fault(
        name="fast-launch",
        title="launched too fast",
        unit="times the glide's speed",
        low=1.4,
        high=2,
        what="The hand throws: the aeroplane leaves it far faster than it flies.",
        shows="Nothing on the bench. Watch the hand, or let another launch.",
        place="launch",
        cure="No repair cures it: walking pace, let it fly out of the hand.",
        minutes=1,
        often=1.5,
        by_eye=True,
        change=_fast,
    ),
    Fault(
        name="nose-high-launch",
        title="launched nose high",
        unit="°",
        low=15,
        high=35,
        what="The hand points the nose up at the launch.",
        shows="Nothing on the bench. Watch the hand, or let another launch.",
        place="launch",
        cure="No repair cures it: nose level, or up by 5 degrees at most.",
        minutes=1,
        often=1.5,
        by_eye=True,
        change=lambda job, size: _thrown(job, pitch_deg=job.launch.pitch_deg + size),
    ),
    Fault(
        name="banked-launch",
        title="launched with the left wing low",
        unit="°",
        low=30,
        high=60,
        what="The hand holds the left wing low at the launch.",
        shows="Nothing on the bench. Watch the hand, or let another launch.",
        place="launch",
        cure="No repair cures it: wings level, propeller first, then the hand opens.",
        minutes=1,
        by_eye=True,
        change=lambda job, size: _thrown(job, bank_deg=job.launch.bank_deg - size),
    ),
    Fault(
        name="restless-air",
        title="restless air in the hall",
        unit="m/s",
        low=0.15,
        high=0.4,
        what="A fan, a door or a warm wall moves the air.",
        shows="A strip of tissue on a thread leans.",
        place="hall",
        cure="No repair cures it: fans off, doors shut, another corner, and log it.",
        minutes=3,
        by_eye=True,
        change=lambda job, size: _aired(job, restless_m_s=job.hall.restless_m_s + size),
    ),
)
CATALOGUE: Mapping[str, Fault] = MappingProxyType({fault.name: fault for fault in _FAULTS})


def fault(name: str) -> Fault:
    """Find a fault by its name.

    Parameters
    ----------
    name : str
        A name of `CATALOGUE` [-].

    Returns
    -------
    Fault
        The fault [-].

    Raises
    ------
    ValueError
        When there is none of that name, with the nearest ones.
    """
    if name in CATALOGUE:
        return CATALOGUE[name]
    near = difflib.get_close_matches(name.strip().lower().replace(" ", "-"), CATALOGUE, 3, 0.4)
    hint = f"; did you mean {' or '.join(near)}?" if near else ""
    raise ValueError(f"there is no fault {name!r}{hint} Faults are: {', '.join(CATALOGUE)}")


def afflict(job: Job, name: str, size: float | None = None) -> Job:
    """Give a flight a fault: in the aeroplane, its motor, its launch or its hall.

    Parameters
    ----------
    job : Job
        The flight as it should be [-].
    name : str
        A name of `CATALOGUE` [-].
    size : float or None
        How much; None for the middle of the fault's range [in the fault's unit].

    Returns
    -------
    Job
        The flight with the fault [-].

    Raises
    ------
    ValueError
        When there is no such fault, or the size is far outside its range.
    """
    known = fault(name)
    given = known.middle if size is None else float(size)
    least, most = known.low / 10, known.high * 3
    if not least <= given <= most:
        raise ValueError(
            f"{known.title}: size is {given:g} {known.unit}; allowed is {least:g} to {most:g}, "
            f"usual is {known.low:g} to {known.high:g}; is it in another unit?"
        )
    return known.change(job, given)


def apply(aeroplane: Aeroplane, name: str, size: float | None = None) -> Aeroplane:
    """Give an aeroplane a fault.

    Parameters
    ----------
    aeroplane : Aeroplane
        Without the fault; it stays as it was [-].
    name : str
        A name of `CATALOGUE` that sits on the aeroplane [-].
    size : float or None
        How much; None for the middle of the fault's range [in the fault's unit].

    Returns
    -------
    Aeroplane
        The copy with the fault [-].

    Raises
    ------
    ValueError
        When the fault is in the winding, the launch or the hall: use `afflict` for those.

    Examples
    --------
    >>> from trimkit import load_aeroplane
    >>> from trimkit.places import demo_folder
    >>> trainer = load_aeroplane(demo_folder() / "aeroplanes/hallfinch-46.toml")
    >>> apply(trainer, "loose-tail", 0.5).build.tail.joint_slack
    0.5
    """
    if not fault(name).on_aeroplane:
        raise ValueError(
            f"{name!r} is not in the aeroplane but in the winding, the launch or the hall; "
            "use faults.afflict(job, name, size)"
        )
    job = Job(aeroplane=aeroplane, launch=Launch(turns=1.0), hall=Hall())
    return afflict(job, name, size).aeroplane
