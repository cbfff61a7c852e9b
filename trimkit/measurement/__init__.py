"""A team's own aeroplane from a ruler, a balance and a torque meter.

`QUESTIONS` lists what can be read, with the place for the ruler and the reading error of each.
`read_answer` turns what was typed into a number and catches the usual slips. `aeroplane_of`
makes an aeroplane of any sheet of answers, however few: what was not measured is taken from the
trainer, scaled, and named as guessed. Angles come out with their errors.

The reading errors are usual sizes (standard deviations): ruler .5 mm, balance .1 g, balance
point 1 mm, torque meter 5 %, pitch gauge 1°; common practice, no source.
"""

from trimkit.measurement.answers import Reading, doubt_about, read_answer
from trimkit.measurement.building import Derived, Measured, aeroplane_of
from trimkit.measurement.guesses import filled, guess, guess_words, readings_of, trainer
from trimkit.measurement.questions import (
    BY_NAME,
    FIRST,
    NAMES,
    QUESTIONS,
    Answer,
    Question,
    Sheet,
    SlipError,
)
from trimkit.measurement.sheet import load_sheet, save_sheet, sheet_path

__all__ = [
    "BY_NAME", "FIRST", "NAMES", "QUESTIONS", "Answer", "Derived", "Measured", "Question",
    "Reading", "Sheet", "SlipError", "aeroplane_of", "doubt_about", "filled", "guess",
    "guess_words", "load_sheet", "read_answer", "readings_of", "save_sheet", "sheet_path",
    "trainer",
]  # fmt: skip
