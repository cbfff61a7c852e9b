"""Finding what is wrong with an aeroplane, and judging how it was found.

`bayes` turns what was seen into how likely each cause is, exactly, and says what another look
would teach. `scoring` marks a stated belief so that saying what you believe pays best.
"""

from trimkit.diagnosis.bayes import (
    Network,
    Variable,
    entropy_bits,
    expected_information_bits,
    information_per_cost,
    log_update,
    update,
)
from trimkit.diagnosis.scoring import (
    Calibration,
    belief,
    calibration,
    certainty_score,
    merged,
    quadratic_score,
)

__all__ = [
    "Calibration",
    "Network",
    "Variable",
    "belief",
    "calibration",
    "certainty_score",
    "entropy_bits",
    "expected_information_bits",
    "information_per_cost",
    "log_update",
    "merged",
    "quadratic_score",
    "update",
]
