"""Flights by the equations of motion, compiled.

`fly` flies once, `fly_many` thousands of times, `steady` finds the powered circle, and
`level_torque_mNm` the torque that holds the height.
"""

from trimkit.flight.fly import fly, prepare
from trimkit.flight.hall import Hall, vacuum
from trimkit.flight.launch import Launch
from trimkit.flight.level import level_torque_mNm, turns_for
from trimkit.flight.many import Job, fly_many
from trimkit.flight.record import Event, Flight
from trimkit.flight.steady import Steady, steady

__all__ = [
    "Event",
    "Flight",
    "Hall",
    "Job",
    "Launch",
    "Steady",
    "fly",
    "fly_many",
    "level_torque_mNm",
    "prepare",
    "steady",
    "turns_for",
    "vacuum",
]
