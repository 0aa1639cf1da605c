"""A greedy's tiles can be cut, so no bound of cutopt may lie above them, and no plan either."""

from pathlib import Path

import pytest

from benchmarks import baselines
from benchmarks.results import instances
from cutopt.documents import Request
from cutopt.pipeline import plan
from cutopt.stop import MaxProcessorSeconds


@pytest.mark.parametrize("path", instances("rooms")[::7], ids=lambda path: path.stem)
def test_no_greedy_beats_the_plan_or_its_bound(path: Path) -> None:
    request = Request.read(path.read_bytes())
    greedy = [count(request) for count in (baselines.by_hand, baselines.largest_first)]
    for total in plan(request, stop=MaxProcessorSeconds(10)).totals:
        fewest = min(counts[total.tile] for counts in greedy)
        assert total.lower_bound <= total.tiles_needed <= fewest
