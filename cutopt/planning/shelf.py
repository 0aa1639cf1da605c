"""Which of equal pieces is meant, and which of equal offcuts is taken: first come, first served."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from cutopt.documents import Offcut
from cutopt.planning.pose import Member, Posed

Thing = TypeVar("Thing")


@dataclass
class _Some(Generic[Thing]):
    """So many of the same thing."""

    thing: Thing
    left: int


class Shelf:
    """Hands out the pieces of each kind and the offcuts of each sheet, in the request's order."""

    def __init__(self, posed: Posed) -> None:
        self._pieces = [
            [_Some(member, member.piece.quantity) for member in members]
            for members in posed.members
        ]
        self._offcuts = [
            [_Some(offcut, offcut.quantity) for offcut in offcuts] for offcuts in posed.stock
        ]

    def take(
        self, kinds: Sequence[int], sheet: int, most: int
    ) -> tuple[list[Member], Offcut | None, int]:
        """Return a piece for each kind listed, the offcut, and how often this can be repeated.

        Parameters
        ----------
        kinds : sequence of int
            The kinds that one sheet is cut into, a kind as often as it comes.
        sheet : int
            Number of the sheet; 0 is a new tile, for which there is no offcut.
        most : int
            How many such sheets are cut.
        """
        seen: Counter[int] = Counter()
        chosen: list[_Some[Member]] = []
        for kind in kinds:
            chosen.append(_nth(self._pieces[kind], seen[kind]))
            seen[kind] += 1
        uses = Counter(map(id, chosen))
        times = min(most, *(some.left // uses[id(some)] for some in chosen))
        offcuts = self._offcuts[sheet]
        offcut = offcuts[0].thing if offcuts else None
        if offcuts:
            times = min(times, offcuts[0].left)
            offcuts[0].left -= times
            self._offcuts[sheet] = [some for some in offcuts if some.left]
        for some in chosen:
            some.left -= times
        for kind in set(kinds):
            if not self._pieces[kind][0].left:
                self._pieces[kind] = [some for some in self._pieces[kind] if some.left]
        return [some.thing for some in chosen], offcut, times


def _nth(somes: Sequence[_Some[Thing]], number: int) -> _Some[Thing]:
    """Return what comes up after so many have been handed out."""
    for some in somes:
        if number < some.left:
            return some
        number -= some.left
    raise LookupError("more is handed out than is wanted")
