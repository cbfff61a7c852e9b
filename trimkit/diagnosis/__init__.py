"""Finding what is wrong with an aeroplane, and judging how it was found.

`bayes` turns what was seen into how likely each cause is, exactly, and says what another look
would teach. `scoring` marks a stated belief so that saying what you believe pays best.

`posterior` reads a log and says how likely each fault is; `next_steps` and `advise` say what to do
about it. They ask a stored library of flights, which `trimkit library build` makes: `deviations`
turns faults and settings into one list, `samples` draws the flights, `response` is fitted to them.

`mark` gives a log five scores, with a label for each action (`labels`) and counts of fair comparing
(`skills`), measured against the way the reference would take (`reference`); `robustness` says how
firm they are. `misunderstandings` lists wrong ideas and the flights that contradict them.
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
from trimkit.diagnosis.causes import Posterior, posterior
from trimkit.diagnosis.library import Library, StaleLibrary
from trimkit.diagnosis.marks import WEIGHTS, Marks, Score, mark
from trimkit.diagnosis.misunderstandings import IDEAS, Misunderstanding
from trimkit.diagnosis.robustness import Sensitivity, sensitivity
from trimkit.diagnosis.scoring import (
    Calibration,
    belief,
    calibration,
    certainty_score,
    merged,
    quadratic_score,
)
from trimkit.diagnosis.steps import Advice, Step, advise, next_steps

__all__ = [
    "IDEAS",
    "WEIGHTS",
    "Advice",
    "Calibration",
    "Library",
    "Marks",
    "Misunderstanding",
    "Network",
    "Posterior",
    "Score",
    "Sensitivity",
    "StaleLibrary",
    "Step",
    "Variable",
    "advise",
    "belief",
    "calibration",
    "certainty_score",
    "entropy_bits",
    "expected_information_bits",
    "information_per_cost",
    "log_update",
    "mark",
    "merged",
    "next_steps",
    "posterior",
    "quadratic_score",
    "sensitivity",
    "update",
]
