"""How much room text takes, and where a label fits.

A drawing does not know the font that it will be shown in. Widths are reckoned for the wider
sans-serif faces, so that text is rather too narrow for its room than too wide.
"""

import math
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache, partial
from typing import NamedTuple

from cutopt.reports.svg import Spot
from cutopt.reports.words import NO_BREAK, wrapped

LEADING = 1.25
BOLD = 1.12
_CLEAR = 0.5
#: The room of an arrow before a name, for a size of one.
ARROW = 1.25
_MOST_NAMES = 4

_NARROW = frozenset("ijlI.,:;'|!` " + NO_BREAK)
_SLIM = frozenset('ftr()[]-/\\"*')
_WIDE = frozenset("mMwW@%…—")


@lru_cache(maxsize=4096)
def _em(character: str) -> float:
    if unicodedata.combining(character):
        return 0.0
    if character in _NARROW:
        return 0.38
    if character in _SLIM:
        return 0.46
    if character in _WIDE or unicodedata.east_asian_width(character) in "WF":
        return 1.02
    return 0.79 if not character.isascii() or character.isupper() else 0.65


def width_of(text: str, size: float, bold: bool = False) -> float:
    """Return the width that a line of text takes at the most."""
    return sum(map(_em, text)) * size * (BOLD if bold else 1)


def in_lines(text: str, room: float, size: float, bold: bool = False) -> list[str]:
    """Return a text in lines that fit a width."""
    return wrapped(text, room, partial(width_of, size=size, bold=bold))


@dataclass(frozen=True)
class Space:
    """A rectangle on paper that a label may fill: upper left corner and size."""

    x: float
    y: float
    width: float
    height: float

    @property
    def centre(self) -> Spot:
        """Return the middle."""
        return self.x + self.width / 2, self.y + self.height / 2


#: Words and whether they are bold; a row of them; the rows of a label.
Words = tuple[str, bool]
Row = tuple[Words, ...]
Rows = tuple[Row, ...]


class _Setting(NamedTuple):
    """How large a label is, in mm, whether it stands upright, what it costs the reader."""

    size: float
    upright: bool
    cost: float


#: The two largest are read at arm's length, the smallest from nearby.
_SETTINGS = (
    _Setting(5.0, True, 0),
    _Setting(4.2, True, 0.4),
    _Setting(5.0, False, 1.4),
    _Setting(3.4, True, 1.6),
    _Setting(4.2, False, 2),
    _Setting(2.9, True, 2.8),
    _Setting(3.4, False, 3.2),
    _Setting(2.9, False, 4.4),
    _Setting(2.5, True, 5),
    _Setting(2.5, False, 6.5),
)


@dataclass(frozen=True)
class Label:
    """Rows of words around a centre, with room for an arrow before the first row."""

    rows: Rows
    size: float
    upright: bool
    centre: Spot
    arrow: bool

    @property
    def widths(self) -> list[float]:
        """Return the width of each row, the arrow included."""
        lengths = [
            sum(width_of(words, self.size, bold) for words, bold in row)
            + (len(row) - 1) * width_of(" ", self.size)
            for row in self.rows
        ]
        lengths[0] += ARROW * self.size * self.arrow
        return lengths

    @property
    def box(self) -> tuple[float, float]:
        """Return the width and height that the rows take on paper."""
        width, height = max(self.widths), len(self.rows) * self.size * LEADING
        return (width, height) if self.upright else (height, width)

    def fits(self, space: Space) -> bool:
        """Tell whether the label leaves some white around it."""
        width, height = self.box
        return width + 2 * _CLEAR <= space.width and height + 2 * _CLEAR <= space.height


def fitted(name: str, size: str, spaces: Sequence[Space], arrow: bool = False) -> Label | None:
    """Return the label that reads best among those that fit one of the spaces, or none.

    Large letters read better than small ones, upright better than from below, two rows better
    than one, one better than a name in several.
    """
    best, least = None, math.inf
    for space in spaces:
        for setting in _SETTINGS:
            room = (space.width if setting.upright else space.height) - 2 * _CLEAR
            for rows, cost in _arranged(
                name, size, room - ARROW * setting.size * arrow, setting.size
            ):
                if setting.cost + cost < least:
                    label = Label(rows, setting.size, setting.upright, space.centre, arrow)
                    if label.fits(space):
                        best, least = label, setting.cost + cost
    return best


def _arranged(name: str, size: str, room: float, font: float) -> Iterator[tuple[Rows, float]]:
    """Yield the ways to arrange a name and a size, each with what it costs the reader."""
    if not name:
        yield (((size, False),),), 0
        return
    yield (((name, True),), ((size, False),)), 0
    yield (((name, True), (size, False)),), 0.5
    names = in_lines(name, room, font, bold=True)
    if 1 < len(names) <= _MOST_NAMES:
        yield (*(((part, True),) for part in names), ((size, False),)), 1.5 * len(names) - 1
