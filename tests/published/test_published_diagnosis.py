"""Published numbers on diagnosis. Each source stands beside its number."""

from collections import Counter

import pytest

from trimkit.diagnosis.bayes import (
    Network,
    Variable,
    entropy_bits,
    expected_information_bits,
    update,
)

YES_NO = ("yes", "no")


def yes(*chances):
    """Rows of a table from the chances of "yes"."""
    return tuple((chance, 1 - chance) for chance in chances)


# Lauritzen & Spiegelhalter, J. R. Statist. Soc. B 50 (1988) 157: the network and its tables.
# A row for each combination of the parents, yes before no, the last parent fastest.
ASIA = Network(
    (
        Variable("asia", YES_NO, yes(0.01)),
        Variable("smoke", YES_NO, yes(0.5)),
        Variable("tub", YES_NO, yes(0.05, 0.01), ("asia",)),
        Variable("lung", YES_NO, yes(0.1, 0.01), ("smoke",)),
        Variable("bronc", YES_NO, yes(0.6, 0.3), ("smoke",)),
        Variable("either", YES_NO, yes(1, 1, 1, 0), ("tub", "lung")),
        Variable("xray", YES_NO, yes(0.98, 0.05), ("either",)),
        Variable("dysp", YES_NO, yes(0.9, 0.7, 0.8, 0.1), ("either", "bronc")),
    )
)


# Computed once with a public library for these networks; tolerance 1e-6, half a digit more
# than is printed.
@pytest.mark.parametrize(
    ("evidence", "tub", "lung", "bronc"),
    [
        ({"dysp": "yes", "asia": "yes"}, 0.087751, 0.099525, 0.811402),
        ({"dysp": "yes", "asia": "yes", "xray": "yes"}, 0.391712, 0.444271, 0.628822),
    ],
)
def test_asia_posteriors(evidence, tub, lung, bronc):
    found = ASIA.posterior(evidence)
    assert found["tub"]["yes"] == pytest.approx(tub, abs=1e-6)
    assert found["lung"]["yes"] == pytest.approx(lung, abs=1e-6)
    assert found["bronc"]["yes"] == pytest.approx(bronc, abs=1e-6)


# The same run.
@pytest.mark.parametrize(
    ("cause", "sign", "bits"),
    [("lung", "xray", 0.184807), ("lung", "dysp", 0.025382), ("bronc", "dysp", 0.361561)],
)
def test_asia_mutual_information(cause, sign, bits):
    assert ASIA.mutual_information_bits(cause, sign) == pytest.approx(bits, abs=1e-6)


# Quinlan, Machine Learning 1 (1986) 81, table 1; the 14 rows are from memory.
TENNIS_COLUMNS = ("outlook", "temperature", "humidity", "wind", "play")
TENNIS = [
    row.split()
    for row in (
        "sunny hot high weak no",
        "sunny hot high strong no",
        "overcast hot high weak yes",
        "rain mild high weak yes",
        "rain cool normal weak yes",
        "rain cool normal strong no",
        "overcast cool normal strong yes",
        "sunny mild high weak no",
        "sunny cool normal weak yes",
        "rain mild normal weak yes",
        "sunny mild normal strong yes",
        "overcast mild high strong yes",
        "overcast hot normal weak yes",
        "rain mild high strong no",
    )
]


def counted(column, parent=None):
    """A variable whose table is counted from the rows."""
    at = TENNIS_COLUMNS.index(column)
    states = tuple(sorted({row[at] for row in TENNIS}))
    if parent is None:
        groups = [TENNIS]
    else:
        above = TENNIS_COLUMNS.index(parent)
        groups = [[r for r in TENNIS if r[above] == s] for s in sorted({r[above] for r in TENNIS})]
    counts = [Counter(row[at] for row in group) for group in groups]
    table = tuple(tuple(count[s] / count.total() for s in states) for count in counts)
    return Variable(column, states, table, (parent,) if parent else ())


# Entropy and gains of those rows, rounded to 1e-6; Mitchell, Machine Learning (1997), section
# 3.4, prints .940, .246, .151, .048 and .029 (from memory).
def test_play_tennis_entropy():
    (chances,) = counted("play").table
    assert entropy_bits(chances) == pytest.approx(0.940286, abs=1e-6)


@pytest.mark.parametrize(
    ("column", "gain"),
    [("outlook", 0.246750), ("humidity", 0.151836), ("wind", 0.048127), ("temperature", 0.029223)],
)
def test_play_tennis_gains(column, gain):
    play, sign = counted("play"), counted(column, "play")
    network = Network((play, sign))
    assert network.mutual_information_bits("play", column) == pytest.approx(gain, abs=1e-6)
    assert expected_information_bits(play.table[0], sign.table) == pytest.approx(gain, abs=1e-6)


# The usual base-rate question, from memory: 1 % have it, the test finds 80 % of them and
# wrongly names 9.6 % of the others (0.904 rightly cleared); .008/.10304 by hand.
def test_base_rate():
    ill, test = (
        Variable("ill", YES_NO, yes(0.01)),
        Variable("test", YES_NO, yes(0.8, 1 - 0.904), ("ill",)),
    )
    found = Network((ill, test)).posterior({"test": "yes"})
    assert found["ill"]["yes"] == pytest.approx(0.077640, abs=1e-6)
    assert update([0.01, 0.99], [0.8, 0.096])[0] == pytest.approx(0.077640, abs=1e-6)
