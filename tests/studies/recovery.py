"""Aeroplanes and motors made from known figures, read and flown with error, and fitted again."""

from __future__ import annotations

import datetime
import math
from dataclasses import replace
from typing import Any

import numpy as np

import trimkit
from trimkit import fit, places, plan
from trimkit.aeroplane import Aeroplane
from trimkit.fit.evidence import WIDE_M, computed
from trimkit.fit.unknowns import UNKNOWNS, moved
from trimkit.flight import Flight, Hall, Job, Launch, fly_many
from trimkit.flight.hall import QUIET_HALL_M_S
from trimkit.logbook import FlightRow
from trimkit.motor import RubberMotor

SHARES = (0.62, 0.70, 0.78)  # of the breaking turns
BACK_OFF, WARM_C = 30, 20.0
ROOF_M, TRUE_FLIGHTS = 9.0, 10
MEASURED = RubberMotor.of_mass(2.0, 2.4, 1.1)


def aeroplane(name: str) -> Aeroplane:
    return trimkit.load_aeroplane(places.demo_folder() / "aeroplanes" / f"{name}.toml")


def true_aeroplane(measured: Aeroplane, seed: int) -> Aeroplane:
    """Draw what a ruler would leave open."""
    return moved(measured, np.random.default_rng([seed, 7]).standard_normal(len(UNKNOWNS)))


def logbook(true: Aeroplane, seed: int, repeats: int = 2) -> list[FlightRow]:
    """Fly in restless air from a practised hand, and write down with reading error."""
    most = true.setting.motor.max_turns(WARM_C)
    hall = Hall(size_m=WIDE_M, restless_m_s=QUIET_HALL_M_S, temperature_c=WARM_C)
    turns = [round(share * most) for share in SHARES for _ in range(repeats)]
    jobs = [
        Job(
            aeroplane=true,
            launch=Launch(turns=one - BACK_OFF, backed_off=BACK_OFF, scatter=1),
            hall=hall,
            seed=1000 * seed + place,
        )
        for place, one in enumerate(turns)
    ]
    chance = np.random.default_rng([seed, 8])
    flown = [one for one in fly_many(jobs) if isinstance(one, Flight)]
    return [
        _row(place, job, one, chance)
        for place, (job, one) in enumerate(zip(jobs, flown, strict=True), 2)
    ]


def _row(line: int, job: Job, flown: Flight, chance: np.random.Generator) -> FlightRow:
    shown, loop = computed(flown), job.aeroplane.setting.motor
    wound = job.launch.turns + job.launch.backed_off
    torque = loop.unwinding_torque_mNm(job.launch.turns, wound, WARM_C)
    laps = abs(float(flown.heading_deg[-1] - flown.heading_deg[0])) / 360
    miss = chance.standard_normal(7)
    return FlightRow(
        line=line,
        date=datetime.date(2026, 11, 26),
        aeroplane=job.aeroplane.name,
        temperature_c=WARM_C,
        turns=round(wound),
        backed_off=BACK_OFF,
        turns_left=max(round(flown.turns_at_landing + 5 * miss[0]), 0),
        launch_torque_mNm=round(torque * (1 + 0.02 * miss[1]) + 0.05 * miss[2], 2),
        time_s=round(flown.duration_s + 0.3 * miss[3], 1),
        laps=round(2 * laps) / 2,
        lap_s=round(shown["lap"] + 0.3 * miss[4], 1),
        circle_m=round(shown["circle"] + 0.4 * miss[5], 1),
        height_m=max(round(flown.peak_height_m + 0.4 * miss[6], 1), 1.0),
        hit="",
    )


def recovered(name: str, seed: int) -> dict[str, Any]:
    """One aeroplane made, flown, fitted: whether each interval holds the truth, and how wide."""
    measured = aeroplane(name)
    true = true_aeroplane(measured, seed)
    evidence, remarks = fit.gather(logbook(true, seed), measured, {})
    try:
        found = fit.fit_flights(evidence, measured, remarks)
    except ValueError as refused:
        return {"seed": seed, "refused": str(refused).split("\n")[0]}
    truth = fit.level_flight(true) if found.level else None
    held = {
        one.name: one.fitted.low <= known.value_of(true) <= one.fitted.high
        for one, known in zip(found.figures, UNKNOWNS, strict=True)
    }
    if truth:
        for (title, one), value in zip(found.level, truth.values, strict=True):
            held[title] = one.low <= value <= one.high
    width = {one.name: (one.fitted.high - one.fitted.low) / 3.29 for one in found.figures}
    return {
        "seed": seed,
        "held": held,
        "error": {name: round(value, 4) for name, value in width.items()},
        "left_out": len(found.left_out),
        "scatter": round(found.scatter, 3),
    }


def planned(name: str, seed: int) -> dict[str, Any]:
    """One aeroplane made, flown, fitted, planned; the plan's spread against its true flights."""
    measured = aeroplane(name)
    true = true_aeroplane(measured, seed)
    evidence, remarks = fit.gather(logbook(true, seed), measured, {})
    try:
        found = fit.fit_flights(evidence, measured, remarks)
        record = fit.FitRecord(name, len(found.used), found.scatter, np.array(found.covariance))
        want = plan.Want(height_m=ROOF_M, seed=seed)
        made = plan.plan_flights(found.aeroplane, want, (), record)
    except ValueError as refused:
        return {"seed": seed, "refused": str(refused).split("\n")[0]}
    if not made.outlooks:
        return {"seed": seed, "refused": made.refused[0].why}
    one = made.outlooks[0]
    launch = Launch(turns=one.winding.turns_at_launch, backed_off=one.winding.backed_off, scatter=1)
    hall = Hall(
        size_m=(WIDE_M[0], WIDE_M[1], ROOF_M), restless_m_s=QUIET_HALL_M_S, temperature_c=WARM_C
    )
    jobs = [
        Job(aeroplane=true, launch=launch, hall=hall, seed=100_000 + 1000 * seed + place)
        for place in range(TRUE_FLIGHTS)
    ]
    flown = [flight for flight in fly_many(jobs) if isinstance(flight, Flight)]
    return {
        "seed": seed,
        "time": sum(one.time_s.low <= f.duration_s <= one.time_s.high for f in flown),
        "height": sum(one.height_m.low <= f.peak_height_m <= one.height_m.high for f in flown),
        "touched": sum(any("ceiling" in e.what for e in f.events) for f in flown),
        "touch_chance": round(one.touch_chance, 3),
    }


def torque_readings(seed: int) -> tuple[RubberMotor, list[fit.TorqueReading]]:
    """A motor with an unknown section and strength, and 14 readings of it."""
    chance = np.random.default_rng([seed, 9])
    width = MEASURED.strip_width_mm * math.exp(0.02 * chance.standard_normal())
    strength = float(np.clip(math.exp(0.07 * chance.standard_normal()), 0.8, 1.2))
    true = replace(
        MEASURED,
        strip_width_mm=width,
        batch_strength=strength,
        lubrication=float(chance.uniform(0.5, 1.0)),
    )
    top = round(0.85 * MEASURED.limit_turns)
    up = [round(share * top) for share in np.linspace(0.15, 1, 9)]
    down = [round(share * top) for share in np.linspace(0.9, 0.2, 5)]
    exact = [(one, one, true.winding_torque_mNm(one)) for one in up]
    exact += [(one, top, true.unwinding_torque_mNm(one, top)) for one in down]
    readings = [
        fit.TorqueReading(
            place, "1", turns, torque + math.hypot(0.05, 0.02 * torque) * chance.standard_normal(),
            wound,
        )
        for place, (turns, wound, torque) in enumerate(exact, 2)
    ]  # fmt: skip
    return true, readings


def motor_held(seed: int) -> dict[str, bool]:
    """Whether each interval of one motor holds the truth."""
    true, readings = torque_readings(seed)
    found = fit.fit_curve(readings, MEASURED)
    top = found.to_turns
    pairs = {
        "section": (found.section_mm2, true.section_mm2),
        "strength": (found.strength, true.batch_strength),
        "lubrication": (found.lubrication, true.lubrication),
        "torque": (found.torque_mNm(top), true.winding_torque_mNm(top)),
    }
    return {name: one.low <= value <= one.high for name, (one, value) in pairs.items()}
