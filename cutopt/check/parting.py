"""The straight cut, slanted as it may be, that parts some pieces from others."""

from collections.abc import Iterator, Sequence
from itertools import permutations

from cutopt.check.known import Laid
from cutopt.check.lines import Line
from cutopt.plane import edges

#: Among more corners than these, only cuts along an edge of a piece are tried.
MOST_CORNERS = 128


def parted_by_slant(group: Sequence[Laid], kerf: int) -> list[list[Laid]]:
    """Return the pieces on the two sides of a straight cut, all in one list when none parts them.

    The pieces count by their hulls. A cut parts two sets of pieces when a strip one kerf wide
    lies between the hulls of both. The widest such strip runs along an edge of either hull,
    that is through two corners of pieces, or it stands upright on the line between two corners.
    So trying these decides it.
    """
    for line in _lines(group):
        if parted := _sides(line, group, kerf):
            return parted
    return [list(group)]


def _lines(group: Sequence[Laid]) -> Iterator[Line]:
    for piece in group:
        yield from (Line(*edge) for edge in edges(piece.hull))
    corners = {corner for piece in group for corner in piece.hull}
    if len(corners) > MOST_CORNERS:
        return
    for a, b in permutations(sorted(corners), 2):
        yield Line(a, b)
        # Through a, with b straight to its right.
        yield Line(a, (a[0] - b[1] + a[1], a[1] + b[0] - a[0]))


def _sides(line: Line, group: Sequence[Laid], kerf: int) -> list[list[Laid]] | None:
    """Return what lies left of a line and what lies a kerf beyond, None when that is not all."""
    width = kerf**2 * line.squared
    left: list[Laid] = []
    beyond: list[Laid] = []
    for piece in group:
        crosses = line.crosses(piece.hull)
        if min(crosses) >= 0:
            left.append(piece)
        elif max(crosses) <= 0 and max(crosses) ** 2 >= width:
            beyond.append(piece)
        else:
            return None
    return [left, beyond] if left and beyond else None
