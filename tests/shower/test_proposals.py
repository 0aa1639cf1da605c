"""Safer alternatives: what is proposed for a fragile piece or a hole does away with the finding."""

import re
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt.layout import Finding
from tests.shower.jobs import job_data, taken

WAYS = {"right": (1, 0), "left": (-1, 0), "up": (0, 1), "down": (0, -1)}
MOVES = re.compile(r"(\d+(?:\.\d+)?) mm (?:to the )?(right|left|up|down)")


def wall(**fields: Any) -> dict[str, Any]:
    """Return a wall of 2400 x 2100 mm whose bond begins in its lower left corner."""
    size = {"id": "A", "width": 2400, "height": 2100, "joint": 2}
    return {**size, "start": {"x": 3, "y": 3}, **fields}


def found(data: dict[str, Any], *kinds: str) -> list[Finding]:
    _, taken_off, _ = taken(job_data(data))
    return [finding for finding in taken_off.findings if finding.kind in kinds]


def moved(data: dict[str, Any], proposal: str) -> dict[str, Any]:
    """Return the wall with its bond moved as the text proposes."""
    x, y = 3.0, 3.0
    for size, way in MOVES.findall(proposal.split(", and ", maxsplit=1)[0]):
        x += float(size) * WAYS[way][0]
        y += float(size) * WAYS[way][1]
    return {**data, "start": {"x": round(x % 602, 3), "y": round(y % 302, 3)}}


def holed(x: float, y: float, diameter: float = 32) -> dict[str, Any]:
    return wall(holes=[{"kind": "pipe", "x": x, "y": y, "diameter": diameter}])


def one_of(proposal: str, words: str) -> str:
    (part,) = (part for part in proposal.split(", or ") if words in part)
    return part


def test_a_hole_near_an_edge_is_moved_into_its_tile_or_onto_the_joint() -> None:
    (thin,) = found(holed(630, 750), "thin web")
    # The tile begins at 605; the hole, 38 mm with its clearance, leaves 6 mm of it.
    assert thin.value == "6 mm"
    inside = one_of(thin.proposal, "within one tile")
    assert "move the bond 19 mm to the left" in inside
    assert found(moved(holed(630, 750), inside), "thin web", "hole on joint") == []
    halves = one_of(thin.proposal, "two halves")
    (on_joint,) = found(moved(holed(630, 750), halves), "thin web", "hole on joint")
    assert on_joint.kind == "hole on joint"
    assert len(on_joint.labels) == 2


def test_a_hole_on_a_joint_is_two_notches_or_moved() -> None:
    (joint,) = found(holed(604, 750), "hole on joint")
    assert "notches in A3.1, A3.2" in joint.proposal
    inside = one_of(joint.proposal, "within one tile")
    assert found(moved(holed(604, 750), inside), "thin web", "hole on joint") == []


@settings(max_examples=20, deadline=None)
@given(st.integers(650, 1750), st.integers(350, 1750), st.sampled_from([32, 90, 160]))
def test_a_proposed_place_is_a_safe_place(x: int, y: int, diameter: int) -> None:
    for finding in found(holed(x, y, diameter), "thin web", "hole on joint"):
        inside = one_of(finding.proposal, "within one tile")
        assert found(moved(holed(x, y, diameter), inside), "thin web", "hole on joint") == []


def test_a_hole_too_large_for_its_tile_has_no_place_to_go() -> None:
    (joint,) = found(holed(1000, 600, 260), "hole on joint")
    assert "within one tile" not in joint.proposal


def windowed(x: float, width: float) -> dict[str, Any]:
    return wall(openings=[{"kind": "window", "x": x, "y": 700, "width": width, "height": 600}])


def test_a_u_is_made_two_pieces_or_the_joint_moved_to_the_corner() -> None:
    (u_piece,) = found(windowed(800, 300), "u piece")
    assert u_piece.labels == ("A3.2", "A5.2")
    # The tile begins at 605, the window's joints at 797 and 1103: their middle is 345 away.
    assert "make A3.2 two pieces, parted plumb 345 mm from its left" in u_piece.proposal
    move = one_of(u_piece.proposal, "stands at the corner")
    assert found(moved(windowed(800, 300), move), "u piece") == []


def test_a_thin_leg_goes_when_the_joint_stands_at_the_corner() -> None:
    (leg,) = found(windowed(640, 900), "thin leg")
    assert found(moved(windowed(640, 900), leg.proposal), "thin leg") == []


@pytest.mark.parametrize("bond", [{"kind": "stack", "angle": 45}, "herringbone"])
def test_bonds_that_do_not_move_along_a_wall_have_no_move_proposed(bond: Any) -> None:
    fields = {key: value for key, value in holed(630, 750).items() if key != "start"}
    for finding in found({**fields, "bond": bond}, "thin web", "hole on joint"):
        assert "move the bond" not in finding.proposal
