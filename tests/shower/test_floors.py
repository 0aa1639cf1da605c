"""Falling floors: planes meet along the fall lines, and the pieces round a drain are alike."""

from collections import Counter
from typing import Any

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt.layout import LaidSurface
from cutopt.plane import box_of
from cutopt.units import MM
from tests.shower.jobs import job_data, taken
from tests.shower.test_lists import floor


def covered(laid: LaidSurface) -> Any:
    """Return what the tiles of a plane cover, joints between them filled, in mm."""
    shapes = [
        shapely.Polygon([(x / MM, y / MM) for x, y in laid.frame.outward(piece.shape.outer)])
        for piece in laid.pieces()
    ]
    return shapely.union_all([shapely.buffer(shape, 1.01, join_style="mitre") for shape in shapes])


@settings(max_examples=10, deadline=None)
@given(st.integers(800, 1600), st.integers(700, 1500), st.integers(-60, 60), st.integers(-60, 60))
def test_four_planes_meet_with_a_joint_between_and_nowhere_overlap(
    width: int, height: int, right: int, up: int
) -> None:
    drain = {"kind": "point", "width": 100, "height": 100}
    middle = {"x": width // 2 + right, "y": height // 2 + up}
    data = floor(width=width, height=height, drains=[{**drain, **middle}])
    data["fall"] = {"slope": 2, "most": 10}
    _, found, laid = taken(job_data(data))
    assert set(laid) == {"FF", "FR", "FB", "FL"}
    planes = [covered(laid[mark]) for mark in ("FF", "FR", "FB", "FL")]
    for one, other in zip(planes, planes[1:] + planes[:1], strict=True):
        # Tiles grown by half a joint and a hair touch along the whole fall line.
        assert shapely.intersection(one, other).area < 0.05 * (width + height)
        assert shapely.distance(one, other) == 0
    whole = shapely.union_all(planes)
    box = shapely.box(3, 3, width - 3, height - 3)
    hole = shapely.box(middle["x"] - 52, middle["y"] - 52, middle["x"] + 52, middle["y"] + 52)
    gaps = shapely.difference(shapely.difference(box, hole), whole)
    # What is left bare are strips too thin to be cut, which a finding names.
    assert gaps.area < 6 * (width + height) * 0.5
    assert found.falls


def test_small_tiles_lie_alike_about_the_drain() -> None:
    small = {"id": "field", "width": 97, "height": 97, "thickness": 8}
    _, _, laid = taken(job_data(floor(width=1213, height=909), tiles=[small]))
    around: Counter[int] = Counter()
    for piece in laid["F"].cut:
        box = box_of(piece.shape.outer)
        near = abs(box.x + box.width / 2 - 600 * MM) < 150 * MM
        if near and abs(box.y + box.height / 2 - 450 * MM) < 150 * MM:
            around[piece.shape.doubled_area] += 1
    assert list(around.values()) == [4]


@pytest.mark.parametrize("given", [{"start": {"x": 5, "y": 5}}, {"bond": "running"}])
def test_a_start_or_a_bond_that_was_chosen_stays(given: dict[str, Any]) -> None:
    small = {"id": "field", "width": 97, "height": 97, "thickness": 8}
    plain = {**floor(), "fall": None}
    with_fall = taken(job_data(floor(**given), tiles=[small]))[2]["F"]
    without = taken(job_data({**plain, **given}, tiles=[small]))[2]["F"]
    assert [piece.cell for piece in with_fall.cut] == [piece.cell for piece in without.cut]
