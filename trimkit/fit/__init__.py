"""From what a team measured and flew to figures with intervals.

`fit_curve` makes a motor's torque curve from readings of a torque meter. `fit_flights` changes an
aeroplane's lift, drag and propeller until computed flights are like those in the logbook. Every
figure comes with the interval that holds it with 90 %; what lies too far off is named and left
out; a curve is not read beyond its readings.
"""

from trimkit.fit.curve import Interval, MotorCurve, TooFewError, fit_curve
from trimkit.fit.evidence import Evidence, gather, loops_of
from trimkit.fit.flights import FittedAeroplane, FittedFigure, fit_flights
from trimkit.fit.level import LevelFlight, level_flight
from trimkit.fit.readings import (
    READING_COLUMNS,
    TorqueReading,
    TorqueTable,
    read_torque,
    reading_columns_words,
    reads_torque,
)
from trimkit.fit.record import FitRecord, fit_path, read_fit, write_fit

__all__ = [
    "READING_COLUMNS", "Evidence", "FitRecord", "FittedAeroplane", "FittedFigure", "Interval",
    "LevelFlight", "MotorCurve", "TooFewError", "TorqueReading", "TorqueTable", "fit_curve",
    "fit_flights", "fit_path", "gather", "level_flight", "loops_of", "read_fit", "read_torque",
    "reading_columns_words", "reads_torque", "write_fit",
]  # fmt: skip
