"""Straight cuts on one rectangle with factory edges: what the greedy baselines cut with.

The rules are those of docs/model.md, written down here a second time and on purpose: a baseline
that borrowed the solver's code would share its faults.
"""

from collections.abc import Iterator
from itertools import product
from typing import NamedTuple

from cutopt.documents import Piece, Side, Tile

TURNS = {"none": (0,), "half": (0, 180), "quarter": (0, 90, 180, 270)}
#: The sides in the order in which a quarter turn anticlockwise carries each to the next.
_ROUND: tuple[Side, ...] = ("right", "top", "left", "bottom")
OPPOSITE: dict[Side, Side] = {"left": "right", "right": "left", "top": "bottom", "bottom": "top"}
Sides = frozenset[Side]
ALL: Sides = frozenset(_ROUND)


class Part(NamedTuple):
    """A rectangle on the bench: its size, and which sides the factory made."""

    width: int
    height: int
    factory: Sides = ALL

    @property
    def area(self) -> int:
        """Return the area."""
        return self.width * self.height


class Wanted(NamedTuple):
    """One piece that is wanted, as a rectangle, and how far it may be turned."""

    width: int
    height: int
    factory: Sides = frozenset()
    turn: str = "none"

    @property
    def area(self) -> int:
        """Return the area of the box."""
        return self.width * self.height

    def turned(self, turn: int) -> "Wanted":
        """Return the piece after a turn of so many degrees anticlockwise."""
        quarters = turn // 90
        sides: Sides = frozenset(
            _ROUND[(_ROUND.index(side) + quarters) % 4] for side in self.factory
        )
        size = (self.height, self.width) if quarters % 2 else (self.width, self.height)
        return self._replace(width=size[0], height=size[1], factory=sides)


def wanted(piece: Piece, tile: Tile) -> Wanted:
    """Return one unit of a piece; a notch or hole is cut from the piece's box."""
    return Wanted(piece.width, piece.height, frozenset(piece.factory_edges), tile.turn)


def cut(part: Part, side: Side, length: int, kerf: int) -> tuple[Part, Part | None]:
    """Cut off `length`, measured from a side; return it and the rest, None where none is left.

    Nothing is cut when the part is just so long.
    """
    across = side in ("left", "right")
    rest = (part.width if across else part.height) - length
    if rest == 0:
        return part, None
    wide, beyond = part.factory - {OPPOSITE[side]}, part.factory - {side}
    if across:
        kept, left = Part(length, part.height, wide), Part(rest - kerf, part.height, beyond)
    else:
        kept, left = Part(part.width, length, wide), Part(part.width, rest - kerf, beyond)
    return kept, left if rest > kerf else None


def leftovers(part: Part, piece: Wanted, kerf: int) -> tuple[Part, ...] | None:
    """Return what is left, larger part first, of the cut that leaves the largest part.

    None when the piece cannot be cut from the part.
    """
    ways = _ways(part, piece, kerf)
    return max(ways, key=lambda way: [left.area for left in way], default=None)


def _ways(part: Part, piece: Wanted, kerf: int) -> Iterator[tuple[Part, ...]]:
    """Yield what is left of every way to cut a piece from a corner with at most two cuts."""
    for turn in TURNS[piece.turn]:
        laid = piece.turned(turn)
        if laid.width > part.width or laid.height > part.height or laid.factory - part.factory:
            continue
        for along, up in product(_ROUND[::2], _ROUND[1::2]):
            lengths: dict[Side, int] = {along: laid.width, up: laid.height}
            for first, second in ((along, up), (up, along)):
                strip, rest = cut(part, first, lengths[first], kerf)
                box, more = cut(strip, second, lengths[second], kerf)
                if laid.factory <= box.factory:
                    left = [each for each in (rest, more) if each]
                    yield tuple(sorted(left, key=lambda each: each.area, reverse=True))
