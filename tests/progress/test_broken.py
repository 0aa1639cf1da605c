"""What is usable beside a break: as large as can be, clear of the break, with its factory edges."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from cutopt.check.breaks import Break
from cutopt.check.history import check_history
from cutopt.documents import ALL_SIDES, Offcut
from cutopt.documents.progress import Broken, Done, Progress, Usable
from cutopt.errors import InvalidInput
from cutopt.progress import replan, state_of
from cutopt.progress.broken import AWAY, LEAST, usable_beside
from cutopt.units import MM
from tests.building import planned, request

Line = tuple[tuple[int, int], tuple[int, int]]
WHOLE = (600 * MM, 300 * MM)
EDGES = frozenset(ALL_SIDES)


def line(*numbers: float) -> Line:
    ax, ay, bx, by = (round(number * MM) for number in numbers)
    return (ax, ay), (bx, by)


def sizes(found: list[Usable | None]) -> list[tuple[float, float] | None]:
    return [None if one is None else (one.width / MM, one.height / MM) for one in found]


@pytest.mark.parametrize(
    ("runs", "left", "right"),
    [
        ((200, 0, 200, 300), (194.5, 300), (394.5, 300)),
        ((200, 0, 210, 300), (193.5, 300), (383.5, 300)),
        ((0, 100, 600, 100), (600, 194.5), (600, 94.5)),
        ((10, 0, 10, 300), None, (584.5, 300)),
        # From corner to corner: half of each side, less what is kept clear.
        ((600, 0, 0, 300), (293.5, 146.5), (293.5, 146.5)),
    ],
)
def test_beside_a_break(
    runs: tuple[float, ...], left: tuple[float, float] | None, right: tuple[float, float] | None
) -> None:
    found = sizes(usable_beside(WHOLE, EDGES, line(*runs)))
    assert found == [left, right]


def test_factory_edges_are_those_of_the_corner() -> None:
    left, right = usable_beside(WHOLE, EDGES, line(200, 0, 200, 300))
    assert left is not None
    assert right is not None
    assert set(left.factory_edges) == {"left", "bottom", "top"}
    assert set(right.factory_edges) == {"right", "bottom", "top"}
    lower, upper = usable_beside(WHOLE, frozenset({"left"}), line(600, 0, 0, 300))
    assert lower is not None
    assert upper is not None
    assert (lower.factory_edges, upper.factory_edges) == (("left",), ())


sides = st.integers(30 * MM, 900 * MM)


@given(sides, sides, st.data())
def test_it_is_clear_of_the_break_and_no_corner_holds_more(
    width: int, height: int, data: st.DataObject
) -> None:
    points = st.tuples(st.integers(0, width), st.integers(0, height))
    runs = data.draw(st.tuples(points, points))
    assume(runs[0] != runs[1])
    found = usable_beside((width, height), EDGES, runs)
    for is_left, one in zip((True, False), found, strict=True):
        side = Break("field", width, height, EDGES, runs, is_left)
        if one is not None:
            offcut = Offcut(id="o", **dict(one))
            assert side.holds(offcut)
            larger = Offcut(id="o", width=width, height=height)
            assert not side.holds(larger) or _is_beside(runs, width, height)
        best = one.width * one.height if one is not None else 0
        tried = data.draw(st.tuples(st.integers(1, width), st.integers(1, height)))
        if tried[0] * tried[1] > best and min(tried) >= LEAST + 2 * MM:
            grown = [min(most, tried[at] + 2 * AWAY) for at, most in enumerate((width, height))]
            if side.holds(Offcut(id="o", width=grown[0], height=grown[1])):
                assert best > 0.9 * (tried[0] - 2 * AWAY) * (tried[1] - 2 * AWAY)


def _is_beside(runs: Line, width: int, height: int) -> bool:
    """Tell whether a break only runs along an edge of the part."""
    (ax, ay), (bx, by) = runs
    return ax == bx in (0, width) or ay == by in (0, height)


def test_the_rest_of_a_broken_tile_serves_again() -> None:
    wanted = request((600, 300), [(290, 300, 2)], kerf=2)
    plan = planned(wanted)
    for at, tiles in ((296, 0), (500, 1)):
        runs = line(at, 0, at, 300)
        found = replan(wanted, plan, Progress(marks=(Broken(cut_tile=1, part=0, runs=runs),)))
        assert found.needs[0].tiles == tiles
        assert found.request is not None
        assert [one.id for one in found.request.offcuts] == ["broken 1a", "broken 1b"]


def test_what_is_beside_a_break_may_break_again() -> None:
    wanted = request((600, 300), [(290, 300, 2)], kerf=2)
    plan = planned(wanted)
    first = Progress(marks=(Broken(cut_tile=1, part=0, runs=line(296, 0, 296, 300)),))
    again = Broken(offcut="broken 1a", runs=line(100, 0, 100, 300))
    with pytest.raises(InvalidInput, match="beside another break"):
        state_of(wanted, plan, first.with_mark(again))
    half = again.model_copy(update={"usable": (Usable(width=90 * MM, height=300 * MM),)})
    planned_between = replan(wanted, plan, first).progress
    for history, mark, names in (
        (first, again.model_copy(update={"runs": None}), ["broken 1b"]),
        (first, half, ["broken 1b", "broken 2a"]),
        (planned_between, again, ["broken 1b", "broken 3a", "broken 3b"]),
    ):
        found = replan(wanted, plan, history.with_mark(mark))
        assert found.request is not None
        assert [one.id for one in found.request.offcuts] == names
        assert found.needs[0].tiles == 1


def test_the_check_refuses_what_reaches_over_the_break() -> None:
    wanted = request((600, 300), [(290, 300, 2)], kerf=2)
    plan = planned(wanted)
    mark = Broken(cut_tile=1, part=0, runs=line(200, 0, 200, 300))
    found = replan(wanted, plan, Progress(marks=(mark,)))
    assert check_history(wanted, plan, found.progress) == ()
    moved = mark.model_copy(update={"runs": line(150, 0, 150, 300)})
    later = found.progress.marks[1]
    faults = check_history(wanted, plan, Progress(marks=(moved, later)))
    assert "no such offcut is there" in str(faults[0])


def test_a_part_that_is_no_rectangle_is_measured() -> None:
    slanted = {"width": 400, "height": 300, "outline": [[0, 0], [300, 0], [400, 300], [0, 300]]}
    wanted = request((600, 300), [slanted], kerf=2)
    plan = planned(wanted)
    (placed,) = plan.cut_tiles[0].placements
    marks = (Done(cut_tile=1), Broken(cut_tile=1, part=placed.part, runs=line(9, 0, 9, 9)))
    with pytest.raises(InvalidInput, match="measure what is usable"):
        state_of(wanted, plan, Progress(marks=marks))
    with pytest.raises(InvalidInput, match="from one point to another"):
        Progress.of({"marks": [{"kind": "broken", "tile": "field", "runs": [[1, 2], [1, 2]]}]})
