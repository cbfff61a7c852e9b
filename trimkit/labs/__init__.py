"""Labs: sliders, a figure that redraws in place, and the number that matters in words."""

from trimkit.labs.bench import show
from trimkit.labs.clinic import clinic
from trimkit.labs.low_power import compare_settings, low_power
from trimkit.labs.ruler import ruler_and_shim

__all__ = ["clinic", "compare_settings", "low_power", "ruler_and_shim", "show"]
