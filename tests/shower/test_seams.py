"""Strips of curb, seat and skirting: no seam where one tile reaches, else seams on purpose."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutopt.documents.unfold.corner import centred
from cutopt.plane import box_of
from cutopt.units import MM
from tests.shower.jobs import curb, job_data, taken


def widths(length: int) -> list[float]:
    """Return the widths of the pieces of a curb's top between two walls, from the left."""
    laid = taken(job_data(parts=[curb(length=length)]))[2]["CT"]
    boxes = sorted(box_of(piece.shape.outer) for piece in laid.pieces())
    return [box.width / MM for box in boxes]


def test_one_tile_reaches_from_end_to_end() -> None:
    """Between soft joints of 3 mm at both walls: 606 mm take just one tile of 600."""
    assert widths(606) == [600]
    assert widths(607) == [299.5, 299.5]


@pytest.mark.parametrize(
    ("length", "count"), [(1200, 2), (1208, 2), (1210, 3), (1809, 3), (1811, 4)]
)
def test_seams_lie_alike_from_both_ends(length: int, count: int) -> None:
    """A joint lies in the middle, or a tile, whichever takes fewer pieces."""
    found = widths(length)
    assert found == found[::-1]
    assert len(found) == count
    assert sum(found) + 2 * (count - 1) == length - 6


@given(st.integers(1, 5000), st.integers(40, 1200), st.integers(1, 10))
def test_ends_are_alike_and_at_least_half_a_tile(length: int, tile: int, joint: int) -> None:
    """The half-tile rule: NAVEDTRA 14044, p. 7-23 (read second-hand)."""
    begin = centred(length, tile, joint)
    pitch = tile + joint
    starts = range(begin - pitch, length, pitch)
    pieces = [min(length, start + tile) - max(0, start) for start in starts if start + tile > 0]
    assert abs(pieces[0] - pieces[-1]) <= 2  # of 8,000 in a millimetre
    if length <= tile:
        assert pieces == [length]
    else:
        assert pieces[0] >= (tile - joint) // 2 - 1
        assert len(pieces) in (-(-length // pitch), -(-length // pitch) + 1)
