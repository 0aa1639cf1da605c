"""Round the room: courses meet in the corner, and the cut tile goes on with its own offcut."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt.plane import box_of
from cutopt.units import MM
from tests.shower.jobs import job_data, taken


def walls(left: dict[str, Any], right: dict[str, Any], **corner: Any) -> dict[str, Any]:
    size = {"height": 1000, "joint": 2}
    surfaces = [{"id": "A", **size, **left}, {"id": "B", **size, **right}]
    corners = [{"left": "A", "right": "B", "continues": True, **corner}]
    room = {"name": "shower", "surfaces": surfaces, "corners": corners}
    return {**job_data(), "rooms": [room], "saw": {"kerf": 2}}


@settings(max_examples=40, deadline=None)
@given(
    st.integers(900, 1700),
    st.integers(0, 300),
    st.sampled_from(["stack", {"kind": "running", "offset": "1/3"}, "running"]),
)
def test_the_offcut_of_the_corner_is_the_first_piece_of_the_next_wall(
    width: int, start: int, bond: Any
) -> None:
    left = {"width": width, "bond": bond, "start": {"x": start, "y": 40}}
    _, _, laid = taken(walls(left, {"width": 1500, "bond": bond}))
    last: dict[int, int] = {}
    first: dict[int, int] = {}
    heights: dict[str, set[tuple[int, int]]] = {"A": set(), "B": set()}
    for mark, surface in laid.items():
        for piece in sorted(surface.pieces(), key=lambda piece: piece.cell.x):
            box = box_of(piece.shape.outer)
            heights[mark].add((box.y, box.height))
            if mark == "A":
                last[piece.cell.y] = box.width
            elif piece.cell.y not in first:
                first[piece.cell.y] = box.width
    assert heights["A"] == heights["B"], "courses run round the corner"
    for course, cut in last.items():
        if cut + 2 * MM < 600 * MM and first[course] < 600 * MM:
            assert cut + 2 * MM + first[course] == 600 * MM
        assert cut + 2 * MM + first[course] >= 600 * MM


def test_an_uncut_tile_in_the_corner_leaves_nothing_to_go_on_with() -> None:
    left = {"width": 3 + 600 + 2 + 600 + 3, "start": {"x": 3, "y": 3}}
    _, _, laid = taken(walls(left, {"width": 1500}))
    firsts = [piece for piece in laid["B"].pieces() if piece.position == 1]
    assert {box_of(piece.shape.outer).width for piece in firsts} == {600 * MM}


@pytest.mark.parametrize("height", [1000, 640])
def test_courses_run_round_from_the_floor(height: int) -> None:
    _, _, laid = taken(walls({"width": 1000}, {"width": 700, "height": height}))
    rows = [{piece.cell.y for piece in surface.pieces()} for surface in laid.values()]
    assert rows[1] <= rows[0]
