"""Closed geometry: returns meet their faces, with no gap and no overlap beyond what is meant.

The tiles are put back into the room by hand, in three sections through the opening, from their
places on the unfolded surfaces and the bed and thickness of the tile. Nothing of the unfolding is
used here.
"""

from typing import Any

import pytest
import shapely
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from cutopt.layout import LaidSurface
from tests.shower.jobs import Extent, curb, extent, job_data, opening, rims, taken, wall

THICK, BED, JOINT, SOFT = 8, 3, 2, 3
FACE = THICK + BED
few = settings(
    max_examples=40, suppress_health_check=list(HealthCheck), deadline=None, phases=[Phase.generate]
)


def box(left: float, low: float, right: float, high: float) -> Any:
    return shapely.box(left, low, right, high)


def hole_of(laid: LaidSurface, x: float, y: float) -> tuple[float, float, float, float]:
    """Return where the tiles of the wall end round the middle of an opening."""
    shapes = [shapely.Polygon(piece.shape.outer, piece.shape.holes) for piece in laid.pieces()]
    wall_tiles = shapely.union_all([shapely.buffer(s, 9000, join_style="mitre") for s in shapes])
    assert isinstance(wall_tiles, shapely.Polygon)
    (ring,) = [
        hole
        for hole in wall_tiles.interiors
        if shapely.Polygon(hole).contains(shapely.Point(x * 8000, y * 8000))
    ]
    left, low, right, high = (side / 8000 for side in ring.bounds)
    more = 9000 / 8000
    return left - more, low - more, right + more, high + more


def apart(first: Any, second: Any) -> float:
    assert shapely.intersection(first, second).area < 0.01
    return float(shapely.distance(first, second))


def bevelled(tile: Any, corner: tuple[float, float], inward: tuple[int, int], mitre: bool) -> Any:
    """Take away what lies beyond the plane of the mitre through a corner point."""
    if not mitre:
        return tile
    (x, y), (dx, dy) = corner, inward
    reach = 60
    return shapely.difference(
        tile,
        shapely.Polygon([(x, y), (x + reach * dx, y + reach * dy), (x, y + reach * dy)]),
    )


def expected_gap(rim: dict[str, Any]) -> float | None:
    if rim["kind"] == "mitre":
        return 0.0
    return float(JOINT) if rim["kind"] == "factory edge" else None


openings = st.fixed_dictionaries(
    {
        "x": st.integers(500, 700),
        "y": st.integers(800, 1000),
        "width": st.integers(250, 900),
        "height": st.integers(200, 800),
    }
)


@few
@given(openings, rims(), st.integers(80, 160), st.sampled_from([1, 2, 3.5, 8]), st.booleans())
def test_a_lined_opening_is_closed(
    size: dict[str, int], rim: dict[str, Any], depth: int, pitch: float, is_niche: bool
) -> None:
    returns = {"depth": depth, "pitch": pitch, "rims": {"all": rim}}
    if not is_niche:
        returns["back"] = None
    lined = opening(**size, returns=returns, kind="niche" if is_niche else "window")
    _, _, laid = taken(job_data(wall(lined)))
    x, y = size["x"] + size["width"] / 2, size["y"] + size["height"] / 2
    hole = hole_of(laid["A"], x, y)
    room = Room(laid, hole, size, rim, is_niche)
    room.front_to_back_at_half_width(depth)
    room.front_to_back_at_half_height(depth)
    room.across(depth, pitch)


class Room:
    """The tiles of an opening put back into the room; z is 0 at the substrate, below 0 in front."""

    def __init__(
        self,
        laid: dict[str, LaidSurface],
        hole: Extent,
        size: dict[str, int],
        rim: dict[str, Any],
        is_niche: bool,
    ) -> None:
        self.laid, self.hole, self.rim, self.is_niche = laid, hole, rim, is_niche
        self.x, self.y = size["x"], size["y"]
        self.width, self.height = size["width"], size["height"]

    def meet(self, wall_tile: Any, tile: Any) -> None:
        gap = expected_gap(self.rim)
        if gap is None:
            assert apart(wall_tile, tile) >= 0
        elif self.rim["kind"] == "mitre":
            # The bevels meet: the backs overlap in a triangle that is cut away.
            assert shapely.intersection(wall_tile, tile).area <= THICK**2
            assert shapely.distance(wall_tile, tile) == 0
        else:
            assert apart(wall_tile, tile) == pytest.approx(gap, abs=0.02)

    def front_to_back_at_half_width(self, depth: int) -> None:
        """Section with z to the right and y up: wall below and above, sill, head, back."""
        below = box(-FACE, self.hole[1] - 90, -BED, self.hole[1])
        above = box(-FACE, self.hole[3], -BED, self.hole[3] + 90)
        head = extent(self.laid["NH"])
        bottom = self.y + self.height - FACE
        length = depth + FACE - (FACE if self.is_niche else 0)
        front, back = length - head[3], length - head[1]
        head_tile = box(front - FACE, bottom, back - FACE, bottom + THICK)
        self.meet(above, head_tile)
        sill = extent(self.laid["NS"])
        low = self.y + FACE
        # The pitch of the sill hardly shortens it: level to 0.4 %, so the front to 0.1 mm.
        sill_front = box(sill[1] - FACE, low - THICK, sill[1] - FACE + 20, low)
        self.meet(below, sill_front)
        self.at_the_back(back - FACE, depth)

    def at_the_back(self, back: float, depth: int) -> None:
        """Frame or back tile: a soft joint before it."""
        end = depth - FACE if self.is_niche else depth
        assert end - back == pytest.approx(SOFT, abs=0.01)
        if self.is_niche:
            # The edges of the back lie behind the faces of the returns.
            left, low, right, high = extent(self.laid["NB"])
            assert left < FACE
            assert low < FACE
            assert self.width - right < FACE
            assert self.height - high < FACE

    def front_to_back_at_half_height(self, depth: int) -> None:
        """Section with z to the right and x up: the wall beside the opening, and the jambs."""
        length = depth + FACE - (FACE if self.is_niche else 0)
        left, right = extent(self.laid["NL"]), extent(self.laid["NR"])
        first = box(-FACE, self.hole[0] - 90, -BED, self.hole[0])
        jamb = box(left[0] - FACE, self.x + BED, left[2] - FACE, self.x + FACE)
        self.meet(first, jamb)
        second = box(-FACE, self.hole[2], -BED, self.hole[2] + 90)
        end = self.x + self.width
        jamb = box(length - right[2] - FACE, end - FACE, length - right[0] - FACE, end - BED)
        self.meet(second, jamb)

    def across(self, depth: int, pitch: float) -> None:
        """Section across at any depth: jambs stand on the sill and carry the head."""
        top = self.height - 2 * FACE
        length = depth + FACE - (FACE if self.is_niche else 0)
        for mark in ("NL", "NR"):
            laid = self.laid[mark]
            points = [
                (x / 8000, y / 8000)
                for piece in laid.pieces()
                for x, y in laid.frame.outward(piece.shape.outer)
            ]
            left, _, right, high = extent(laid)
            assert top - high == pytest.approx(SOFT, abs=0.01)
            for side in (left, right):
                s = side if mark == "NL" else length - side
                foot = min(y for x, y in points if abs(x - side) < 0.01)
                # Level with the sill, a soft joint above it, square to its slope.
                assert foot == pytest.approx(pitch / 100 * s + SOFT, abs=0.1)
        for mark in ("NS", "NH"):
            left, _, right, _ = extent(self.laid[mark])
            for behind in (left, self.width - right):
                assert behind <= FACE + 0.01, "the end is behind the face of the jamb"
                assert behind >= SOFT - 0.01


@few
@given(
    st.integers(300, 2000),
    st.integers(60, 200),
    st.integers(80, 300),
    rims(),
    st.sets(st.sampled_from(["left", "right"])),
    st.sampled_from([1, 2, 5]),
)
def test_a_curb_is_closed(
    length: int, width: int, height: int, rim: dict[str, Any], ends: set[str], pitch: float
) -> None:
    tiled = ["inner", "outer", *sorted(ends)]
    data = curb(length=length, width=width, height=height, rims={"all": rim}, tiled=tiled)
    _, _, laid = taken(job_data(parts=[{**data, "pitch": pitch}]))
    run = width + 2 * FACE
    low, high = height + FACE, height + FACE + run * pitch / 100
    top, inner, outer = extent(laid["CT"]), extent(laid["CN"]), extent(laid["CO"])
    slope = (1 + (pitch / 100) ** 2) ** 0.5
    # Section across the curb, y up, the inner face at 0.
    face = box(0, inner[1], THICK, inner[3])
    front = top[1] / slope
    level = shapely.Polygon(
        [
            (front, low + front * pitch / 100),
            (front + 30, low + (front + 30) * pitch / 100),
            (front + 30, low + (front + 30) * pitch / 100 - THICK),
            (front, low + front * pitch / 100 - THICK),
        ]
    )
    gap = expected_gap(rim)
    if gap == 0:
        assert inner[3] == pytest.approx(low, abs=0.01)
        assert top[1] == pytest.approx(0, abs=0.01)
        assert outer[3] == pytest.approx(high, abs=0.01)
        assert top[3] == pytest.approx(run * slope, abs=0.01)
    elif gap is not None:
        # The pitch tilts the tile: its back moves by up to 5 % of its thickness.
        assert apart(face, level) == pytest.approx(gap, abs=0.5)
    else:
        assert apart(face, level) > 0
    assert inner[1] == pytest.approx(SOFT, abs=0.01)
    for end in ends:
        points = [
            (x / 8000, y / 8000)
            for piece in laid["C" + end[0].upper()].pieces()
            for x, y in piece.shape.outer
        ]
        left, _, right, _ = extent(laid["C" + end[0].upper()])
        away = low - inner[3]
        for side in (left, right):
            s = run - side if end == "left" else side
            head = max(y for x, y in points if abs(x - side) < 0.01)
            assert head == pytest.approx(low + s * pitch / 100 - away, abs=0.1)
