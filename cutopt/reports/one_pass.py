"""A straight cut that frees a part only to have a wedge cut off it: the slanted cut does for both.

The plan parts rectangles first and slants them then. At the saw one pass along the slanted line
does, where the wedge may stay on what is left over: the part beyond is not cut up again.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from cutopt.documents import Cut, CutTile
from cutopt.plane import Rect
from cutopt.units import MM

#: The blade may run so far into what is left over.
_NOTHING = MM // 50


def slants_for_both(cut_tile: CutTile, kerf: int) -> dict[int, int]:
    """Return the straight cuts that need no pass of their own, each with its slanted cut.

    Cuts go by their numbers, the first is 1.
    """
    return dict(_pairs(_Parts(cut_tile, kerf)))


@dataclass
class _Parts:
    """The rectangles of a tile, as far as straight cuts alone made them."""

    cut_tile: CutTile
    kerf: int

    def __post_init__(self) -> None:
        self.cuts = self.cut_tile.cuts or ()
        self.rects = {0: Rect(0, 0, self.cut_tile.width, self.cut_tile.height)}
        self.cut_of = {cut.part: number for number, cut in enumerate(self.cuts, start=1)}
        self.placed = {placed.part for placed in self.cut_tile.placements}
        self.kept = {left.part for left in self.cut_tile.leftovers}
        for cut in self.cuts:
            if cut.way in ("vertical", "horizontal") and cut.part in self.rects:
                self._part(cut, self.rects[cut.part], cut.at or 0)

    def _part(self, cut: Cut, rect: Rect, at: int) -> None:
        x, y, width, height = rect
        beyond = at + self.kerf
        if cut.way == "vertical":
            both = Rect(x, y, at - x, height), Rect(beyond, y, rect.right - beyond, height)
        else:
            both = Rect(x, y, width, at - y), Rect(x, beyond, width, rect.top - beyond)
        for part, made in zip(cut.makes, both, strict=True):
            if part is not None:
                self.rects[part] = made

    def is_done(self, part: int | None) -> bool:
        """Tell whether nobody cuts a part again or wants it as a piece."""
        return part is None or (part not in self.cut_of and part not in self.placed)


def _pairs(parts: _Parts) -> Iterator[tuple[int, int]]:
    for number, cut in enumerate(parts.cuts, start=1):
        if cut.way not in ("vertical", "horizontal") or cut.part not in parts.rects:
            continue
        low, high = cut.makes
        for part, beyond in ((low, high), (high, low)):
            after = parts.cut_of.get(part) if part is not None else None
            if after is not None and parts.is_done(beyond):
                slanted = parts.cuts[after - 1]
                if slanted.way == "slanted" and _does_for_both(parts, cut, slanted, beyond):
                    yield number, after
                    break


def _does_for_both(parts: _Parts, cut: Cut, slanted: Cut, beyond: int | None) -> bool:
    """Tell whether the blade runs from end to end of the part, the wedge towards the cut."""
    rect, line = parts.rects[slanted.part], slanted.line
    if line is None or not parts.is_done(slanted.makes[1]) or slanted.makes[1] in parts.kept:
        return False
    if cut.way == "horizontal":  # seen from the side: a horizontal cut is a vertical one
        rect = Rect(rect.y, rect.x, rect.height, rect.width)
        line = tuple((y, x) for x, y in reversed(line))  # type: ignore[assignment]
    (ax, ay), (bx, by) = line
    if ay == by:
        return False
    slope = (bx - ax) / (by - ay)
    ends = [ax + slope * (y - ay) for y in (rect.y, rect.top)]
    if not all(rect.x - _NOTHING <= end <= rect.right + _NOTHING for end in ends):
        return False
    is_first = slanted.part == cut.makes[0]
    if is_first != (by > ay):  # the wedge and the blade lie right of the line
        return False
    wide = parts.kerf * (1 + slope**2) ** 0.5
    over = max(ends) + wide - rect.right if is_first else rect.x - (min(ends) - wide)
    return beyond not in parts.kept or over - parts.kerf <= _NOTHING
