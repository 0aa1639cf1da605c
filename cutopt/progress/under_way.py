"""One tile under way: which of its parts lie on the bench, and what will come of them."""

from collections.abc import Iterator
from dataclasses import dataclass, field

from cutopt.documents import ALL_SIDES, Cut, CutTile, Offcut, Side
from cutopt.plane import Rect
from cutopt.sequence.passes import Parts


@dataclass
class UnderWay:
    """A cut tile on the bench: the cuts that were made, the parts that are gone."""

    cut_tile: CutTile
    which: int
    kerf: int
    done: set[int] = field(default_factory=set)
    gone: set[int] = field(default_factory=set)

    def __post_init__(self) -> None:
        self.parts = Parts(self.cut_tile, self.kerf)
        self.shaped: set[int] = set()
        self.parent: dict[int, int] = {}
        for cut in self.cuts:
            self.parts.take(cut)
            self.parent.update((part, cut.part) for part in cut.makes if part is not None)
            if cut.makes[0] is not None and (cut.way == "notch" or cut.part in self.shaped):
                self.shaped.add(cut.makes[0])

    @property
    def cuts(self) -> tuple[Cut, ...]:
        """Return all cuts of the tile."""
        return self.cut_tile.cuts or ()

    @property
    def lying(self) -> set[int]:
        """Return the parts that lie on the bench, those that broke left out."""
        lying = {0}
        for number in self.done:
            cut = self.cuts[number - 1]
            lying.update(part for part in cut.makes if part is not None)
        return lying - {self.cuts[number - 1].part for number in self.done} - self.gone

    def lying_above(self, part: int) -> int | None:
        """Return the part on the bench that holds a part or is it; None when it is gone."""
        lying = self.lying
        found: int | None = part
        while found is not None and found not in lying:
            found = self.parent.get(found)
        return found

    def pieces(self) -> Iterator[tuple[str, int]]:
        """Yield the pieces that this tile has made or will make, each with its part."""
        for placed in self.cut_tile.placements:
            part = placed.part or 0
            if self.lying_above(part) is not None:
                yield placed.piece, part

    def left_to_do(self) -> list[int]:
        """Return the numbers of the cuts that can still be made, in order."""
        lying, found = self.lying, []
        for number, cut in enumerate(self.cuts, start=1):
            if number not in self.done and cut.part in lying:
                found.append(number)
                lying |= {part for part in cut.makes if part is not None}
        return found

    def leftovers(self) -> Iterator[tuple[int, Offcut, bool]]:
        """Yield what this tile leaves to keep: its part, the offcut, whether it is there yet."""
        lying = self.lying
        for left in self.cut_tile.leftovers:
            if self.lying_above(left.part) is not None:
                yield (
                    left.part,
                    self.offcut_of(left.part, self.name_of(left.part)),
                    (left.part in lying),
                )

    def name_of(self, part: int) -> str:
        """Return what a part of this tile is called on the shelf."""
        copy = f"/{self.which}" if self.cut_tile.count > 1 else ""
        return f"{self.cut_tile.number}{copy}.{part}"

    def is_plain(self, part: int) -> bool:
        """Tell whether a part is a rectangle that can be cut again."""
        return part not in self.parts.slanted and part not in self.shaped

    def offcut_of(self, part: int, name: str) -> Offcut:
        """Return a part as an offcut with the edges that the factory made."""
        rect = self.parts.rects[part]
        return Offcut(
            id=name,
            tile=self.cut_tile.tile,
            width=rect.width,
            height=rect.height,
            factory_edges=factory_edges(self.cut_tile, rect),
        )


def factory_edges(cut_tile: CutTile, rect: Rect) -> tuple[Side, ...]:
    """Return the sides of a rectangle on a cut tile that the factory made."""
    given = ALL_SIDES if cut_tile.stock == "new" else cut_tile.factory_edges
    on = {
        "left": rect.x == 0,
        "right": rect.right == cut_tile.width,
        "bottom": rect.y == 0,
        "top": rect.top == cut_tile.height,
    }
    return tuple(side for side in given if on[side])
