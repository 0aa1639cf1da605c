"""Counts and sizes that others have published; the source stands beside each.

Published sizes count each tile with its joint, so tiles here are a joint smaller, and the
edges of the surface take half a joint.
"""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutopt.documents import Job
from cutopt.errors import InvalidInput
from cutopt.layout import LaidSurface, take_off
from cutopt.layout.balance import end_sizes
from cutopt.units import INCH, MM
from tests.layout.jobs import job, job_data, surface

HALF_JOINT = {"all": {"meets": "profile", "joint": 1}}


def floor(width: float, height: float, tile: float, **fields: Any) -> LaidSurface:
    data = surface(kind="floor", width=width, height=height, edges=HALF_JOINT, joint=2, **fields)
    return take_off(job(data, tile={"width": tile - 2, "height": tile - 2})).surfaces[0]


def test_a_room_of_3_by_4_m_takes_48_tiles_of_half_a_metre() -> None:
    """School text on mensuration, class 6, example 16: 48."""
    laid = floor(3000, 4000, 500)
    assert (laid.full_tiles, len(laid.gaps)) == (48, 0)
    assert all(piece.is_full for piece in laid.cut)


def test_a_room_of_5_4_by_4_05_m_takes_972_tiles_of_15_cm() -> None:
    """The same school text: 972, that is 36 x 27."""
    laid = floor(5400, 4050, 150)
    assert laid.full_tiles == 972 == 36 * 27
    assert all(piece.is_full for piece in laid.cut)


def test_a_floor_of_6_by_1_8_m_has_48_cells_where_its_area_would_say_44() -> None:
    """Published: 48 (12 x 4); by area 43.2, so 44: the area method orders too few."""
    laid = floor(6000, 1800, 500)
    assert (laid.full_tiles, len(list(laid.pieces()))) == (36, 48)


def wall_in_inches(width: str, tile: str, start: str) -> list[int]:
    data = surface(
        width=width,
        height=tile,
        joint="1/8 in",
        edges={"all": {"meets": "profile", "joint": "1/16 in"}},
        start={"x": start, "y": "1/16 in"},
    )
    sides = {"width": tile_less_joint(tile), "height": tile_less_joint(tile)}
    read = Job.of(job_data(data, tile=sides, units="in"))
    ends = end_sizes(take_off(read).surfaces[0])
    return [ends["left"][0] + INCH // 8, ends["right"][0] + INCH // 8]


def tile_less_joint(tile: str) -> str:
    whole = {"24 in": "23 7/8 in", "11 3/4 in": "11 5/8 in"}
    return whole[tile]


def test_a_sliver_and_a_full_tile_make_two_pieces_of_12_3_4_in() -> None:
    """Ceramic Tile Education Foundation: 24 in full + 1-1/2 in sliver, two 12-3/4 in pieces."""
    # Four tiles and the sliver: 97-1/2 in.
    assert wall_in_inches("97 1/2 in", "24 in", "1/16 in") == [24 * INCH, 3 * INCH // 2]
    # The first tile begins 11-1/4 in before the wall does.
    balanced = wall_in_inches("97 1/2 in", "24 in", "-11 3/16 in")
    assert balanced == [51 * INCH // 4] * 2


def test_two_slivers_and_a_full_tile_make_two_pieces_of_7_3_8_in() -> None:
    """Ceramic Tile Education Foundation: 1-3/4 + 1-1/4 + 11-3/4, two 7-3/8 in pieces."""
    # Slivers at both ends of nine tiles: 108-3/4 in.
    width = "108 3/4 in"
    slivers = wall_in_inches(width, "11 3/4 in", "1 13/16 in")
    assert slivers == [7 * INCH // 4, 5 * INCH // 4]
    balanced = wall_in_inches(width, "11 3/4 in", "7 7/16 in")
    assert balanced == [59 * INCH // 8] * 2


@given(st.integers(700, 6000), st.integers(80, 650))
def test_half_tile_rule_gives_equal_ends_of_half_a_tile_or_more(wall: int, tile: int) -> None:
    """End piece = (wall - n tile + tile) / 2: NAVEDTRA 14044 (US Navy Builder), page 7-23."""
    count = wall // tile
    end = (wall - count * tile + tile) / 2
    if wall == count * tile:
        return  # nothing to balance
    start = {"x": end - tile + 1, "y": 1}
    data = surface(width=wall, height=tile, edges=HALF_JOINT, start=start)
    laid = take_off(job(data, tile={"width": tile - 2, "height": tile - 2})).surfaces[0]
    ends = end_sizes(laid)
    assert ends["left"] == ends["right"] == [round((end - 2) * MM)]
    assert 2 * (ends["left"][0] + 2 * MM) >= tile * MM


@pytest.mark.parametrize(
    ("width", "height", "joint", "closes"),
    [
        (200, 98, 4, True),  # 2 x 98 + 4
        (200, 98, 3, False),
        (302, 99, 2.5, True),  # 3 x 99 + 2 x 2.5
        (302, 99, 2, False),
    ],
)
def test_basket_weave_closes_only_for_modular_tiles(
    width: float, height: float, joint: float, closes: bool
) -> None:
    """L = k W + (k - 1) joint: system modularity, TCNA Handbook (read second-hand)."""
    data = job_data(
        surface(joint=joint, bond="basket weave"), tile={"width": width, "height": height}
    )
    if closes:
        assert take_off(Job.of(data)).surfaces[0].gaps == ()
    else:
        with pytest.raises(InvalidInput, match=r"closes at a joint of (4 mm|2\.5 mm)$"):
            Job.of(data)
