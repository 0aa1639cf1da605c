"""How the line of a cut is marked on the part that lies on the bench, in words."""

from collections.abc import Iterator

from cutopt.reports.words import number_text
from cutopt.units import Units

Point = tuple[int, int]
#: Left, bottom, width and height of a part on its tile.
Box = tuple[int, int, int, int]
#: An edge, and how far along it, from the left or from the bottom.
_Mark = tuple[str, float]


def marking_text(line: tuple[Point, Point], box: Box, units: Units) -> str:
    """Return where the two ends of a line are marked, and on which side of it the blade runs."""
    ends = _marks(line, box)
    if len(ends) < 2:
        return "cut along the line as drawn"
    first, second = (_end(edge, length, units) for edge, length in ends[:2])
    same = first[0] == second[0]
    words = f"{first[0]} at the {first[1]} and {'' if same else f'{second[0]} '}at the {second[1]}"
    return f"mark {words}; cut along the line, blade {_side(line)} it"


def _end(edge: str, length: float, units: Units) -> tuple[str, str]:
    start = "left" if edge in ("bottom", "top") else "bottom"
    return f"{number_text(round(length), units)} from the {start}", edge


def _marks(line: tuple[Point, Point], box: Box) -> list[_Mark]:
    """Return where a line meets the edges of a part, each meeting once."""
    found: dict[tuple[int, int], _Mark] = {}
    for edge, x, y in _meetings(line, box):
        along = x if edge in ("bottom", "top") else y
        found.setdefault((round(x), round(y)), (edge, along))
    return list(found.values())


def _meetings(line: tuple[Point, Point], box: Box) -> Iterator[tuple[str, float, float]]:
    """Yield the edges that a line meets, and where, from the part's lower left corner.

    A line that goes up meets bottom and top, a flat one left and right, if it can be.
    """
    left, low, width, height = box
    (ax, ay), (bx, by) = ((x - left, y - low) for x, y in line)
    across, up = bx - ax, by - ay
    upright = [
        (edge, ax + across * (y - ay) / up, y) for edge, y in (("bottom", 0), ("top", height)) if up
    ]
    level = [
        (edge, x, ay + up * (x - ax) / across)
        for edge, x in (("left", 0), ("right", width))
        if across
    ]
    steep = abs(up) > abs(across)
    for edge, x, y in upright + level if steep else level + upright:
        if -1 <= x <= width + 1 and -1 <= y <= height + 1:
            yield edge, x, y


def _side(line: tuple[Point, Point]) -> str:
    """Return on which side the blade runs: to the right, going from the first end to the second."""
    (ax, ay), (bx, by) = line
    if abs(by - ay) > abs(bx - ax):
        return "to the right of" if by > ay else "to the left of"
    return "below" if bx > ax else "above"
