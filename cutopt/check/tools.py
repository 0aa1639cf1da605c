"""Whether the saw and the snap cutter that a request names make the cuts of a plan."""

from collections.abc import Iterator

from cutopt.check.corners import in_corner
from cutopt.check.known import Known, figure, stock_of
from cutopt.documents import Cut, CutTile
from cutopt.errors import Fault, shown
from cutopt.plane import Rect

_STRAIGHT = ("vertical", "horizontal")


def faults_of_tools(cut_tile: CutTile, known: Known) -> Iterator[Fault]:
    """Yield the cuts that nothing there makes, of a cut tile that is right so far."""
    snap = known.snap
    if (known.saw.greatest_cut is None and snap is None) or known.tiles[cut_tile.tile].mosaic:
        return
    if snap and snap.alone:
        for number, placement in enumerate(cut_tile.placements):
            piece = known.pieces[placement.piece]
            if not piece.is_plain:
                place = f"/placements/{number}/piece"
                yield Fault(place, shown(piece.id), "notches, holes and slanted edges need a saw")
    if cut_tile.cuts is None:
        rule = "where there is a snap cutter or a limit to the saw, a plan lists its cuts"
        yield Fault("/cuts", "nothing", rule)
        return
    work = _Work(cut_tile, known)
    for number, cut in enumerate(cut_tile.cuts):
        if problem := work.problem_of(cut):
            yield Fault(f"/cuts/{number}", f"{cut.way} cut of part {figure(cut.part)}", problem)


class _Work:
    """The cuts of one tile, and the rectangle of every part that they make."""

    def __init__(self, cut_tile: CutTile, known: Known) -> None:
        self.known = known
        self.kerf = known.kerf_of(cut_tile)
        self.cuts = {cut.part: cut for cut in cut_tile.cuts or ()}
        self.pieces = {placement.part for placement in cut_tile.placements}
        self.rects = {0: stock_of(known.source_of(cut_tile), cut_tile).face}
        for cut in cut_tile.cuts or ():
            for part, rect in zip(cut.makes, self._made(cut), strict=True):
                if part is not None:
                    self.rects[part] = rect

    def _made(self, cut: Cut) -> tuple[Rect, Rect]:
        rect = self.rects[cut.part]
        x, y, width, height = rect
        if cut.corner and cut.width and cut.height:
            size = cut.width - self.kerf, cut.height - self.kerf
            return rect, in_corner(rect, cut.corner, *size)
        if cut.at is None:
            return rect, rect
        after = cut.at + self.kerf
        if cut.way == "vertical":
            return Rect(x, y, cut.at - x, height), Rect(after, y, x + width - after, height)
        return Rect(x, y, width, cut.at - y), Rect(x, after, width, y + height - after)

    def problem_of(self, cut: Cut) -> str | None:
        """Return why a cut cannot be made, by the tool it names or else by any."""
        sawn, snapped = self._not_sawn(cut), self._not_snapped(cut)
        if cut.tool is not None:
            return sawn if cut.tool == "saw" else snapped
        return sawn and snapped and f"{sawn}; {snapped}"

    def _not_sawn(self, cut: Cut) -> str | None:
        longest, snap = self.known.saw.greatest_cut, self.known.snap
        if snap and snap.alone:
            return "there is no saw"
        rect = self.rects[cut.part]
        squared = {
            "vertical": rect.height**2,
            "horizontal": rect.width**2,
            "slanted": rect.width**2 + rect.height**2,
            "notch": max(cut.width or 0, cut.height or 0) ** 2,
        }[cut.way]
        if longest is not None and squared > longest**2:
            return f"the saw's longest cut is {self.known.show(longest)}"
        return None

    def _not_snapped(self, cut: Cut) -> str | None:
        snap, rect = self.known.snap, self.rects[cut.part]
        if snap is None:
            return "there is no snap cutter"
        if cut.way not in _STRAIGHT:
            return "a snap cutter makes straight cuts only"
        upright = cut.way == "vertical"
        length = rect.height if upright else rect.width
        if length > snap.greatest_cut:
            return f"the snap cutter's longest cut is {self.known.show(snap.greatest_cut)}"
        for made in self._made(cut):
            strip = made.width if upright else made.height
            if strip < max(1, snap.least_strip):
                least = self.known.show(snap.least_strip)
                return f"a snapped strip is at least {least} wide, not {self.known.show(strip)}"
        return self._not_measured(cut, upright=upright)

    def _not_measured(self, cut: Cut, *, upright: bool) -> str | None:
        """Return why a snapped cut, which takes no kerf, does not give what it should."""
        low, high = ("left", "right") if upright else ("bottom", "top")
        if cut.measured_from not in (None, low, high):
            return f"a {cut.way} cut is measured from {low} or {high}"
        first, second = cut.makes
        sides = [
            part
            for side, part in ((high, first), (low, second))
            if cut.measured_from in (None, side)
        ]
        if self.kerf and not any(
            part is not None and self._may_be_wider(part, cut.way) for part in sides
        ):
            return "a snapped cut takes no kerf, so what is not measured is trimmed or left over"
        return None

    def _may_be_wider(self, part: int, way: str) -> bool:
        """Tell whether one kerf more does no harm: no piece takes up the part from end to end."""
        cut = self.cuts.get(part)
        if cut is None:
            return part not in self.pieces
        if cut.way not in _STRAIGHT:
            return False
        ends = [made is None or self._may_be_wider(made, way) for made in cut.makes]
        return any(ends) if cut.way == way else all(ends)
