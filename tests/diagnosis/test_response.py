"""The fit foretells flights, and knows how far off it may be."""

import numpy as np
import pytest

from tests.diagnosis import conftest as small
from trimkit import observe
from trimkit.diagnosis import response
from trimkit.diagnosis.deviations import NAMES
from trimkit.diagnosis.response import FEATURES


def test_the_scales_can_be_undone():
    raw = np.array([[60.0, 4.0, 20.0, 0.3, 25.0, -170.0, 3.0, 40.0, -20.0, 5.0, 8.0, 20.0, -9.0,
                     12.0, 3.0, 2.4, -0.2, 0.4, 6.0, 11.0, -30.0, 0.9, 9.0, 2.0]])  # fmt: skip
    assert np.allclose(response.from_scale(response.to_scale(raw)), raw)
    assert set(FEATURES) == set(observe.NAMES)


def test_turns_left_become_turns_that_were_on():
    values = {"turns_left": 200.0, "turns_per_s": 10.0, "duration_s": 60.0}
    rows, errors = response.scaled(values, turns=1000.0)
    place = FEATURES.index("turns_left")
    assert np.sinh(rows[place]) == pytest.approx(0.8)  # a fifth was never on
    assert 0.005 < errors[place] < 0.03
    assert np.isnan(rows[FEATURES.index("rock_deg")])


def test_errors_shrink_where_the_scale_is_steep():
    short, long = (response.scaled({"duration_s": time}, 1000.0)[1] for time in (3.0, 100.0))
    place = FEATURES.index("duration_s")
    assert short[place] == pytest.approx(0.7 / 5.0)
    assert long[place] == pytest.approx(0.7 / 102.0)


def test_expected_errors_are_those_of_what_is_expected():
    values = dict.fromkeys(FEATURES, 2.0) | {"turns_left": 500.0, "duration_s": 50.0,
                                             "turns_per_s": 10.0}  # fmt: skip
    rows, errors = response.scaled(values, 1000.0)
    told, on = response.expected_errors(rows), FEATURES.index("turns_left")
    assert np.delete(told, on) == pytest.approx(np.delete(errors, on), rel=0.01)
    assert errors[on] < told[on] < 2 * errors[on]  # what is left is not known beforehand


def test_it_foretells_flights_that_it_was_not_fitted_to(library):
    chance = np.random.default_rng(9)
    rows = chance.normal(0, 1.3, (60, len(NAMES))) * (chance.random((60, len(NAMES))) < 0.06)
    ratios = chance.uniform(1, 2.5, 60)
    true = small.signs(rows, ratios)
    said = library.response.predict(rows, ratios, library.response.known[0])
    missed = np.mean((said.mean - true) ** 2) / np.var(true)
    assert missed < 0.15
    assert np.all(library.response.explained > 0.6)


def test_its_scatter_is_as_wide_as_its_misses(library):
    chance = np.random.default_rng(10)
    rows = chance.normal(0, 1.3, (200, len(NAMES))) * (chance.random((200, len(NAMES))) < 0.06)
    ratios = chance.uniform(1, 2.5, 200)
    seen = small.signs(rows, ratios) + chance.normal(0, small.NOISE, (200, len(FEATURES)))
    said = library.response.predict(rows, ratios, library.response.known[0])
    assert 0.5 < np.mean(((seen - said.mean) / said.spread) ** 2) < 1.5


def test_repeats_share_more_of_the_scatter_than_nothing(library):
    assert 0.3 < library.response.shared_repeat <= 0.9
    assert 0.0 <= library.response.shared_other <= library.response.shared_repeat


def test_stored_weights_foretell_the_same(library):
    again = response.Response.from_arrays(library.response.as_arrays())
    rows, ratio = np.eye(len(NAMES)), np.full(len(NAMES), 2.0)
    one, other = (r.predict(rows, ratio, r.known[1]) for r in (library.response, again))
    assert one.mean == pytest.approx(other.mean, abs=1e-4)
    assert one.scatter() == pytest.approx(other.scatter(), abs=1e-4)


def test_the_heavy_tail_is_a_density():
    x = np.linspace(-400, 400, 400_001)
    area = np.trapezoid(np.exp(response.log_density(x**2, 0.0, 1, 4.0)), x)
    second = np.trapezoid(x**2 * np.exp(response.log_density(x**2, 0.0, 1, 6.0)), x)
    assert area == pytest.approx(1.0, abs=1e-4)
    assert second == pytest.approx(1.0, abs=1e-3)


def test_too_few_flights_are_refused():
    few = small.flown()
    cut = response.Flown(*(getattr(few, f)[:50] if f != "known" else few.known
                           for f in response.Flown.__slots__))  # fmt: skip
    with pytest.raises(ValueError, match="50 flights; allowed is 100"):
        response.fit(cut)
