"""Lengths from bars: published values, each with its source, and a full search on tiny cases."""

import json
from collections import Counter
from itertools import product
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt.solver import Bar, BarSolution, cut_bars
from cutopt.solver.bar_patterns import full_patterns
from cutopt.stop import MaxSeconds

DATA = Path(__file__).resolve().parents[1] / "data" / "bars1d_falkenauer_first.json"
INSTANCES = {one["name"]: one for one in json.loads(DATA.read_text())["instances"]}
#: Quick ones of each class; benchmarks/bars.py cuts all forty.
QUICK = ["u120_00", "u120_08", "u500_00", "u1000_00", "t60_00", "t60_16"]

Wanted = list[tuple[int, int]]


def cut(length: int, wanted: Wanted, kerf: int = 0) -> BarSolution:
    found = cut_bars([Bar(length)], wanted, kerf, MaxSeconds(60))
    made = Counter[int]()
    for one in found.cut:
        held = [(size, many) for (size, _), many in zip(wanted, one.counts, strict=True)]
        assert sum((size + kerf) * many for size, many in held) <= length + kerf
        for size, many in held:
            made[size] += many * one.times
    assert made == Counter(dict(wanted))
    return found


@pytest.mark.parametrize(
    ("length", "wanted", "bars"),
    [
        # Chvatal, Linear Programming (1983), chapter 13; the optimum is our own exact solve.
        (100, [(45, 97), (36, 610), (31, 395), (14, 211)], 453),
        # 17 unit boards, a textbook problem; the optimum is our own exact solve.
        (17, [(3, 25), (5, 20), (9, 15)], 19),
        # 40 unit logs, an example of a numerical package; the optimum is our own exact solve.
        (40, [(8, 90), (12, 111), (16, 55), (20, 30)], 89),
    ],
)
def test_published_lengths(length: int, wanted: Wanted, bars: int) -> None:
    found = cut(length, wanted)
    assert (found.cost, found.bound) == (bars, bars)


def test_master_rolls() -> None:
    """5600 mm rolls, an encyclopaedia article on cutting stock: 73 rolls, waste 0.401 %."""
    widths = [1380, 1520, 1560, 1710, 1820, 1880, 1930, 2000, 2050, 2100, 2140, 2150, 2200]
    counts = [22, 25, 12, 14, 18, 18, 20, 10, 12, 14, 16, 18, 20]
    found = cut(5600, list(zip(widths, counts, strict=True)))
    assert (found.cost, found.bound) == (73, 73)
    assert round(1 - 407_160 / (73 * 5600), 5) == 0.00401


def test_all_patterns_of_the_master_rolls() -> None:
    """The same article counts 308 patterns: every way of cutting a roll, the empty one left out."""
    widths = [1380, 1520, 1560, 1710, 1820, 1880, 1930, 2000, 2050, 2100, 2140, 2150, 2200]
    patterns = full_patterns(tuple(widths), (4,) * len(widths), 5600, waste=5600)
    assert patterns is not None
    assert len([counts for counts in patterns if any(counts)]) == 308


@pytest.mark.parametrize(("metres", "bars"), [(3000, 2), (2500, 2), (1800, 3)])
def test_tile_trim(metres: int, bars: int) -> None:
    """Runs of a do-it-yourself page, 4.77 m in all; the bars are our own exact solve."""
    found = cut(metres, [(530, 1), (250, 2), (900, 1), (350, 1), (1680, 1), (810, 1)])
    assert found.cost == found.bound == bars


@pytest.mark.parametrize("name", QUICK)
def test_falkenauer(name: str) -> None:
    """Falkenauer (1996), OR-Library: the best known number of bars, proven."""
    one = INSTANCES[name]
    proven = {"u120_08": 50}.get(name, one["best_in_file"])
    found = cut(one["C"], list(Counter(one["items"]).items()))
    assert (found.cost, found.bound) == (proven, proven)


def test_kerf_just_fits() -> None:
    assert cut(1002, [(500, 2)], kerf=2).cost == 1
    assert cut(1001, [(500, 2)], kerf=2).cost == 2


def test_cheaper_bars_are_chosen() -> None:
    bars = [Bar(3000, 1400), Bar(2500, 1000)]
    assert cut_bars(bars, [(1200, 2)], 2, MaxSeconds(5)).cost == 1000
    assert cut_bars(bars, [(1300, 2)], 2, MaxSeconds(5)).cost == 1400
    assert cut_bars(bars, [(2400, 1), (3000, 1)], 2, MaxSeconds(5)).cost == 2400


def test_trim_of_a_shower_from_two_lengths() -> None:
    """One long run with two short ones in the cheap bar, two with one in the dear: by hand."""
    bars = [Bar(2500, 1650), Bar(3000, 2100)]
    found = cut_bars(bars, [(2103, 2), (1809, 1), (597, 2), (297, 2)], 3, MaxSeconds(10))
    assert (found.cost, found.bound) == (1650 + 2 * 2100, 5850)


def by_full_search(bars: list[Bar], wanted: Wanted, kerf: int) -> int:
    """Return the least cost by trying every pattern of every bar, with memory."""
    sizes = [size for size, _ in wanted]
    patterns = [
        (counts, bar.cost)
        for bar in bars
        for counts in product(*(range(many + 1) for _, many in wanted))
        if any(counts)
        and sum(n * (s + kerf) for n, s in zip(counts, sizes, strict=True)) <= bar.length + kerf
    ]
    costs: dict[tuple[int, ...], int] = {(0,) * len(wanted): 0}
    for left in product(*(range(many + 1) for _, many in wanted)):
        if any(left):
            rests = (
                (tuple(max(0, a - b) for a, b in zip(left, counts, strict=True)), cost)
                for counts, cost in patterns
            )
            costs[left] = min(costs[rest] + cost for rest, cost in rests if rest != left)
    return costs[tuple(many for _, many in wanted)]


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.tuples(st.integers(50, 120), st.integers(1, 99)), min_size=1, max_size=3),
    st.dictionaries(st.integers(5, 50), st.integers(1, 3), min_size=1, max_size=4),
    st.integers(0, 3),
)
def test_as_cheap_as_a_full_search(
    sold: list[tuple[int, int]], wanted: dict[int, int], kerf: int
) -> None:
    bars = [Bar(*one) for one in sold]
    found = cut_bars(bars, list(wanted.items()), kerf, MaxSeconds(20))
    assert found.bound == by_full_search(bars, list(wanted.items()), kerf) == found.cost
