"""The reserve against closed forms from scipy, full enumeration, and what must always hold."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom, nbinom

from cutopt.buying.matching import most_pairs
from cutopt.buying.recut import NOWHERE, Halves, Risk
from cutopt.buying.reserve import Spares, exact, is_closed, simulated, spares_of
from cutopt.errors import CannotBeMet
from tests.buying.exhaustive import by_enumeration

few = settings(max_examples=15, deadline=None)
LEVELS = (0.5, 0.8, 0.9, 0.95, 0.99)


def alone(count: int, chance: float) -> Risk:
    """Return pieces that each need a tile of their own."""
    return Risk((chance,), (count,))


@pytest.mark.parametrize("count", [1, 7, 40, 300])
@pytest.mark.parametrize("chance", [0.01, 0.05, 0.125, 0.45])
def test_pieces_alone_follow_the_negative_binomial(count: int, chance: float) -> None:
    """Broken until all are whole: negative binomial, from scipy."""
    found = exact(alone(count, chance))
    for spares in range(len(found.chances)):
        assert math.isclose(found.chances[spares], nbinom.pmf(spares, count, 1 - chance))
    for level in LEVELS:
        assert found.at(level) == nbinom.ppf(level, count, 1 - chance)


@pytest.mark.parametrize(("count", "chance"), [(30, 0.05), (12, 0.3), (150, 0.02)])
def test_simulated_jobs_agree_with_the_closed_form(count: int, chance: float) -> None:
    found = simulated(alone(count, chance), 20_000, seed=1)
    truth = nbinom(count, 1 - chance)
    for level in (0.8, 0.95, 0.99):
        low, high = found.interval(level)
        assert high is not None
        assert low <= truth.ppf(level) <= high
    for spares in range(4):
        low_chance, high_chance = found.chance_interval(spares)
        assert low_chance <= truth.sf(spares) <= high_chance


def test_faulty_tiles_alone_follow_the_negative_binomial() -> None:
    risk = Risk((), (), needed=60, cut=10, faulty=0.02)
    assert is_closed(risk)
    assert exact(risk).at(0.95) == nbinom.ppf(0.95, 60, 0.98)


def test_faults_hide_where_tiles_are_cut() -> None:
    """With all hidden and room for all, none is lost; without cut tiles, lost as if in sight."""
    none = simulated(Risk((), (), needed=60, cut=60, faulty=0.02, hidden=1.0), 2_000, 0)
    assert none.chances == (1.0,)
    risk = Risk((), (), needed=60, cut=0, faulty=0.02, hidden=1.0)
    found = simulated(risk, 40_000, 0)
    low, high = found.chance_interval(2)
    assert low <= nbinom.sf(2, 60, 0.98) <= high


def test_some_faults_hide() -> None:
    """Half of the faults hide, with room for all: binomial among the tiles, from scipy."""
    risk = Risk((), (), needed=50, cut=50, faulty=0.04, hidden=0.5)
    found = simulated(risk, 40_000, 3)
    low, high = found.chance_interval(0)
    assert low <= binom.sf(0, 50, 0.02) <= high


KINDS = 3


def ends() -> st.SearchStrategy[Halves]:
    """Return what a piece takes of a tile of 10: on the left, the right, both or neither."""
    sizes = st.sampled_from([2, 5, 8, NOWHERE])
    return st.builds(lambda left, right: Halves(left, right - 10), sizes, sizes)


@st.composite
def risks(draw: st.DrawFn) -> Risk:
    """Return a small job: a few kinds, leftovers that some fit, pairs that share a tile."""
    chances = draw(st.lists(st.sampled_from([0.05, 0.2]), min_size=KINDS, max_size=KINDS))
    counts = draw(st.lists(st.integers(0, 2), min_size=KINDS, max_size=KINDS))
    leftovers = draw(st.lists(st.integers(0, 2), min_size=2, max_size=2))
    fits = draw(st.lists(st.sampled_from([(), (0,), (1,), (0, 1)]), min_size=KINDS, max_size=KINDS))
    halves = draw(st.lists(ends(), min_size=KINDS, max_size=KINDS))
    return Risk(
        tuple(chances),
        tuple(counts),
        tuple(leftovers),
        tuple(fits),
        tuple(halves),
        needed=draw(st.integers(0, 3)),
        faulty=draw(st.sampled_from([0.0, 0.1])),
    )


@few
@given(risks())
def test_as_a_full_enumeration(risk: Risk) -> None:
    truth, left_out = by_enumeration(risk)
    found = exact(risk) if is_closed(risk) else simulated(risk, 4_000, seed=7)
    for spares in range(len(truth)):
        short = sum(truth[spares + 1 :])
        # Four standard deviations: one in 16,000, and the seed is fixed.
        error = 4 * math.sqrt(short * (1 - short) / 4_000) + 1 / 4_000 if found.jobs else 1e-9
        assert abs(found.chance_short(spares) - short) <= error + left_out


@few
@given(risks(), st.integers(0, KINDS - 1), st.sampled_from([0.05, 0.1, 0.3, 0.6]))
def test_never_fewer_when_a_chance_is_higher(risk: Risk, kind: int, more: float) -> None:
    chances = list(risk.chances)
    chances[kind] = max(chances[kind], more)
    worse = Risk(tuple(chances), risk.counts, risk.leftovers, risk.fits, risk.halves)
    better = Risk(risk.chances, risk.counts, risk.leftovers, risk.fits, risk.halves)
    for way in (lambda one: simulated(one, 1_000, 5), exact):
        if way is not exact or (is_closed(worse) and is_closed(better)):
            less, greater = way(better), way(worse)
            assert all(less.at(level) <= greater.at(level) for level in LEVELS)


@few
@given(risks(), st.floats(0.01, 0.999), st.floats(0.01, 0.999))
def test_never_fewer_at_a_higher_level(risk: Risk, one: float, other: float) -> None:
    found = spares_of(risk, 1_000, 0.95)
    assert found.at(min(one, other)) <= found.at(max(one, other))
    assert found.chance_short(found.at(one)) <= 1 - one + 1e-9


def test_the_same_seed_gives_the_same_jobs() -> None:
    risk = Risk((0.1, 0.2), (5, 5), (2,), ((0,), ()))
    assert simulated(risk, 2_000, 1) == simulated(risk, 2_000, 1)
    assert simulated(risk, 2_000, 1) != simulated(risk, 2_000, 2)


def test_one_more_spare_until_it_costs_more_than_the_risk_it_removes() -> None:
    found = Spares((0.8, 0.15, 0.04, 0.01))
    # One spare removes 0.15 of the risk, the second 0.04, the third 0.01.
    assert found.cheapest(price=10, cost_of_running_short=50) == 0
    assert found.cheapest(price=10, cost_of_running_short=100) == 1
    assert found.cheapest(price=10, cost_of_running_short=260) == 2
    assert found.cheapest(price=10, cost_of_running_short=2_000) == 3


def test_chances_beyond_all_reserve_are_refused() -> None:
    with pytest.raises(CannotBeMet, match="pieces to cut again"):
        spares_of(alone(20_000, 0.999), 1_000, 0.95)


def by_hand(near: list[list[int]], free: frozenset[int]) -> int:
    if not free:
        return 0
    first = min(free)
    rest = free - {first}
    ways = [by_hand(near, rest)]
    ways += [1 + by_hand(near, rest - {other}) for other in near[first] if other in rest]
    return max(ways)


@settings(max_examples=100, deadline=None)
@given(st.integers(1, 9), st.data())
def test_most_pairs_as_a_full_search(size: int, data: st.DataObject) -> None:
    edges = data.draw(st.sets(st.tuples(st.integers(0, size - 1), st.integers(0, size - 1))))
    near = [
        sorted({b for b in range(size) if b != a and ((a, b) in edges or (b, a) in edges)})
        for a in range(size)
    ]
    assert most_pairs(near) == by_hand(near, frozenset(range(size)))


def test_where_nothing_is_left_to_cut_only_faulty_tiles_count() -> None:
    found = spares_of(Risk((), (), needed=10, faulty=0.05, hidden=0.5), 1_000, 0.95)
    assert found.at(0.95) <= 3
