"""The steps that are left, in the order of the plan in force, for each of the equal tiles.

Unlike `cutopt.progress.order_left` a tile that was begun keeps its turn in the order, so that one
setting of the fence goes on to serve many tiles.
"""

import pickle
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from api.page.history import StepDone
from cutopt.documents import CutTile, Plan, Request, Total
from cutopt.documents.sequence import By, Step
from cutopt.plane import Rect
from cutopt.progress import State
from cutopt.progress.under_way import UnderWay
from cutopt.sequence import cut_order
from cutopt.sequence.passes import Parts


@dataclass(frozen=True)
class StepLeft:
    """A step that is left, its name, and which of the equal tiles it is left for.

    `cuts` are the cuts of the plan that are made once it is done: none after the first of two
    strokes, and none after a shaping; `whole` when it completes a tile that is not cut; `rects`
    say where the parts of the tile lie.
    """

    step: Step
    name: str
    cut_tile: CutTile
    which: tuple[int, ...]
    cuts: tuple[int, ...]
    whole: bool
    rects: Mapping[int, Rect]
    stroke: tuple[int, int] = (1, 1)


def steps_left(state: State, done: set[StepDone], by: By) -> list[StepLeft]:
    """Return the steps that are left: those of earlier plans first, each tile to its end.

    Parameters
    ----------
    state : State
        How the work stands.
    done : set
        Strokes and shapings that were done, which the marks of cuts do not tell.
    by : str
        The order of the plan in force.
    """
    wanted = state.request.model_copy(update={"pieces": tuple(state.wanted.values())})
    earlier = [tile for key, tile in state.under_way.items() if key[0] not in state.open]
    found = [
        replace(one, which=(tile.which,))
        for tile in earlier
        for one in _steps(wanted, [tile.cut_tile.model_copy(update={"count": 1})], "surface")
        if _is_left(one, tile, done)
    ]
    open_tiles = [one for one in state.open.values() if one.number not in state.stale]
    for one in _steps(wanted, open_tiles, by) if open_tiles else ():
        which = tuple(_copies(one, state, done))
        if which:
            found.append(replace(one, which=which))
    return found


def _copies(one: StepLeft, state: State, done: set[StepDone]) -> Iterator[int]:
    for which in range(1, one.cut_tile.count + 1):
        tile = state.under_way.get((one.cut_tile.number, which))
        if (one.name, which) not in done and (tile is None or _is_left(one, tile, done)):
            yield which


def _is_left(one: StepLeft, tile: UnderWay, done: set[StepDone]) -> bool:
    if (one.name, tile.which) in done:
        return False
    if one.step.cut is not None:
        return bool({one.step.cut, *one.step.also} & set(tile.left_to_do()))
    return tile.lying_above(one.step.part) is not None


def _steps(request: Request, cut_tiles: Sequence[CutTile], by: By) -> tuple[StepLeft, ...]:
    """Return the steps of tiles in order; what was put in order lately is remembered."""
    return _remembered(pickle.dumps((request, tuple(cut_tiles), by)))


@lru_cache(maxsize=64)
def _remembered(packed: bytes) -> tuple[StepLeft, ...]:
    return tuple(_put_in_order(*pickle.loads(packed)))


def _put_in_order(request: Request, cut_tiles: Sequence[CutTile], by: By) -> Iterator[StepLeft]:
    plan = Plan(units=request.units, totals=(_NO_TOTAL,), cut_tiles=tuple(cut_tiles))
    steps = cut_order(request, plan, by).steps
    tiles = {one.number: one for one in cut_tiles}
    rects = {one.number: rects_of(one, request.saw.kerf) for one in cut_tiles}
    strokes = Counter((step.cut_tile, step.cut) for step in steps)
    last = {step.cut_tile: step.number for step in steps}
    seen: Counter[str] = Counter()
    for step in steps:
        tile = tiles[step.cut_tile]
        stem = f"{tile.number}.s{step.part}" if step.cut is None else f"{tile.number}.c{step.cut}"
        seen[stem] += 1
        of = strokes[step.cut_tile, step.cut] if step.cut is not None else 1
        is_last = step.cut is not None and seen[stem] == of
        yield StepLeft(
            step=step,
            name=f"{stem}.{seen[stem]}",
            cut_tile=tile,
            which=(),
            cuts=(step.cut, *step.also) if is_last and step.cut is not None else (),
            whole=not tile.cuts and last[tile.number] == step.number,
            rects=rects[tile.number],
            stroke=(seen[stem], of),
        )


def rects_of(cut_tile: CutTile, kerf: int) -> dict[int, Rect]:
    """Return where every part of a cut tile lies."""
    parts = Parts(cut_tile, kerf)
    for cut in cut_tile.cuts or ():
        parts.take(cut)
    return parts.rects


#: A plan has totals; an order does not look at them.
_NO_TOTAL = Total(
    tile="any", tiles_needed=0, lower_bound=0, proven_minimal=False, full_tiles=0, cut_tiles=0
)
