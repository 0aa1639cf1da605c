"""What is done otherwise where there are many kinds, on few of them: still valid, still proven."""

import importlib
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from cutopt.solver import (
    BOTTOM,
    LEFT,
    RIGHT,
    TOP,
    Kind,
    Pocket,
    Problem,
    Sheet,
    Stand,
    finding,
    solve,
    tracing,
)
from cutopt.solver import pool as pools
from cutopt.solver.blocks import Caps
from cutopt.solver.dive import Dive, End
from cutopt.solver.patterns import Pattern
from cutopt.solver.problem import Leaf
from cutopt.solver.relaxation import Relaxation
from cutopt.stop import MaxProcessorSeconds
from tests.solver.brute import fewest
from tests.solver.problems import problems, turned
from tests.solver.test_solve import assert_valid

#: The function of this name hides its module.
search = importlib.import_module("cutopt.solver.solve")


@pytest.fixture
def _few_are_many() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        for module in (finding, search, tracing):
            patch.setattr(module, "MANY_KINDS", 0)
        patch.setattr(search, "EFFORTS", (Caps(pairs=0, blocks=0),))
        patch.setattr(pools, "MOST_SEARCHED", 6)
        yield


@pytest.mark.usefixtures("_few_are_many")
@settings(
    max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(problems())
def test_as_few_as_trying_everything(problem: Problem) -> None:
    found = solve(problem, MaxProcessorSeconds(20))
    assert_valid(problem, found.cuttings)
    assert found.bound <= fewest(problem) <= found.new_sheets <= found.bound + 1


@pytest.mark.usefixtures("_few_are_many")
def test_what_its_pockets_may_host_keeps_a_piece_in_the_search() -> None:
    # The piece itself is as large as the sheet and worth less than it without its guests.
    pockets = (Pocket(LEFT | BOTTOM, 2, 1, 2, 1), Pocket(LEFT | TOP, 2, 1, 2, 1))
    stands = (
        Stand(1, 1, RIGHT | BOTTOM),
        Stand(4, 3, LEFT | RIGHT | BOTTOM, pockets),
        Stand(1, 2, BOTTOM),
    )
    kinds = [Kind(turned(stand, "quarter"), 1) for stand in stands]
    kinds[2] = replace(kinds[2], demand=2)
    problem = Problem(tuple(kinds), (Sheet(4, 3), Sheet(2, 2, 5, limit=1)), 0)
    found = solve(problem, MaxProcessorSeconds(20))
    assert_valid(problem, found.cuttings)
    assert found.bound <= fewest(problem) == 1


@pytest.mark.usefixtures("_few_are_many")
def test_forty_sizes_are_proven_as_if_they_were_many(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pools, "MOST_SEARCHED", 400)
    chance = np.random.default_rng(3)
    sizes = {(int(wide), int(high)) for wide, high in chance.integers(90, 300, (40, 2))}
    kinds = tuple(Kind((Stand(wide, high, 0),), 25) for wide, high in sorted(sizes))
    problem = Problem(kinds, (Sheet(600, 300),), 2)
    found = solve(problem, MaxProcessorSeconds(10))
    assert_valid(problem, found.cuttings)
    assert found.bound <= found.new_sheets <= found.bound + 1


def test_a_plunge_fixes_many_columns_at_once() -> None:
    # Six triangles of which a relaxation takes half each: two sheets for each of them.
    triangles = [(3 * at + a, 3 * at + b) for at in range(6) for a, b in ((0, 1), (1, 2), (0, 2))]
    problem = Problem((Kind((Stand(1, 1, 0),), 1),) * 18, (Sheet(9, 9),), 0)

    def steps(at_once: float) -> int:
        relaxation, asked = Relaxation(problem), []
        relaxation.add(
            Pattern(0, each, 1, 0, lambda: Leaf(0, Stand(1, 1, 0))) for each in triangles
        )

        def goes_on() -> bool:
            asked.append(1)
            return True

        dive = Dive(relaxation, lambda _: False, goes_on, np.random.default_rng(0), at_once)
        end, amounts = dive.plunge(fewer_than=19)
        assert end is End.REACHED
        assert sum(amounts) >= 12
        return len(asked)

    assert steps(0.5) < steps(0.0)
