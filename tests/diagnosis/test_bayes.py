"""Exact Bayes agrees with adding up every combination, and refuses what is no probability."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from trimkit.diagnosis.bayes import (
    Network,
    Variable,
    entropy_bits,
    expected_information_bits,
    information_per_cost,
    log_update,
    update,
)

YES_NO = ("yes", "no")
COIN = Variable("coin", YES_NO, ((0.5, 0.5),))


def shares(count, least=0.0):
    """Distributions over some states."""
    weights = arrays(float, count, elements=st.floats(least, 1))
    return weights.filter(lambda w: w.sum() > 0.01).map(lambda w: w / w.sum())


def random_network(seed):
    """Six variables of two or three states, each with up to two parents."""
    rng = np.random.default_rng(seed)
    variables = []
    for number in range(6):
        above = rng.choice(number, size=min(number, int(rng.integers(0, 3))), replace=False)
        parents = tuple(variables[i].name for i in above)
        rows = int(np.prod([len(variables[i].states) for i in above]))
        states = ("a", "b", "c")[: int(rng.integers(2, 4))]
        table = tuple(tuple(rng.dirichlet(np.ones(len(states))).tolist()) for _ in range(rows))
        variables.append(Variable(f"v{number}", states, table, parents))
    return Network(tuple(variables))


def chance(network, world):
    """Chance of one complete combination, straight from the tables."""
    total, states = 1.0, {v.name: v.states for v in network.variables}
    for variable in network.variables:
        row = 0
        for parent in variable.parents:
            row = row * len(states[parent]) + states[parent].index(world[parent])
        total *= variable.table[row][variable.states.index(world[variable.name])]
    return total


def by_adding_up(network, name, evidence):
    names = [v.name for v in network.variables]
    found = {}
    for states in product(*(v.states for v in network.variables)):
        world = dict(zip(names, states, strict=True))
        if all(world[seen] == state for seen, state in evidence.items()):
            found[world[name]] = found.get(world[name], 0) + chance(network, world)
    return {state: p / sum(found.values()) for state, p in found.items()}


@settings(deadline=None, max_examples=30)
@given(st.integers(0, 10**6), st.sets(st.integers(0, 5), max_size=3))
def test_posterior_is_the_sum_over_all_combinations(seed, seen):
    network = random_network(seed)
    evidence = {f"v{number}": "b" for number in seen}
    posterior = network.posterior(evidence)
    assert posterior.keys() == {f"v{number}" for number in range(6)} - evidence.keys()
    for name, found in posterior.items():
        assert found == pytest.approx(by_adding_up(network, name, evidence), abs=1e-12)


def test_joint_keeps_the_order_asked_for():
    network = random_network(7)
    one, other = network.joint(["v5", "v0"]), network.joint(["v0", "v5"])
    assert one == pytest.approx(other.T)
    assert one.sum(axis=1) == pytest.approx(list(network.posterior()["v5"].values()))


def test_mutual_information_is_the_same_both_ways_and_within_the_entropies():
    network = random_network(3)
    bits = network.mutual_information_bits("v1", "v5", {"v3": "a"})
    assert bits == pytest.approx(network.mutual_information_bits("v5", "v1", {"v3": "a"}))
    h1, h5, h15 = (
        entropy_bits(network.joint(names, {"v3": "a"}).ravel())
        for names in (["v1"], ["v5"], ["v1", "v5"])
    )
    assert bits == pytest.approx(h1 + h5 - h15)
    assert bits > 0


def test_mutual_information_with_a_state_that_never_is():
    never = Variable("never", ("a", "b", "c"), ((0.5, 0.5, 0.0),))
    sign = Variable("sign", YES_NO, ((1, 0), (0, 1), (0.5, 0.5)), ("never",))
    assert Network((never, sign)).mutual_information_bits("never", "sign") == pytest.approx(1)


def test_hundreds_of_unlikely_signs_do_not_end_at_zero():
    signs = [
        Variable(f"s{n}", YES_NO, ((1e-12, 1 - 1e-12), (2e-12, 1 - 2e-12)), ("coin",))
        for n in range(300)
    ]
    network = Network((COIN, *signs))
    seen = {f"s{n}": "yes" for n in range(3)}
    assert network.posterior(seen)["coin"]["yes"] == pytest.approx(1 / 9)
    all_seen = {sign.name: "yes" for sign in signs}
    assert network.posterior(all_seen)["coin"]["yes"] == pytest.approx(2.0**-300, abs=0, rel=1e-9)


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (lambda: Variable("v", ("one",), ((1.0,),)), "two or more"),
        (lambda: Variable("v", ("a", "a"), ((0.5, 0.5),)), "all different"),
        (lambda: Variable("v", YES_NO, ((0.2, 0.3, 0.5),)), "wrong way round"),
        (lambda: Variable("v", YES_NO, ((20, 80),)), "percent"),
        (lambda: Variable("v", YES_NO, ((-0.2, 1.2),)), "from 0 up"),
        (lambda: Variable("v", YES_NO, ((float("nan"), 0.5),)), "from 0 up"),
        (lambda: Network((COIN, COIN)), "twice"),
        (lambda: Network((Variable("v", YES_NO, ((0, 1), (1, 0)), ("coin",)), COIN)), "before it"),
        (lambda: Network((COIN, Variable("v", YES_NO, ((0, 1),), ("coin",)))), "2 combinations"),
    ],
)
def test_what_is_no_network_is_refused(make, told):
    with pytest.raises(ValueError, match=told):
        make()


@pytest.mark.parametrize(
    ("names", "evidence", "told"),
    [
        (["v9"], {}, "variables are: v0"),
        (["v0"], {"v9": "a"}, "variables are: v0"),
        (["v0"], {"v1": "z"}, "allowed is a"),
        (["v0"], {"v0": "a"}, "not seen"),
        (["v0", "v0"], {}, "each once"),
        ([], {}, "one or more"),
    ],
)
def test_a_question_that_makes_no_sense_is_refused(names, evidence, told):
    with pytest.raises(ValueError, match=told):
        random_network(1).joint(names, evidence)


def test_evidence_that_cannot_happen_is_refused():
    sign = Variable("sign", YES_NO, ((1, 0), (1, 0)), ("coin",))
    with pytest.raises(ValueError, match="cannot happen"):
        Network((COIN, sign)).posterior({"sign": "no"})


@pytest.mark.parametrize(
    ("p", "bits"), [([1, 0], 0), ([0.5, 0.5], 1), ([0.25] * 4, 2), ([0.5, 0.25, 0.25], 1.5)]
)
def test_entropy_by_hand(p, bits):
    assert entropy_bits(p) == pytest.approx(bits, abs=1e-15)


@given(shares(5), st.lists(arrays(float, 5, elements=st.floats(0.01, 1)), max_size=4))
def test_updates_may_come_in_any_order_or_at_once(prior, seen):
    one = other = prior
    for likelihoods in seen:
        one = update(one, likelihoods)
    for likelihoods in reversed(seen):
        other = update(other, likelihoods)
    at_once = log_update(prior, np.log(np.prod([np.ones(5), *seen], axis=0)))
    assert one == pytest.approx(other, abs=1e-12)
    assert one == pytest.approx(at_once, abs=1e-12)
    assert one.sum() == pytest.approx(1)


def test_log_update_bears_thousands():
    found = log_update([0.5, 0.5, 0], [-4000, -4000 + np.log(3), 9000])
    assert found == pytest.approx([0.25, 0.75, 0])
    assert log_update([0.5, 0.5], [-np.inf, -9000]).tolist() == [0, 1]


@pytest.mark.parametrize(
    ("prior", "logs", "told"),
    [
        ([0.5, 0.5], [-np.inf, -np.inf], "no cause"),
        ([1, 0], [-np.inf, 0], "no cause"),
        ([0.5, 0.5], [np.inf, 0], "below infinity"),
        ([0.5, 0.5], [np.nan, 0], "below infinity"),
        ([0.5, 0.5], [0], "each of 2 causes"),
        ([50, 50], [0, 0], "percent"),
    ],
)
def test_log_update_refuses(prior, logs, told):
    with pytest.raises(ValueError, match=told):
        log_update(prior, logs)


def test_update_refuses_logarithms():
    with pytest.raises(ValueError, match="logarithms"):
        update([0.5, 0.5], [-3, -2])


@settings(deadline=None)
@given(shares(4), st.lists(shares(3), min_size=4, max_size=4))
def test_expected_information_is_the_mean_fall_of_the_entropy(prior, rows):
    rows = np.array(rows)
    outcomes = prior @ rows
    after = sum(
        outcomes[k] * entropy_bits(update(prior, rows[:, k]))
        for k in range(3)
        if outcomes[k] > 1e-300
    )
    found = expected_information_bits(prior, rows)
    assert found == pytest.approx(entropy_bits(prior) - after, abs=1e-9)
    assert 0 <= found <= entropy_bits(prior) + 1e-9


def test_a_cause_that_is_next_to_impossible_does_no_harm():
    rows = [[1, 0], [0, 1]]
    assert expected_information_bits([1, 5e-324], rows) == pytest.approx(0, abs=1e-300)
    assert log_update([1, 5e-324], [-np.inf, 0]).tolist() == [0, 1]
    cause = Variable("cause", YES_NO, ((1, 5e-324),))
    network = Network((cause, Variable("sign", YES_NO, ((1, 0), (0, 1)), ("cause",))))
    assert network.mutual_information_bits("cause", "sign") == pytest.approx(0, abs=1e-300)
    assert network.posterior({"sign": "no"})["cause"] == {"yes": 0, "no": 1}


def test_a_bench_look_is_worth_less_than_a_bit_and_its_minutes_count():
    prior, rows = [0.5, 0.5], [[0.8, 0.2], [0.05, 0.95]]
    bits = expected_information_bits(prior, rows)
    assert bits == pytest.approx(0.47955, abs=1e-5)  # .98371 - (.72193 + .28640)/2
    assert information_per_cost(prior, rows, 2) == pytest.approx(bits / 2)


@pytest.mark.parametrize("minutes", [0, -1, float("nan"), float("inf")])
def test_a_cost_is_more_than_nothing(minutes):
    with pytest.raises(ValueError, match="more than 0"):
        information_per_cost([0.5, 0.5], [[1, 0], [0, 1]], minutes)


@pytest.mark.parametrize(
    ("rows", "told"),
    [([[0.5, 0.5]], "each of 2 causes"), ([0.5, 0.5], "shape"), ([[0.5, 0.6], [0, 1]], "row 1")],
)
def test_a_table_of_outcomes_is_checked(rows, told):
    with pytest.raises(ValueError, match=told):
        expected_information_bits([0.5, 0.5], rows)
