"""The contest table: an aeroplane, its motors and its logbook against a card of rules.

A card is a TOML file of our own that a coach fills in from the real rules of the year; the one in
the demo data is invented. What a ruler or a balance can judge is judged with its reading error:
inside by more than the error is "pass", outside by more is "fail", and what lies between, or was
never measured, is "measure again". What only a person can judge is a box to tick.
"""

from trimkit.rules.card import (
    FIGURES,
    FlightPlan,
    Limit,
    LogRule,
    Motor,
    MotorPlan,
    ReadingErrors,
    Rules,
)
from trimkit.rules.judging import Logged, check, guesses, judged, logged_flights, stock_of
from trimkit.rules.reading import read, read_motors, write_motors
from trimkit.rules.table import INVENTED, STATES, Contest, Item, State, Stock

__all__ = [
    "FIGURES",
    "INVENTED",
    "STATES",
    "Contest",
    "FlightPlan",
    "Item",
    "Limit",
    "LogRule",
    "Logged",
    "Motor",
    "MotorPlan",
    "ReadingErrors",
    "Rules",
    "State",
    "Stock",
    "check",
    "guesses",
    "judged",
    "logged_flights",
    "read",
    "read_motors",
    "stock_of",
    "write_motors",
]
