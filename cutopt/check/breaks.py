"""A break across a part: whether an offcut may be what is left on one side of it."""

from dataclasses import dataclass

from cutopt.documents import Offcut, Side
from cutopt.plane import cross


@dataclass(frozen=True)
class Break:
    """A part that broke along a line, seen from its lower left corner; `left` says which side."""

    tile: str
    width: int
    height: int
    edges: frozenset[Side]
    line: tuple[tuple[int, int], tuple[int, int]]
    left: bool

    def holds(self, offcut: Offcut) -> bool:
        """Tell whether an offcut lies in a corner of the part, wholly on the side in question."""
        return any(
            self._is_there(offcut, on_right=on_right, on_top=on_top)
            for on_right in (False, True)
            for on_top in (False, True)
        )

    def _is_there(self, offcut: Offcut, *, on_right: bool, on_top: bool) -> bool:
        x = self.width - offcut.width if on_right else 0
        y = self.height - offcut.height if on_top else 0
        if x < 0 or y < 0:
            return False
        right, top = x + offcut.width, y + offcut.height
        touched = {
            "left": x == 0,
            "bottom": y == 0,
            "right": right == self.width,
            "top": top == self.height,
        }
        if not all(touched[side] and side in self.edges for side in offcut.factory_edges):
            return False
        turns = [
            cross(*self.line, corner) for corner in ((x, y), (right, y), (right, top), (x, top))
        ]
        return all(turn >= 0 if self.left else turn <= 0 for turn in turns)
