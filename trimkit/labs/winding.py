"""The lab of the rubber: a loop, its turns, what is backed off, and the torque that is left."""

from __future__ import annotations

import dataclasses

from trimkit import figures
from trimkit.aeroplane import Aeroplane
from trimkit.flight import level_torque_mNm
from trimkit.flight.canon import demo_aeroplanes
from trimkit.labs.bench import LAB_DPI, Lab, Read, Reading, Slider, Values, open_lab
from trimkit.motor import RubberMotor, turns_for_torque
from trimkit.units import quantities

TITLE = "Winding, backing off, torque"
SHORTEST, LONGEST = 0.7, 1.4  # loops against the one fitted
NARROWEST, WIDEST = 0.75, 1.35  # strips against the one fitted
COLDEST_C, WARMEST_C = 5.0, 30.0
USUAL_SHARE, MOST_SHARE = 0.7, 0.98  # of the turns at which it may break; assumed
MOST_BACKED_OFF = 300.0
MILD, STRONG = 1.5, 3.0  # times the level torque; common practice, no source
CAUTION = "Stretched rubber can hit an eye: glasses on, nobody in line with it."


def winding(aeroplane: Aeroplane | None = None) -> None:
    """Open the lab: loop, strip, turns, back-off and temperature, and the torque they give.

    Parameters
    ----------
    aeroplane : Aeroplane or None
        Whose motor, and whose level flight; None for the demo trainer [-].
    """
    open_lab(TITLE, lambda: _parts(aeroplane))


def lab(aeroplane: Aeroplane | None = None) -> Lab:
    """Make the lab without showing it.

    Parameters
    ----------
    aeroplane : Aeroplane or None
        Whose motor, and whose level flight; None for the demo trainer [-].

    Returns
    -------
    Lab
        The lab; its `form` can be put into other widgets [-].
    """
    return Lab(TITLE, *_parts(aeroplane))


def _parts(aeroplane: Aeroplane | None) -> tuple[list[Slider], Read]:
    design = aeroplane or demo_aeroplanes()[0]
    return _sliders(design.setting.motor), _reader(design)


def _sliders(fitted: RubberMotor) -> list[Slider]:
    breaks = fitted.max_turns()
    return [
        _slider("loop_mm", "Loop length", "mm", fitted.loop_mm, (SHORTEST, LONGEST), 1.0,
                "A longer loop takes more turns and weighs more."),
        _slider("strip_width_mm", "Strip width", "mm", fitted.strip_width_mm,
                (NARROWEST, WIDEST), 0.01, "A wider strip pulls harder and takes fewer turns."),
        Slider(
            name="turns", label="Turns wound", unit="", low=0.1 * round(breaks, -1), step=10.0,
            high=round(1.6 * breaks, -1), start=round(USUAL_SHARE * breaks, -1),
            meaning="Turns put on the loop.",
        ),
        Slider(
            name="backed_off", label="Turns backed off", unit="", low=0.0, high=MOST_BACKED_OFF,
            step=5.0, start=0.0, meaning="Turns taken off again before the launch.",
        ),
        Slider(
            name="temperature_c", label="Temperature", unit="°C", low=COLDEST_C, high=WARMEST_C,
            step=1.0, start=20.0, meaning="Of the rubber. Cold rubber gives less back.",
        ),
    ]  # fmt: skip


def _slider(
    name: str, label: str, unit: str, now: float, shares: tuple[float, float], step: float,
    meaning: str,
) -> Slider:  # fmt: skip
    allowed = quantities(RubberMotor)[name]
    low = max(allowed.low, round(shares[0] * now, 2))
    high = min(allowed.high, round(shares[1] * now, 2))
    return Slider(
        name=name, label=label, unit=unit, low=low, high=high, step=step, start=now, meaning=meaning
    )


def loop(fitted: RubberMotor, values: Values) -> RubberMotor:
    """Cut the loop that the sliders say, from the rubber that is fitted.

    Parameters
    ----------
    fitted : RubberMotor
        The loop of the aeroplane [-].
    values : mapping
        loop_mm and strip_width_mm [mm, mm].

    Returns
    -------
    RubberMotor
        The changed copy [-].
    """
    return dataclasses.replace(
        fitted, loop_mm=values["loop_mm"], strip_width_mm=values["strip_width_mm"]
    )


def _reader(aeroplane: Aeroplane) -> Read:
    fitted = aeroplane.setting.motor
    level = _level_mNm(aeroplane)
    still = figures.torque_stage(LAB_DPI)

    def read(values: Values) -> Reading:
        rubber, warm = loop(fitted, values), values["temperature_c"]
        wound, off = values["turns"], values["backed_off"]
        breaks = rubber.max_turns(warm)
        if wound > MOST_SHARE * breaks:
            raise ValueError(
                f"This loop may break at {breaks:.0f} turns, so {wound:.0f} are too many; "
                f"allowed here is up to {MOST_SHARE * breaks:.0f}"
            )
        if off >= wound:
            raise ValueError(
                f"{off:.0f} turns cannot be backed off from {wound:.0f}; allowed is fewer than "
                "were wound"
            )
        return Reading(still(rubber, wound, level, warm, off), _words(rubber, values, level))

    return read


def _level_mNm(aeroplane: Aeroplane) -> float | None:
    """None for an aeroplane that has no level flight: the curve is worth a look all the same."""
    try:
        return level_torque_mNm(aeroplane)
    except ValueError:
        return None


def _words(rubber: RubberMotor, values: Values, level_mNm: float | None) -> str:
    wound, warm = values["turns"], values["temperature_c"]
    left = wound - values["backed_off"]
    top = rubber.winding_torque_mNm(wound, warm)
    launch = rubber.unwinding_torque_mNm(left, wound, warm)
    breaks = rubber.max_turns(warm)
    lost = 1 - rubber.returned_energy_J(wound, warm) / rubber.stored_energy_J(wound, warm)
    words = [
        f"At the launch: {left:.0f} turns and {launch:.1f} mN m. The loop weighs "
        f"{rubber.mass_g:.2f} g, and {wound:.0f} turns are {wound / breaks:.0%} of those that may "
        f"break it: {breaks - wound:.0f} fewer.",
        _power(launch, level_mNm),
    ]
    if left < wound:
        same = turns_for_torque(rubber, launch, warm)
        words.append(
            f"Backing off {wound - left:.0f} turns takes the torque from {top:.1f} down to "
            f"{launch:.1f} mN m. Wound only to that torque, the loop would hold {same:.0f} turns: "
            f"{left - same:.0f} fewer than now. The same torque with more turns is a longer "
            "flight: that is why we wind high and back off."
            if left > same
            else f"Backing off {wound - left:.0f} turns leaves {launch:.1f} of {top:.1f} mN m."
        )
    words.append(f"Of the work put in, {lost:.0%} does not come back. {CAUTION}")
    return "\n".join(word for word in words if word)


def _power(launch_mNm: float, level_mNm: float | None) -> str:
    if level_mNm is None:
        return "This aeroplane has no level flight, so nobody can say what torque it needs."
    times = launch_mNm / level_mNm
    often = "twice" if round(times, 1) == 2 else f"{times:.1f} times"
    said = f"That is {often} the torque of level flight"
    if times < 1:
        return f"{said}: it sinks from the hand on."
    if times < MILD:
        return f"{said}: a low-power test."
    return f"{said}: it climbs." if times < STRONG else f"{said}: a steep, wild launch."
