"""Which cuts go to the snap cutter and which to the saw, where there are both."""

from dataclasses import dataclass, field

from cutopt.documents import Cut, Side
from cutopt.documents.plan import Tool
from cutopt.planning.saw import Bench
from cutopt.solver import Cutters

_STRAIGHT = ("vertical", "horizontal")


def tools_named(bench: Bench, cutters: Cutters) -> tuple[Cut, ...]:
    """Return the cuts of a sheet with the tool for each: the snap cutter wherever it serves."""
    chooser = _Chooser(bench, cutters)
    return tuple(cut.model_copy(update=chooser.how(cut)) for cut in bench.cuts)


@dataclass
class _Chooser:
    bench: Bench
    cutters: Cutters
    cuts: dict[int, Cut] = field(init=False)
    pieces: set[int] = field(init=False)

    def __post_init__(self) -> None:
        self.cuts = {cut.part: cut for cut in self.bench.cuts}
        self.pieces = {lying.part for lying in self.bench.lying}

    def how(self, cut: Cut) -> dict[str, Tool | Side]:
        """Return what makes a cut. A snapped one leaves no kerf: one side takes that up."""
        exact = self._snapped_from(cut)
        if exact is None:
            return {"tool": "saw"}
        return {"tool": "snap cutter", "measured_from": exact}

    def _snapped_from(self, cut: Cut) -> Side | None:
        """Return the side that a snapped cut is measured from, None where it is sawn."""
        first, second = cut.makes
        if cut.way not in _STRAIGHT or first is None or second is None:
            return None
        low, high = self.bench.rects[first], self.bench.rects[second]
        upright = cut.way == "vertical"
        length, sizes = (
            (low.height, (low.width, high.width))
            if upright
            else (low.width, (low.height, high.height))
        )
        if length > self.cutters.snap or min(sizes) < self.cutters.strip:
            return None
        if not self.bench.kerf or self._takes_up(second, cut.way):
            return "left" if upright else "bottom"
        if self._takes_up(first, cut.way):
            return "right" if upright else "top"
        return None

    def _takes_up(self, part: int, way: str) -> bool:
        """Tell whether a part may be a kerf wider than drawn: a strip of it is cut off or left."""
        cut = self.cuts.get(part)
        if cut is None:
            return part not in self.pieces
        if cut.way not in _STRAIGHT:
            return False
        taken = [made is None or self._takes_up(made, way) for made in cut.makes]
        return any(taken) if cut.way == way else all(taken)
