"""The steps that are left: tiles under way first, each to its end, then what is not begun."""

from collections import Counter
from collections.abc import Iterator, Sequence

from cutopt.documents import CutTile, Plan, Request
from cutopt.documents.progress import Progress
from cutopt.documents.sequence import By, Pace, Step
from cutopt.documents.sequence import Sequence as CutOrder
from cutopt.progress.state import State, state_of
from cutopt.progress.under_way import UnderWay
from cutopt.sequence import cut_order, workload_of
from cutopt.units import Units, read_off


def order_left(
    request: Request, plan: Plan, progress: Progress, by: By = "surface", pace: Pace | None = None
) -> CutOrder:
    """Return the cut order of what is left to do.

    Tiles under way come first, one after another; then the tiles of the plan in force that are not
    begun, in the order asked for. Tiles with a piece that was measured anew are left out until a
    new plan is made.

    Parameters
    ----------
    request, plan : Request, Plan
        The first request and its plan.
    progress : Progress
        The marks made since.
    by, pace
        As for `cut_order`.

    Raises
    ------
    InvalidInput
        When a mark cannot be.
    """
    state = state_of(request, plan, progress)
    pace = pace or Pace()
    wanted = request.model_copy(update={"pieces": tuple(state.wanted.values())})
    rest = cut_order(wanted, _plan_of(plan, list(_not_begun(state))), by, pace)
    steps = [
        step
        for tile in state.under_way.values()
        if tile.left_to_do()
        for step in _steps_of(tile, wanted, plan, pace)
    ]
    steps = list(_in_a_row([*steps, *rest.steps], plan.units))
    rank = {name: number for number, name in enumerate(state.wanted)}
    bound = rest.workload.least_settings or 0
    only_rest = len(steps) == len(rest.steps)
    workload = workload_of(steps, pace, rank, bound if only_rest else 0, _finished(state, steps))
    return rest.model_copy(update={"steps": tuple(steps), "workload": workload})


def _plan_of(plan: Plan, tiles: Sequence[CutTile]) -> Plan:
    return plan.model_copy(update={"cut_tiles": tuple(tiles)})


def _not_begun(state: State) -> Iterator[CutTile]:
    for one in state.open.values():
        count = one.count - state.begun(one.number)
        if count and one.number not in state.stale:
            yield one.model_copy(update={"count": count})


def _steps_of(tile: UnderWay, wanted: Request, plan: Plan, pace: Pace) -> Iterator[Step]:
    one = tile.cut_tile.model_copy(update={"count": 1})
    left = set(tile.left_to_do())
    made = {part for number in left for part in tile.cuts[number - 1].makes}
    which = tile.which if tile.cut_tile.count > 1 else None
    for step in cut_order(wanted, _plan_of(plan, [one]), "surface", pace).steps:
        if step.cut in left or (step.cut is None and step.part in made):
            yield step.model_copy(update={"which": which})
        elif idle := tuple(number for number in step.also if number in left):
            yield _only_marked(step, idle, tile, which)


def _only_marked(step: Step, idle: tuple[int, ...], tile: UnderWay, which: int | None) -> Step:
    """Return a step for cuts that take nothing off and were not marked with the cut before."""
    return Step(
        number=step.number,
        cut_tile=step.cut_tile,
        tile=step.tile,
        stock=step.stock,
        which=which,
        part=tile.cuts[idle[0] - 1].part,
        cut=idle[0],
        also=idle[1:],
        way=tile.cuts[idle[0] - 1].way,
        guide="mark",
        words="takes nothing off: only to be marked as done",
        makes=tuple(made for made in step.makes if made.part not in tile.lying),
    )


def _in_a_row(steps: Sequence[Step], units: Units) -> Iterator[Step]:
    """Yield steps numbered anew, each knowing whether the fence must be set for it."""
    now = None
    for number, step in enumerate(steps, start=1):
        read = now if step.setting is None else (step.tool, read_off(step.setting, units))
        sets, now = read != now, read
        yield step.model_copy(update={"number": number, "sets_fence": sets})


def _finished(state: State, steps: Sequence[Step]) -> Counter[str]:
    """Return the pieces that tiles under way have made and no step makes any more."""
    there = Counter(name for tile in state.under_way.values() for name, _ in tile.pieces())
    under_way = {(tile.cut_tile.number, tile.which) for tile in state.under_way.values()}
    for step in steps:
        if (step.cut_tile, step.which or 1) in under_way:
            there.subtract(
                made.piece for made in step.makes if made.becomes == "piece" and made.piece
            )
    return +there
