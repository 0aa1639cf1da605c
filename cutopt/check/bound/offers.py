"""What a certificate puts a price on: pieces in every way that they may lie, and what is cut up.

A side is a bit here, so that the sides of a part are one number.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from cutopt.check.corners import CORNERS, in_corner, is_clear
from cutopt.check.known import turned_sides
from cutopt.check.lines import convex_hull, is_rectilinear
from cutopt.documents import ALL_SIDES, Offcut, Piece, Request, Side, Tile
from cutopt.documents.plan import Corner
from cutopt.plane import Outline, Point, Rect, turned

BIT: dict[Side, int] = {"left": 1, "right": 2, "bottom": 4, "top": 8}
LEFT, RIGHT, BOTTOM, TOP = 1, 2, 4, 8
_TURNS = {"none": (0,), "half": (0, 180), "quarter": (0, 90, 180, 270)}


def mirrored_sides(sides: int) -> int:
    """Return sides when left and bottom change places, right and top."""
    return (sides & (LEFT | RIGHT)) << 2 | sides >> 2


class Part(NamedTuple):
    """A rectangle that may be cut up: its size, and which of its sides the factory made."""

    width: int
    height: int
    edges: int

    @property
    def mirrored(self) -> "Part":
        """Return it with width and height changed over."""
        return Part(self.height, self.width, mirrored_sides(self.edges))

    def holds(self, look: "Look") -> bool:
        """Tell whether a piece can be cut from it as it lies."""
        return (
            look.width <= self.width
            and look.height <= self.height
            and not look.wants & ~self.edges
            and (look.wants & (LEFT | RIGHT) != LEFT | RIGHT or look.width == self.width)
            and (look.wants & (BOTTOM | TOP) != BOTTOM | TOP or look.height == self.height)
        )


class Hollow(NamedTuple):
    """An empty corner of a piece: its two outer sides, the notches that it has room for.

    What a notch leaves is smaller by a kerf each way.
    """

    sides: int
    notches: tuple[tuple[int, int], ...]

    @property
    def mirrored(self) -> "Hollow":
        """Return it with width and height changed over."""
        notches = tuple((height, width) for width, height in self.notches)
        return Hollow(mirrored_sides(self.sides), notches)


class Look(NamedTuple):
    """A piece as it lies: its box, the sides that must be factory edges, its empty corners.

    `hull` is what straight cuts make of it when that is not the whole box.
    """

    width: int
    height: int
    wants: int
    hollows: tuple[Hollow, ...]
    hull: tuple[Point, ...] | None

    @property
    def corners(self) -> Outline:
        """Return the corners of what straight cuts make of it, anticlockwise."""
        return self.hull or Rect(0, 0, self.width, self.height).corners

    @property
    def mirrored(self) -> "Look":
        """Return its box with width and height changed over; of its hull nothing is kept."""
        hollows = tuple(hollow.mirrored for hollow in self.hollows)
        return Look(self.height, self.width, mirrored_sides(self.wants), hollows, None)


class Block(NamedTuple):
    """One piece, or several that nest, to be parted off by straight cuts as a whole.

    `group` is the numbers of their offers, sorted.
    """

    group: tuple[int, ...]
    look: Look


@dataclass(frozen=True)
class Offer:
    """Pieces that are cut alike and bear the same price."""

    pieces: tuple[Piece, ...]
    price: int
    looks: frozenset[Look]

    @cached_property
    def wanted(self) -> int:
        """Return how many are wanted."""
        return sum(piece.quantity for piece in self.pieces)

    def named(self, many: int) -> Iterator[tuple[str, int]]:
        """Yield the names of so many, each with how often it is taken."""
        for piece in self.pieces:
            if taken := min(many, piece.quantity):
                yield piece.id, taken
                many -= taken


def offers_of(request: Request, tile: Tile, prices: Mapping[str, int]) -> list[Offer]:
    """Return the pieces of a tile that bear on what it is worth, put together by look and price."""
    found: dict[tuple[int, frozenset[Look]], list[Piece]] = {}
    for piece in request.pieces:
        if tile in request.tiles_of(piece):
            looks, price = looks_of(piece, tile), prices.get(piece.id, 0)
            key = price, looks
            found.setdefault(key, []).append(piece)
    slanted = any(look.hull for _, looks in found for look in looks)
    offers = [Offer(tuple(pieces), *key) for key, pieces in found.items()]
    return [offer for offer in offers if offer.price or slanted or _hosts_anew(offer)]


def _hosts_anew(offer: Offer) -> bool:
    """Tell whether more can come out of a piece's corners than straight cuts alone could part.

    Up to three rectangles a kerf apart are parted by straight cuts; four may lie as a pinwheel.
    (Among slanted pieces even one that is worth nothing may be what others nest with.)
    """
    return any(len(look.hollows) == 4 for look in offer.looks)


def looks_of(piece: Piece, tile: Tile) -> frozenset[Look]:
    """Return the ways that a piece may lie on its tile."""
    return frozenset(_look(piece, turn) for turn in _TURNS[tile.turn])


def part_of(stock: Tile | Offcut) -> Part:
    """Return a new tile, or an offcut, as what is cut up."""
    edges = stock.factory_edges if isinstance(stock, Offcut) else ALL_SIDES
    return Part(stock.width, stock.height, _bits(edges))


def _bits(sides: Iterable[Side]) -> int:
    return sum(BIT[side] for side in sides)


def _look(piece: Piece, turn: int) -> Look:
    size = (piece.height, piece.width) if turn in (90, 270) else (piece.width, piece.height)
    outline = tuple(turned(point, piece.width, piece.height, turn) for point in piece.shape)
    wants = _bits(turned_sides(piece.factory_edges, turn))
    if piece.is_rectangle:
        return Look(*size, wants, (), None)
    if is_rectilinear(outline):
        return Look(*size, wants, tuple(_hollows(outline, Rect(0, 0, *size))), None)
    hull = convex_hull(outline)
    return Look(*size, wants, (), None if is_rectilinear(hull) else hull)


def _hollows(outline: Outline, box: Rect) -> Iterator[Hollow]:
    for corner in CORNERS:
        if notches := _largest_notches(outline, box, corner):
            sides = (BOTTOM if corner.startswith("bottom") else TOP) | (
                LEFT if corner.endswith("left") else RIGHT
            )
            yield Hollow(sides, tuple(notches))


def _largest_notches(outline: Outline, box: Rect, corner: Corner) -> list[tuple[int, int]]:
    """Return the notches that a corner has room for, none within another."""
    across = sorted({abs(x - (0 if corner.endswith("left") else box.right)) for x, _ in outline})
    up = sorted({abs(y - (0 if corner.startswith("bottom") else box.top)) for _, y in outline})
    found: list[tuple[int, int]] = []
    for width in across[:0:-1]:
        heights = (
            height
            for height in up[:0:-1]
            if is_clear(in_corner(box, corner, width, height), outline)
        )
        height = next(heights, 0)
        if height and (not found or height > found[-1][1]):
            found.append((width, height))
    return found
