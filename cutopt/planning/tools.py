"""Which cuts go to the snap cutter and which to the saw, where there are both."""

from dataclasses import dataclass, field

from cutopt.documents import Cut
from cutopt.documents.plan import Tool
from cutopt.planning.saw import Bench
from cutopt.solver import Cutters

_STRAIGHT = ("vertical", "horizontal")


def tools_named(bench: Bench, cutters: Cutters) -> tuple[Cut, ...]:
    """Return the cuts of a sheet with the tool for each: the snap cutter wherever it serves."""
    chooser = _Chooser(bench, cutters)
    return tuple(cut.model_copy(update={"tool": chooser.tool_of(cut)}) for cut in bench.cuts)


@dataclass
class _Chooser:
    bench: Bench
    cutters: Cutters
    cuts: dict[int, Cut] = field(init=False)
    pieces: set[int] = field(init=False)

    def __post_init__(self) -> None:
        self.cuts = {cut.part: cut for cut in self.bench.cuts}
        self.pieces = {lying.part for lying in self.bench.lying}

    def tool_of(self, cut: Cut) -> Tool:
        """Return what makes a cut. What is snapped leaves no kerf, so it lies where none is due."""
        first, second = cut.makes
        if cut.way not in _STRAIGHT or first is None or second is None:
            return "saw"
        low, high = self.bench.rects[first], self.bench.rects[second]
        if cut.way == "vertical":
            length, narrower = low.height, min(low.width, high.width)
        else:
            length, narrower = low.width, min(low.height, high.height)
        reached = length <= self.cutters.snap and narrower >= self.cutters.strip
        snapped = reached and (not self.bench.kerf or self._takes_up(second, cut.way))
        return "snap cutter" if snapped else "saw"

    def _takes_up(self, part: int, way: str) -> bool:
        """Tell whether a part may be a kerf wider than drawn: a strip of it is cut off or left."""
        cut = self.cuts.get(part)
        if cut is None:
            return part not in self.pieces
        if cut.way not in _STRAIGHT:
            return False
        taken = [made is None or self._takes_up(made, way) for made in cut.makes]
        return any(taken) if cut.way == way else all(taken)
