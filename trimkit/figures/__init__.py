"""Pictures for the bench and the hall, each with the same said in plain words.

Every function returns a `Picture`: a matplotlib figure, and a text that a 12-year-old can read
aloud to somebody who does not see it. One style holds for all: large type for a projector in
a bright hall; lines differ in dash and marker and carry their names, so that a black and white
print says the same; the colours are told apart by colour-blind eyes.

Nothing here touches pyplot or leaves a figure open: a figure goes when its picture goes.
The nose points to the left in every picture of an aeroplane, as stations count from the nose.
"""

from trimkit.figures.aeroplane import INCIDENCE_STRETCH, side_view
from trimkit.figures.beam import beam_view
from trimkit.figures.bench import (
    DEGREES,
    HEIGHT_STRETCH,
    RULER_ABOVE_MM,
    TAIL_START,
    TALLEST_MM,
    Edges,
    bench_stage,
    bench_view,
    readings,
    ruler_view,
)
from trimkit.figures.blades import GAUGE_RATIO, Blades, blades_stage, blades_view
from trimkit.figures.circles import across_m, circle_view
from trimkit.figures.flight import Track, compare_view, flight_view
from trimkit.figures.forces import Balance, Force, force_view, forces_of
from trimkit.figures.glide import (
    HALL_LENGTH_M,
    HAND_HEIGHT_M,
    glide_path,
    glide_stage,
    landing_m,
    time_down_s,
)
from trimkit.figures.motor import torque_curve, torque_stage
from trimkit.figures.planform import front_view, plan_view
from trimkit.figures.rolling import Roll, rolling_view
from trimkit.figures.session import SessionRow, session_view
from trimkit.figures.steps import Step, steps_view
from trimkit.figures.style import (
    BLUE,
    GREY,
    HEIGHT_IN,
    INK,
    LARGE,
    LOOKS,
    MIDDLE,
    ORANGE,
    PALE,
    SCREEN_DPI,
    SLIDE,
    SMALL,
    TALL_IN,
    WIDTH_IN,
    Look,
    Page,
    Picture,
    Stage,
    Still,
    page,
    signed,
    style,
)

__all__ = [
    "BLUE",
    "DEGREES",
    "GAUGE_RATIO",
    "GREY",
    "HALL_LENGTH_M",
    "HAND_HEIGHT_M",
    "HEIGHT_IN",
    "HEIGHT_STRETCH",
    "INCIDENCE_STRETCH",
    "INK",
    "LARGE",
    "LOOKS",
    "MIDDLE",
    "ORANGE",
    "PALE",
    "RULER_ABOVE_MM",
    "SCREEN_DPI",
    "SLIDE",
    "SMALL",
    "TAIL_START",
    "TALLEST_MM",
    "TALL_IN",
    "WIDTH_IN",
    "Balance",
    "Blades",
    "Edges",
    "Force",
    "Look",
    "Page",
    "Picture",
    "Roll",
    "SessionRow",
    "Stage",
    "Step",
    "Still",
    "Track",
    "across_m",
    "beam_view",
    "bench_stage",
    "bench_view",
    "blades_stage",
    "blades_view",
    "circle_view",
    "compare_view",
    "flight_view",
    "force_view",
    "forces_of",
    "front_view",
    "glide_path",
    "glide_stage",
    "landing_m",
    "page",
    "plan_view",
    "readings",
    "rolling_view",
    "ruler_view",
    "session_view",
    "side_view",
    "signed",
    "steps_view",
    "style",
    "time_down_s",
    "torque_curve",
    "torque_stage",
]
