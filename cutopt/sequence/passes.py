"""The passes of the blade that a cut tile takes, each with the settings that would do.

What lies between fence and blade comes out as wide as the setting, whatever the tile measures;
what lies beyond takes up the tile's own error. So a part with a wanted piece in it lies against
the fence; where both parts hold pieces, either may.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from cutopt.documents import ALL_SIDES, Cut, CutTile, Side
from cutopt.documents.plan import Corner, Tool
from cutopt.documents.sequence import Guide, Made
from cutopt.plane import Rect
from cutopt.reports.bench import Run, saw_runs
from cutopt.reports.one_pass import slants_for_both
from cutopt.units import MM, Units, read_off

#: A strip below this breaks more easily (common practice, no source).
NARROW = 25 * MM
_NARROW_WORDS = "a narrow strip comes off: push it through with a stick"
SNAP: Tool = "snap cutter"
#: A cut shorter than this takes nothing off, in millimetres.
NOTHING = 0.02
#: How much a pass endangers the tile, against 1 for a straight cut. An order of ranks, not a
#: measurement (assumption, common practice, no source).
RISKS = {"straight": 1, "round hole": 3, "slanted": 3, "notch": 3, "narrow": 4, "shape": 4}

Line = tuple[tuple[int, int], tuple[int, int]]


@dataclass(frozen=True, slots=True)
class Setting:
    """The fence so far from the blade, and the side of the part that lies against it.

    `read` is what the fence is set to, read off its rule: settings that read the same are one.
    """

    length: int
    edge: Side
    units: Units
    tool: Tool | None = None

    @property
    def read(self) -> int:
        """Return what is set, in one number: the saw's fence, or the snap cutter's stop."""
        return 2 * read_off(self.length, self.units) + (self.tool == SNAP)


@dataclass(frozen=True, slots=True)
class Pass:
    """One pass of the blade, or one shaping; `after` is the pass before it in its list."""

    cut_tile: CutTile
    part: int
    way: str
    guide: Guide
    risk: int
    after: int | None = None
    cut: int | None = None
    also: tuple[int, ...] = ()
    settings: tuple[Setting, ...] = ()
    line: Line | None = None
    corner: Corner | None = None
    length: float = 0.0
    makes: tuple[Made, ...] = ()
    words: str = ""
    seconds: str = ""
    tool: Tool | None = None

    def edge_is_factory(self, edge: Side, rect: Rect) -> bool:
        """Tell whether a side of the part is an edge that the factory made."""
        on = {
            "left": rect.x == 0,
            "right": rect.right == self.cut_tile.width,
            "bottom": rect.y == 0,
            "top": rect.top == self.cut_tile.height,
        }
        is_new = self.cut_tile.stock == "new"
        return on[edge] and edge in (ALL_SIDES if is_new else self.cut_tile.factory_edges)


@dataclass
class Parts:
    """The parts of a cut tile: where each lies, what it becomes, which slanted cuts met it."""

    cut_tile: CutTile
    kerf: int
    units: Units = "mm"

    def __post_init__(self) -> None:
        self.rects = {0: Rect(0, 0, self.cut_tile.width, self.cut_tile.height)}
        self.slanted: set[int] = set()
        self.pieces = {placed.part: placed.piece for placed in self.cut_tile.placements}
        self.kept = {left.part for left in self.cut_tile.leftovers}
        cuts = self.cut_tile.cuts or ()
        self.parted = {cut.part for cut in cuts}
        self.wanted = {part for part in self.pieces if part is not None}
        for cut in reversed(cuts):
            if self.wanted & {part for part in cut.makes if part is not None}:
                self.wanted.add(cut.part)

    def made_of(self, cut: Cut) -> tuple[Rect, Rect]:
        """Return where the two parts of a cut lie; one that the blade uses up has no size."""
        x, y, width, height = self.rects[cut.part]
        if cut.way == "slanted":
            return self.rects[cut.part], self.rects[cut.part]
        if cut.way == "notch":
            corner, inner = cut.corner or "bottom-left", self.kerf
            across, up = (cut.width or 0) - inner, (cut.height or 0) - inner
            left = x if corner.endswith("left") else x + width - across
            low = y if corner.startswith("bottom") else y + height - up
            return self.rects[cut.part], Rect(left, low, across, up)
        at = cut.at or 0
        if cut.way == "vertical":
            beyond = at + self.kerf
            return Rect(x, y, at - x, height), Rect(beyond, y, x + width - beyond, height)
        beyond = at + self.kerf
        return Rect(x, y, width, at - y), Rect(x, beyond, width, y + height - beyond)

    def take(self, cut: Cut) -> tuple[Made, ...]:
        """Put the parts of a cut on the bench and say what becomes of them."""
        for part, rect in zip(cut.makes, self.made_of(cut), strict=True):
            if part is not None:
                self.rects[part] = rect
                if cut.way == "slanted" or cut.part in self.slanted:
                    self.slanted.add(part)
        return tuple(self._made(part) for part in cut.makes if part is not None)

    def _made(self, part: int) -> Made:
        rect = self.rects[part]
        is_box = part not in self.slanted
        return Made(
            part=part,
            becomes=self._becomes(part),
            piece=self.pieces.get(part),
            width=rect.width if is_box else None,
            height=rect.height if is_box else None,
        )

    def _becomes(self, part: int) -> Literal["piece", "part", "leftover", "waste"]:
        if part in self.pieces:
            return "piece"
        if part in self.parted and part in self.wanted:
            return "part"
        return "leftover" if part in self.kept else "waste"


def passes_of(cut_tile: CutTile, kerf: int, units: Units) -> list[Pass]:
    """Return the passes of a cut tile in the order of its plan; `after` counts from the first."""
    parts = Parts(cut_tile, kerf, units)
    made_by: dict[int, int] = {}
    found: list[Pass] = []
    cuts = cut_tile.cuts or ()
    both = slants_for_both(cut_tile, kerf)
    for cut, sawn in zip(cuts, saw_runs(cut_tile, kerf), strict=True):
        before = made_by.get(cut.part)
        rect, is_slanted = parts.rects[cut.part], cut.part in parts.slanted
        if cut.way == "notch":
            passes = list(_notch(parts, cut, rect, sawn.runs))
        elif sawn.number in both:
            slanted = cuts[both[sawn.number] - 1]
            marked = _marked(parts, cut, sawn.runs)
            passes = [replace(marked, way="slanted", line=slanted.line, tool=slanted.tool)]
        elif cut.way == "slanted" or is_slanted:
            passes = [_marked(parts, cut, sawn.runs)]
        else:
            passes = [_through(parts, cut, rect, sawn.runs)]
        if before is not None and passes[0].length < NOTHING:
            found[before] = _renamed(found[before], cut, sawn.number, passes[0].makes)
            passes = []
        for one in passes:
            found.append(replace(one, cut=sawn.number, after=before))
            before = len(found) - 1
        made_by.update(
            (part, before) for part in cut.makes if part is not None and before is not None
        )
    return found


def _renamed(one: Pass, idle: Cut, number: int, makes: tuple[Made, ...]) -> Pass:
    """Let a pass make what a later cut that takes nothing off would have made."""
    kept = max(makes, key=lambda made: made.becomes in ("piece", "part"))
    made = tuple(kept if made.part == idle.part else made for made in one.makes)
    return replace(one, makes=made, also=(*one.also, number))


def _through(parts: Parts, cut: Cut, rect: Rect, runs: tuple[Run, ...]) -> Pass:
    first, second = parts.made_of(cut)
    low, high = _sides(cut)
    upright = cut.way == "vertical"
    sizes = [(side.width if upright else side.height) for side in (first, second)]
    choices = [
        (part, Setting(size, edge, parts.units, cut.tool))
        for part, size, edge in zip(cut.makes, sizes, (low, high), strict=True)
        if part is not None
    ]
    settings = [setting for part, setting in choices if part in parts.wanted]
    narrow = any(0 < size < NARROW for part, size in zip(cut.makes, sizes, strict=True) if part)
    return Pass(
        parts.cut_tile,
        cut.part,
        cut.way,
        "fence",
        RISKS["narrow" if narrow else "straight"],
        settings=tuple(settings or [setting for _, setting in choices]),
        length=_length(runs),
        makes=parts.take(cut),
        words=_NARROW_WORDS if narrow and cut.tool != SNAP else "",
        tool=cut.tool,
    )


def _sides(cut: Cut) -> tuple[Side, Side]:
    return ("left", "right") if cut.way == "vertical" else ("bottom", "top")


def _marked(parts: Parts, cut: Cut, runs: tuple[Run, ...]) -> Pass:
    line: Line | None = cut.line
    if line is None and runs:
        start, end = (_whole(end) for end in (runs[0].start, runs[0].end))
        at = cut.at or 0
        # The blade runs to the right of the line, seen from its first end.
        upright = (at, start[1]), (at, end[1])
        line = upright if cut.way == "vertical" else ((end[0], at), (start[0], at))
    return Pass(
        parts.cut_tile,
        cut.part,
        cut.way,
        "mark",
        RISKS["slanted"],
        line=line,
        length=_length(runs),
        makes=parts.take(cut),
        tool=cut.tool,
    )


def _whole(corner: tuple[float, float]) -> tuple[int, int]:
    return round(corner[0]), round(corner[1])


def _notch(parts: Parts, cut: Cut, rect: Rect, runs: tuple[Run, ...]) -> Iterator[Pass]:
    """Yield the two passes of a notch: along its upright edge, then along its level one."""
    up, side = (cut.corner or "bottom-left").split("-")
    width, height = cut.width or 0, cut.height or 0
    sideways: tuple[Side, Side] = ("left", "right") if side == "left" else ("right", "left")
    upwards: tuple[Side, Side] = ("bottom", "top") if up == "bottom" else ("top", "bottom")
    upright = [Setting(rect.width - width, sideways[1], parts.units)]
    level = [Setting(rect.height - height, upwards[1], parts.units)]
    if cut.makes[1] in parts.wanted:
        upright.append(Setting(width - parts.kerf, sideways[0], parts.units))
        level.append(Setting(height - parts.kerf, upwards[0], parts.units))
    makes = parts.take(cut)
    settings = (tuple(upright), tuple(level))
    for number, (run, choices) in enumerate(zip(runs, settings, strict=True)):
        yield Pass(
            parts.cut_tile,
            cut.part,
            "notch",
            "fence",
            RISKS["notch"],
            settings=choices,
            corner=cut.corner,
            length=_length((run,)),
            makes=makes if number else (),
            words=("stop at the inside corner, drilled first" if number == 0 else "stop there too"),
            seconds="" if number else "notch",
            tool=cut.tool,
        )


def _length(runs: tuple[Run, ...]) -> float:
    """Return the millimetres that runs come to."""
    return sum(math.dist(run.start, run.end) for run in runs) / MM
