"""The chance that a piece breaks, from what the plan does to it.

No published figure was found for any of these chances: every default is an assumption, common
practice, no source, and every one can be replaced in the settings.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from cutopt.documents import CutTile, Piece, Placement, Tile
from cutopt.documents.buying import Breakage, CutKind, Material, TileToBuy
from cutopt.plane import Point, cross
from cutopt.units import MM

ASSUMED = "assumption, common practice, no source"

#: By kind of cut, for pressed ceramic, porcelain and natural stone.
CHANCES: dict[CutKind, dict[Material, float]] = {
    "whole": {"ceramic": 0.0, "porcelain": 0.0, "stone": 0.0},
    "straight": {"ceramic": 0.01, "porcelain": 0.015, "stone": 0.02},
    "slanted": {"ceramic": 0.04, "porcelain": 0.05, "stone": 0.06},
    "notch": {"ceramic": 0.04, "porcelain": 0.05, "stone": 0.06},
    "u-shape": {"ceramic": 0.08, "porcelain": 0.10, "stone": 0.12},
    "round hole": {"ceramic": 0.04, "porcelain": 0.05, "stone": 0.06},
    "box hole": {"ceramic": 0.10, "porcelain": 0.12, "stone": 0.15},
    "narrow strip": {"ceramic": 0.10, "porcelain": 0.125, "stone": 0.15},
    "long thin": {"ceramic": 0.06, "porcelain": 0.08, "stone": 0.10},
}
#: A strip below this is narrow, a leg so many times longer than wide is long and thin (common
#: practice, no source).
NARROW = 25 * MM
THIN = 6
#: A stretch of more slanted edges than this is an arc.
MOST_SLANTED = 2

_LEFT, _BOTTOM, _RIGHT, _TOP = 1, 2, 4, 8

Cuts = Counter[CutKind]


@dataclass(frozen=True, slots=True)
class Chances:
    """The chance of each kind of cut for one tile."""

    of_kind: dict[CutKind, float]

    def of(self, cuts: Cuts) -> float:
        """Return the chance that a piece breaks under at least one of its cuts."""
        sound = 1.0
        for kind, times in cuts.items():
            sound *= (1.0 - self.of_kind[kind]) ** times
        return 1.0 - sound


def chances_of(material: Material, own: Breakage) -> Chances:
    """Return the chances for a material, each replaced where the settings say so."""
    return Chances(
        {
            kind: default[material] if (said := getattr(own, _field(kind))) is None else said
            for kind, default in CHANCES.items()
        }
    )


def chances_for(tile: Tile, buy: TileToBuy) -> Chances:
    """Return the chances of a tile; a sheet of mosaic, parted with a knife, breaks only if said."""
    own = buy.breakage
    if tile.mosaic is not None:
        never = {name: 0.0 for name, chance in own if chance is None}
        own = own.model_copy(update=never)
    return chances_of(buy.material, own)


def _field(kind: str) -> str:
    return kind.replace(" ", "_").replace("-", "_")


def cuts_of(piece: Piece, sawn_sides: int) -> Cuts:
    """Return the cuts that a piece goes through, given how many sides of its box are sawn."""
    cuts: Cuts = Counter()
    narrow = min(piece.width, piece.height) < NARROW
    cuts["narrow strip" if narrow else "straight"] += sawn_sides
    for hole in piece.holes:
        cuts["round hole" if hole.outline is None else "box hole"] += 1
    if piece.outline is not None:
        cuts.update(_shaping(piece, piece.outline))
    if not narrow and _is_long_and_thin(piece):
        cuts["long thin"] += 1
    return +cuts


def placed_cuts(pieces: Mapping[str, Piece], tile: CutTile) -> Iterator[tuple[Piece, Cuts]]:
    """Yield every piece of a cut-up tile with its cuts; a side on the tile's edge is not sawn."""
    for placement in tile.placements:
        piece = pieces[placement.piece]
        yield piece, cuts_of(piece, _sawn_sides(piece, placement, tile))


def _sawn_sides(piece: Piece, placement: Placement, tile: CutTile) -> int:
    """Count the sides of a piece that run along its box and not along the edge of the tile."""
    quarters = placement.turn // 90
    width, height = piece.width, piece.height
    if quarters % 2:
        width, height = height, width
    # Left, bottom, right, top: a quarter turn takes each to the next.
    within = (
        placement.x > 0,
        placement.y > 0,
        placement.x + width < tile.width,
        placement.y + height < tile.height,
    )
    return sum(
        within[(number + quarters) % 4] and _runs_along(piece, side)
        for number, side in enumerate((_LEFT, _BOTTOM, _RIGHT, _TOP))
    )


def _runs_along(piece: Piece, side: int) -> bool:
    """Tell whether an edge of the piece lies on a side of its box: a triangle may only touch it."""
    if piece.outline is None:
        return True
    touching = [bool(_sides(piece, point) & side) for point in piece.outline]
    return any(a and b for a, b in pairwise([*touching, touching[0]]))


def _shaping(piece: Piece, outline: Sequence[Point]) -> Cuts:
    """Return the notches, recesses and slanted cuts of an outline.

    Walked from one point on the side of the box to the next, a stretch within the box is a slanted
    cut, a recess when it comes back to the side that it left, or one notch per inside corner.
    """
    cuts: Cuts = Counter()
    for stretch in _stretches(piece, outline):
        slanted = sum(a[0] != b[0] and a[1] != b[1] for a, b in pairwise(stretch))
        inside = sum(cross(*corner) < 0 for corner in _corners(stretch))
        if _sides(piece, stretch[0]) & _sides(piece, stretch[-1]):
            cuts["u-shape"] += 1
        elif slanted > MOST_SLANTED:  # an arc, drawn in many short edges
            cuts["notch"] += 1
        else:
            cuts["notch"] += inside
            cuts["slanted"] += slanted
    return cuts


def _stretches(piece: Piece, outline: Sequence[Point]) -> Iterator[tuple[Point, ...]]:
    """Yield what of an outline runs within the box, each with the points where it leaves it."""
    sides = [_sides(piece, point) for point in outline]
    first = next(at for at, on in enumerate(sides) if on)
    ring = [*outline[first:], *outline[: first + 1]]
    stretch = [ring[0]]
    for point in ring[1:]:
        stretch.append(point)
        if _sides(piece, point):
            if len(stretch) > 2 or not _sides(piece, stretch[0]) & _sides(piece, point):
                yield tuple(stretch)
            stretch = [point]


def _sides(piece: Piece, point: Point) -> int:
    """Return the sides of the box that a point lies on, as bits."""
    x, y = point
    width, height = int(piece.width), int(piece.height)
    return _LEFT * (x == 0) + _RIGHT * (x == width) + _BOTTOM * (y == 0) + _TOP * (y == height)


def _is_long_and_thin(piece: Piece) -> bool:
    longest: int = max(piece.width, piece.height)
    return longest >= THIN * min(_legs(piece))


def _legs(piece: Piece) -> Iterator[int]:
    """Yield how wide the piece is: its box, and what is left beside each inside corner."""
    yield min(piece.width, piece.height)
    for stretch in _stretches(piece, piece.outline) if piece.outline else ():
        for before, corner, after in _corners(stretch):
            if cross(before, corner, after) < 0:
                yield _to_side(piece, before, corner)
                yield _to_side(piece, after, corner)


def _corners(stretch: Sequence[Point]) -> Iterator[tuple[Point, Point, Point]]:
    return zip(stretch, stretch[1:], stretch[2:], strict=False)


def _to_side(piece: Piece, start: Point, corner: Point) -> int:
    """Return how far it is from a corner, going on from a start, to the side of the box."""
    (x, y), ahead = corner, (corner[0] - start[0], corner[1] - start[1])
    across = piece.width - x if ahead[0] > 0 else x
    upwards = piece.height - y if ahead[1] > 0 else y
    return upwards if ahead[0] == 0 else across if ahead[1] == 0 else min(across, upwards)
