"""What a start comes to besides its tiles: smallest cut, notched pieces, joints at openings."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from cutopt.documents import Side
from cutopt.documents.survey import repeats
from cutopt.setting_out.domain import at_opening
from cutopt.setting_out.forms import Box
from cutopt.setting_out.options import Options

_SIDES: tuple[tuple[Side, int], ...] = (("left", 0), ("right", 0), ("bottom", 1), ("top", 1))


@dataclass(frozen=True, slots=True)
class Measures:
    """What one start comes to.

    Attributes
    ----------
    smallest : int or None
        The smallest cut that the start decides.
    share : Fraction
        The smallest share of a tile that such a cut leaves; 1 when there is none.
    notched : int
        Pieces with a notch or a bite.
    aligned, edges : int
        Edges of openings that a joint lies on, of all such edges.
    """

    smallest: int | None
    share: Fraction
    notched: int
    aligned: int
    edges: int


def measures_at(options: Options, values: Sequence[int]) -> Measures:
    """Return what a start comes to, by the surfaces that it moves and those it does not."""
    point = Box(tuple(values), tuple(values))
    smallest: int | None = None
    share, notched, aligned, edges = Fraction(1), 0, 0, 0
    for place in options.sights.places:
        for size in options.span(place, point).sizes:
            if not size.is_run:
                cut = size.form.at(values)
                share = min(share, Fraction(cut, size.whole))
                smallest = cut if smallest is None else min(smallest, cut)
        pieces = options.sights.at(place, values).pieces.values()
        notched += sum(piece.corners > 4 for piece in pieces)
        met = list(_met(options, place, values))
        aligned, edges = aligned + sum(met), edges + len(met)
    return Measures(smallest, share, notched, aligned, edges)


def _met(options: Options, place: str, values: Sequence[int]) -> Iterator[bool]:
    """Tell for each edge of each rectangular opening whether tiles end uncut along it."""
    ground = options.sights.ground(place)
    surface = ground.surface
    if surface.bond.angle != 0:
        return
    origin = _origin(options, place, values)
    repeat = repeats(surface.bond, surface, ground.tile)
    for number, opening in enumerate(surface.openings):
        if opening.outline is None:
            for side, axis in _SIDES:
                starts = at_opening(ground, number, side)
                yield any((start - origin[axis]) % repeat[axis] == 0 for start in starts)


def _origin(options: Options, place: str, values: Sequence[int]) -> tuple[int, int]:
    along, shift = options.sights.along[place], options.sights.shift[place]
    x, y = (shift[axis] + (values[at] if (at := along[axis]) is not None else 0) for axis in (0, 1))
    return x, y
