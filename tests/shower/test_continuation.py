"""The tile cut at a corner goes on with its own offcut: same tile, right way round."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt import Request, plan
from cutopt.check import check_plan
from cutopt.documents import Plan
from cutopt.errors import InvalidInput
from cutopt.reports.corner import continued, corner_lines, draw_corners
from cutopt.units import MM
from tests.shower.jobs import taken
from tests.shower.test_corners import walls

TILE = {"id": "field", "width": 600, "height": 300, "turn": "half"}


def request(*pieces: dict[str, Any], **fields: Any) -> Request:
    return Request.of({"tiles": [TILE], "pieces": list(pieces), **fields})


def pair(left: int, **fields: Any) -> list[dict[str, Any]]:
    """Return a piece and the one that goes on with its offcut, at a kerf of 2 mm."""
    size = {"height": 300, **fields}
    one = {"id": f"left-{left}", "width": left, "goes_on": f"right-{left}", **size}
    return [one, {"id": f"right-{left}", "width": 598 - left, **size}]


def planned(asked: Request) -> Plan:
    made = plan(asked)
    assert check_plan(asked, made) == ()
    return made


def beside(made: Plan, left: str, right: str) -> bool:
    """Tell whether the right piece lies a kerf beyond the left one, on the same tile."""
    for cut_tile in made.cut_tiles:
        found = {placed.piece: placed for placed in cut_tile.placements}
        if left in found and right in found:
            one, other = found[left], found[right]
            if one.turn == other.turn == 0:
                return bool(one.x < other.x and one.y == other.y)
            return one.turn == other.turn == 180 and one.x > other.x and one.y == other.y
    return False


def test_pieces_that_fit_any_tile_are_kept_with_their_own_offcut() -> None:
    """Alike pieces may be swapped at will: only the wish keeps each with its own offcut."""
    pieces = [
        {**piece, "id": f"{piece['id']}-{at}", **({"goes_on": f"right-284-{at}"} if end else {})}
        for at in range(5)
        for piece, end in zip(pair(284), (True, False), strict=True)
    ]
    shuffled = [*pieces[::2], *reversed(pieces[1::2])]
    made = planned(request(*shuffled))
    assert made.totals[0].tiles_needed == made.totals[0].lower_bound == 5
    assert all(beside(made, f"left-284-{at}", f"right-284-{at}") for at in range(5))


@pytest.mark.parametrize("height", [100, 149])
def test_a_low_course_goes_on_too_and_leaves_the_rest_of_its_tile(height: int) -> None:
    made = planned(request(*pair(250, height=height), *pair(200, height=height)))
    assert made.totals[0].tiles_needed == 1
    assert beside(made, "left-250", "right-250")
    assert beside(made, "left-200", "right-200")


def test_it_never_takes_a_tile_more() -> None:
    """The plan without the wish is the measure; its bound holds for both."""
    low = pair(298, height=149)
    other = {"width": 300, "height": 300, "factory_edges": ["top"]}
    asked = request(*low, {"id": "x", **other}, saw={"kerf": 2})
    apart = request(*({**piece, "goes_on": None} for piece in low), {"id": "x", **other})
    assert planned(asked).totals[0].tiles_needed == planned(apart).totals[0].tiles_needed


def test_the_next_piece_must_be_the_offcut_and_nothing_else() -> None:
    left, right = pair(250)
    for changed in ({"width": 347}, {"height": 299}, {"quantity": 2}):
        made = planned(request(left, {**right, **changed}, saw={"kerf": 2}))
        assert made.totals[0].proven_minimal


@settings(max_examples=25, deadline=None)
@given(st.lists(st.integers(60, 540), min_size=1, max_size=5, unique=True), st.integers(0, 2))
def test_a_plan_with_wishes_is_right_and_as_small(lefts: list[int], others: int) -> None:
    pieces = [piece for left in lefts for piece in pair(left)]
    pieces += [{"id": f"other-{at}", "width": 190, "height": 140} for at in range(others)]
    free = [{key: value for key, value in piece.items() if key != "goes_on"} for piece in pieces]
    made, without = planned(request(*pieces)), planned(request(*free))
    assert made.totals[0].tiles_needed == without.totals[0].tiles_needed
    assert made.totals[0].lower_bound == without.totals[0].lower_bound
    assert made.totals[0].pieces == without.totals[0].pieces


@settings(max_examples=15, deadline=None)
@given(st.integers(900, 1700), st.integers(0, 300))
def test_courses_run_round_and_the_drawing_shows_it(width: int, start: int) -> None:
    job, found, _ = taken(walls({"width": width, "start": {"x": start, "y": 3}}, {"width": 1500}))
    made = planned(found.request)
    wished = {piece.id: piece.goes_on for piece in found.request.pieces if piece.goes_on}
    ((_, courses),) = continued(job, found, made)
    kept = {course.left.entry: course.right.entry for course in courses if course.goes_on}
    assert kept == {left: right for left, right in wished.items() if beside(made, left, right)}
    for course in courses:
        if course.goes_on:
            assert course.right.cell.x < course.right.cell.right - 2 * MM
    (drawing,) = draw_corners(job, found, made).values()
    assert drawing.count('stroke-width="0.7"') == len(kept)
    ((name, words),) = corner_lines(job, found, made)
    assert name == "A-B"
    assert words.startswith(f"{len(kept)} of {len(courses)} ")


def test_the_wish_names_a_piece_of_the_request() -> None:
    with pytest.raises(InvalidInput) as caught:
        request({"id": "a", "width": 100, "height": 100, "goes_on": "b"})
    assert [fault.place for fault in caught.value.faults] == ["/pieces/0/goes_on"]
