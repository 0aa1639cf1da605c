"""Falls, trim runs and soft joints: what the take-off lists besides pieces."""

from fractions import Fraction
from typing import Any

import pytest

from cutopt.documents import Job
from cutopt.documents.unfold.corner import along, rise
from cutopt.layout import TakeOff
from cutopt.units import INCH, MM
from tests.shower.jobs import curb, extent, job_data, opening, taken, wall, window


def floor(**fields: Any) -> dict[str, Any]:
    """Return a floor of 1200 x 900 mm with a drain of 100 x 100 mm in its middle."""
    drain = {"kind": "point", "x": 600, "y": 450, "width": 100, "height": 100}
    size = {"id": "F", "kind": "floor", "width": 1200, "height": 900, "joint": 2}
    return {**size, "drains": [drain], "fall": {}, **fields}


def test_an_inch_in_48_inches() -> None:
    """CTEF: 48 in from the drain at 1/4 in per foot is 1 in."""
    drain = {"kind": "point", "x": "52 in", "y": "18 in", "width": "4 in", "height": "4 in"}
    fall = {"slope": "1/4 in per ft"}
    size = {"width": "100 in", "height": "36 in"}
    data = floor(**size, drains=[{**drain, "x": "50 in"}], fall=fall)
    _, found, _ = taken(job_data(data))
    heights = {height.name: height for height in found.falls}
    assert heights["left"].low == heights["left"].high == INCH
    assert heights["left"].slope == Fraction(1, 48)
    assert rise(48 * INCH, Fraction(1, 48)) == INCH


def test_a_quarter_inch_per_foot_is_two_per_cent() -> None:
    """IRC P2709.1: 1/4 in per foot, 2 %."""
    job = Job.of(job_data(floor(fall={"slope": "1/4 in per ft"})))
    fall = next(iter(job.measured))[1].fall
    assert fall is not None
    assert fall.slope == Fraction(1, 48)
    assert round(fall.slope * 100) == 2
    assert Job.read(job.text()) == job


def found_falls(found: TakeOff) -> list[str]:
    return [finding.value for finding in found.findings if finding.kind == "fall"]


def test_walls_stand_level_round_a_point_drain_and_shorter_runs_are_steeper() -> None:
    _, found, _ = taken(job_data(floor()))
    heights = {height.name: height for height in found.falls}
    # The longest run, 1200/2 - 50 = 550 mm, at 2 %: 11 mm; the shorter, 400 mm, at 2.75 %.
    assert {height.high for height in heights.values()} == {11 * MM}
    assert heights["top"].slope == Fraction(11, 400)
    assert found_falls(found) == []


def test_a_run_steeper_than_the_range_is_found() -> None:
    drain = {"kind": "point", "x": 600, "y": 310, "width": 100, "height": 100}
    _, found, _ = taken(job_data(floor(drains=[drain])))
    assert found_falls(found) == ["bottom 4.23 %"]
    at_most = {**drain, "y": 325}
    _, found, _ = taken(job_data(floor(drains=[at_most])))
    assert found_falls(found) == []  # 11 in 275 mm, just 4 %


def test_a_line_makes_one_slope_and_side_walls_that_run_down() -> None:
    drain = {"kind": "linear", "x": 600, "y": 40, "width": 1000, "height": 60}
    _, found, laid = taken(job_data(floor(drains=[drain])))
    heights = {height.name: height for height in found.falls}
    assert heights["top"].high == round(Fraction(2, 100) * 830 * MM)
    assert (heights["left"].low, heights["left"].high) == (0, heights["top"].high)
    assert set(laid) == {"F"}


def test_a_large_field_is_cut_on_the_fall_lines_and_is_alike_round_the_drain() -> None:
    _, _, laid = taken(job_data(floor()))
    assert set(laid) == {"FF", "FR", "FB", "FL"}
    areas = {
        mark: sum(piece.shape.doubled_area for piece in surface.pieces()) / 2 / MM**2
        for mark, surface in laid.items()
    }
    assert areas["FF"] == pytest.approx(areas["FB"], abs=1)
    assert areas["FL"] == pytest.approx(areas["FR"], abs=1)
    joints = 1200 * 900 - 100 * 100 - sum(areas.values())
    assert 0 < joints < 1200 * 900 * 0.03


def test_small_tiles_follow_the_fall_whole() -> None:
    small = {"id": "field", "width": 100, "height": 100, "thickness": 8}
    _, _, laid = taken(job_data(floor(), tiles=[small]))
    assert set(laid) == {"F"}


def test_a_profile_round_a_niche_is_four_mitred_runs() -> None:
    profile = {"kind": "profile", "face": 10}
    _, found, laid = taken(job_data(wall(opening(returns={"rims": {"all": profile}}))))
    # Between the faces of the returns 578 x 378 mm, and a face at each end.
    lengths = sorted(run.length / MM for run in found.trim)
    assert lengths == [398, 398, 598, 598]
    assert {(run.start, run.end) for run in found.trim} == {("mitre", "mitre")}
    # The wall keeps away by face and joint, the returns by the depth of the profile and joint.
    assert extent(laid["NS"])[1] == 8 + 3 + 2


def test_a_profile_along_a_curb_ends_square() -> None:
    rims = {"outer": {"kind": "profile", "face": 8}}
    _, found, _ = taken(job_data(parts=[curb(rims=rims)]))
    (run,) = found.trim
    assert (run.length, run.start, run.end) == (1200 * MM, "square", "square")


def test_sealant_runs_where_tiles_are_and_is_listed_once() -> None:
    """A seat in the corner of a wall: 300 of 2400 mm of the foot, 400 of 2100 mm of the side."""
    seat = {"kind": "other", "x": 2100, "y": 0, "width": 300, "height": 400}

    def lengths(**fields: Any) -> dict[tuple[str, str], float]:
        block = {**curb(tiled=["inner"]), "kind": "seat", "id": "S", "length": 900, "height": 380}
        data = wall(obstacles=[{**seat, **fields}])
        _, found, _ = taken(job_data(data, parts=[block]))
        own = [joint for joint in found.soft_joints if joint.place.startswith("/rooms/0/surfaces")]
        return {(joint.place[-11:], joint.name): joint.length / MM for joint in own}

    alone = lengths()
    assert alone["/surfaces/0", "bottom"] == 2100
    assert alone["/surfaces/0", "right"] == 1700
    assert (alone["obstacles/0", "top"], alone["obstacles/0", "left"]) == (300, 400)
    assert ("obstacles/0", "bottom") not in alone
    assert ("obstacles/0", "right") not in alone
    named = lengths(part="S")
    assert {place for place, _ in named} == {"/surfaces/0"}
    assert named["/surfaces/0", "right"] == 1700


def test_soft_joints_at_every_change_of_plane_each_once() -> None:
    """TCNA Handbook EJ171: sealant at all inside corners, at least 1/8 in (3 mm) wide."""
    walls = [{**wall(window()), "thickness": 200}, {**wall(), "id": "B", "width": 900}]
    corners = [{"left": "A", "right": "B"}]
    room = {"name": "shower", "surfaces": [*walls, floor(width=2400)], "corners": corners}
    _, found, _ = taken({**job_data(), "rooms": [room]})
    joints = {(joint.place.rpartition("/")[2], joint.name): joint for joint in found.soft_joints}
    assert all(joint.width >= 3 * MM for joint in found.soft_joints)
    assert ("1", "left") not in joints  # the corner stands with the left wall
    assert joints["0", "right"].length == 2100 * MM
    # Floor: listed with the walls; jambs on the sill, each along its slope.
    assert not [joint for joint in found.soft_joints if "/surfaces/2" in joint.place]
    assert joints["left", "1"].length == along(151 * MM, 151 * MM * 2 // 100)
    assert {"frame", "inside corner", "floor", "ceiling"} == {j.meets for j in found.soft_joints}
