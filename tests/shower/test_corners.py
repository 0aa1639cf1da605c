"""Round the room: courses meet in the corner, and the cut tile goes on with its own offcut."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt.documents import Job
from cutopt.errors import InvalidInput
from cutopt.plane import box_of
from cutopt.units import MM
from tests.shower.jobs import extent, job_data, taken


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


def outside(rim: Any, left: dict[str, Any], right: dict[str, Any]) -> dict[str, Any]:
    return walls(left, right, continues=False, kind="outside", rim=rim)


@pytest.mark.parametrize(
    ("rim", "left_away", "right_away"),
    [
        ("mitre", 0, 0),
        ({"kind": "profile", "face": 10}, 10 + 2, 11 + 2),
        ({"kind": "profile", "face": 10, "depth": 12, "offset": 1}, 9 + 2, 11 + 2),
        # A factory edge over a sawn one: the other tile ends a joint behind it.
        ("factory edge", 0, 8 + 2),
        ({"kind": "factory edge", "over": "return"}, 8 + 2, 0),
    ],
)
def test_an_outside_corner_closes(rim: Any, left_away: float, right_away: float) -> None:
    _, found, laid = taken(outside(rim, {"width": 1000}, {"width": 700}))
    assert 1000 - extent(laid["A"])[2] == left_away
    assert extent(laid["B"])[0] == right_away
    edges = {(rule.place[-1], rule.name): rule for rule in found.surfaces[0].edges}
    assert (
        edges["0", "right"].meets
        == {
            "mitre": "mitre",
            "profile": "profile",
            "factory edge": "outside corner",
        }[rim if isinstance(rim, str) else rim["kind"]]
    )
    assert len(found.trim) == (isinstance(rim, dict) and rim["kind"] == "profile")
    soft = {(joint.place[-1], joint.name) for joint in found.soft_joints}
    assert not soft & {("0", "right"), ("1", "left")}


def test_an_outside_corner_shows_the_factory_edge_of_the_tile_over_it() -> None:
    _, _, laid = taken(outside("factory edge", {"width": 1000}, {"width": 700}))
    last = [piece for piece in laid["A"].cut if piece.position == 2]
    assert last
    assert all("right" in piece.factory_edges for piece in last)


@pytest.mark.parametrize("kind", ["inside", "outside"])
def test_a_course_line_is_carried_round_a_corner(kind: str) -> None:
    left = {"width": 1000, "start": {"x": 100, "y": 47}}
    _, _, laid = taken(walls(left, {"width": 700}, continues=False, kind=kind))
    rows = [{piece.cell.y for piece in surface.pieces()} for surface in laid.values()]
    assert rows[0] == rows[1]
    assert {y % (302 * MM) for y in rows[1]} == {47 * MM}


def test_a_course_line_runs_all_round_a_room_and_begins_somewhere() -> None:
    data = walls({"width": 1000, "start": {"x": 3, "y": 47}}, {"width": 700}, continues=False)
    data["rooms"][0]["corners"].append({"left": "B", "right": "A"})
    _, _, laid = taken(data)
    rows = [{piece.cell.y for piece in surface.pieces()} for surface in laid.values()]
    assert rows[0] == rows[1]


@pytest.mark.parametrize(
    ("kind", "rim", "rule"),
    [
        ("inside", "mitre", "a rim is for an outside corner"),
        ("outside", {"kind": "profile", "face": 300}, "a profile is narrower than the tile"),
    ],
)
def test_a_rim_that_cannot_be(kind: str, rim: Any, rule: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        Job.of(walls({"width": 1000}, {"width": 700}, continues=False, kind=kind, rim=rim))
    (fault,) = caught.value.faults
    assert (fault.place, fault.rule) == ("/rooms/0/corners/0/rim", rule)
