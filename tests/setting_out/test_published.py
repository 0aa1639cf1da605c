"""Published examples of balanced ends, and the half-tile rule as a formula of its own."""

from fractions import Fraction

import pytest

from cutopt.documents import Job
from cutopt.setting_out import find
from cutopt.stop import MaxSeconds
from cutopt.units import INCH, MM
from tests.layout.jobs import job_data, surface

OPEN = {"all": "open"}


def balanced_end(width: str, tile: str, joint: str) -> tuple[int, Fraction]:
    """Return the end pieces of one course of square tiles with equal ends, size and share."""
    wall = surface(width=width, height=tile, joint=joint, edges=OPEN)
    rule = {"move": "sideways", "balanced": "sideways", "least_cut": {"floor": "2/5"}}
    data = job_data(wall, tile={"width": tile, "height": tile}, setting_out=[rule])
    found = find(Job.of(data), MaxSeconds(20))
    (place,) = found.options.sights.places
    pieces = found.options.sights.at(place, found.best.values).pieces.values()
    sizes = {piece.box.width for piece in pieces}
    assert len(pieces) == 2
    assert len(sizes) == 1
    return sizes.pop(), found.chosen[0].measures.share


def test_a_sliver_and_a_full_tile_make_two_large_ends() -> None:
    # CTEF (read): 24 in full + 1-1/2 in sliver become two 12-3/4 in pieces. Three full tiles,
    # the sliver and joints of 1/8 in: 73-7/8 in.
    size, share = balanced_end("73 7/8 in", "24 in", "1/8 in")
    assert size == 12 * INCH + 3 * INCH // 4
    assert share > Fraction(1, 2)


def test_two_slivers_and_a_tile_make_two_ends() -> None:
    # CTEF (read): 1-3/4 + 1-1/4 + 11-3/4 become two 7-3/8 in pieces; a tile of 11-5/8 in and a
    # joint of 1/8 in are the 11-3/4. Two tiles between the slivers, three joints.
    size, _ = balanced_end("26 5/8 in", "11 5/8 in", "1/8 in")
    assert size == 7 * INCH + 3 * INCH // 8


@pytest.mark.parametrize("wall", [1310, 1500, 1777, 2024, 2439])
@pytest.mark.parametrize("tile", [198, 300, 447])
def test_the_half_tile_rule(wall: int, tile: int) -> None:
    # NAVEDTRA 14044, p. 7-23 (read): end piece = (wall - n tiles + tile) / 2, n the full tiles of
    # a course; a tile counts with its joint here, and the last joint is missing.
    joint = 2
    pitch = tile + joint
    full = (wall + joint) // pitch
    end = Fraction(wall + joint - full * pitch + pitch, 2) - joint
    if end >= tile:
        pytest.skip("full tiles come out")
    size, _ = balanced_end(f"{wall} mm", f"{tile} mm", f"{joint} mm")
    assert Fraction(size, MM) == end
