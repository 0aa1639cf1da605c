"""Where a slanted cut does for the straight one before it, its blade spares all that is wanted."""

import math

from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from cutopt.documents import CutTile, Request
from cutopt.plane import turned
from cutopt.reports.one_pass import slants_for_both
from cutopt.units import MM
from tests.building import planned, request
from tests.strategies import Json

Line = tuple[tuple[int, int], tuple[int, int]]


def blade(line: Line, kerf: int, within: Polygon) -> Polygon:
    """Return what the blade takes of a part, to the right of a line."""
    (ax, ay), (bx, by) = line
    length = math.dist(*line)
    far = 1e8 / length
    across, up = (bx - ax) * far, (by - ay) * far
    aside, down = (by - ay) / length * kerf, -(bx - ax) / length * kerf
    start, end = (ax - across, ay - up), (bx + across, by + up)
    strip = [start, end, (end[0] + aside, end[1] + down), (start[0] + aside, start[1] + down)]
    return Polygon(strip).intersection(within)  # type: ignore[return-value]


def wanted_of(request: Request, one: CutTile) -> list[Polygon]:
    """Return the pieces as they lie on a tile, and what is kept of it."""
    pieces = {piece.id: piece for piece in request.pieces}
    found = [
        box(left.x, left.y, left.x + left.width, left.y + left.height) for left in one.leftovers
    ]
    for placed in one.placements:
        piece = pieces[placed.piece]
        corners = [turned(p, piece.width, piece.height, placed.turn) for p in piece.shape]
        found.append(Polygon([(x + placed.x, y + placed.y) for x, y in corners]))
    return found


@st.composite
def tapers(draw: st.DrawFn) -> Json:
    """Draw a piece for a wall out of square, one side slanted a little or a lot."""
    width, height = draw(st.integers(60, 580)), draw(st.sampled_from([300, 290, 150]))
    across, up = draw(st.sampled_from([(0.5, 0), (4, 0), (50, 0), (0, 0.7), (0, 6), (0, 40)]))
    corners: list[list[float]] = [[0, 0], [width, 0], [width, height], [0, height]]
    at = draw(st.integers(0, 3))
    x, y = corners[at]
    corners[at] = [x + (across if x == 0 else -across), y + (up if y == 0 else -up)]
    edges = draw(st.sampled_from([(), ("left",), ("right",), ("top",)]))
    return {"width": width, "height": height, "outline": corners, "factory_edges": list(edges)}


@settings(max_examples=100)
@given(st.lists(tapers(), min_size=1, max_size=3), st.sampled_from([0, 2, 5]))
def test_the_blade_spares_pieces_and_what_is_kept(pieces: list[Json], kerf: int) -> None:
    wanted = request((600, 300), pieces, kerf=kerf)
    kerf *= MM
    for one in planned(wanted).cut_tiles:
        cuts = one.cuts or ()
        for number, after in slants_for_both(one, kerf).items():
            line = cuts[after - 1].line
            assert line is not None
            assert cuts[number - 1].way in ("vertical", "horizontal")
            assert cuts[after - 1].part in cuts[number - 1].makes
            parent = box(0, 0, one.width, one.height)
            if number > 1:
                continue  # only the first cut goes through the whole tile
            for shape in wanted_of(wanted, one):
                lost = blade(line, kerf, parent).intersection(shape)
                assert lost.area <= 0.03 * MM * shape.length
