"""Labs: sliders, a figure that redraws in place, and the number that matters in words."""

from trimkit.labs import replay
from trimkit.labs.beam import beam
from trimkit.labs.bench import show
from trimkit.labs.blades import blades
from trimkit.labs.circle import circle
from trimkit.labs.clinic import clinic
from trimkit.labs.demonstration import demonstration
from trimkit.labs.low_power import compare_settings, low_power
from trimkit.labs.power import power
from trimkit.labs.ruler import ruler_and_shim
from trimkit.labs.twist import twist
from trimkit.labs.winding import winding

__all__ = [
    "beam",
    "blades",
    "circle",
    "clinic",
    "compare_settings",
    "demonstration",
    "low_power",
    "power",
    "replay",
    "ruler_and_shim",
    "show",
    "twist",
    "winding",
]
