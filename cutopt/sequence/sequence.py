"""From a request and its plan to the cut order, with what it comes to."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from cutopt.documents import Piece, Plan, Request
from cutopt.documents.mosaic import Mosaic
from cutopt.documents.sequence import By, Made, Pace, Step
from cutopt.documents.sequence import Sequence as CutOrder
from cutopt.errors import Fault, InvalidInput
from cutopt.plane import Rect
from cutopt.reports.words import counted
from cutopt.sequence.orders import Chosen, ordered
from cutopt.sequence.passes import SNAP, Parts, Pass, passes_of
from cutopt.sequence.shaping import shapings_of
from cutopt.sequence.workload import workload_of
from cutopt.version import MADE_BY


class NoCuts(InvalidInput):
    """The plan names places of pieces but no cuts: there is nothing to put in order."""


def cut_order(
    request: Request, plan: Plan, by: By = "surface", pace: Pace | None = None
) -> CutOrder:
    """Return the steps of a plan that has passed the check.

    Parameters
    ----------
    request : Request
        What the plan is for; its pieces stand in the order in which they are laid.
    plan : Plan
        The plan, with its cuts.
    by : str
        `surface`: tile after tile, as the pieces are laid; `fence`: with the fewest settings of
        the fence; `risk`: what breaks most easily first.
    pace : Pace, optional
        How long things take.

    Raises
    ------
    NoCuts
        When the plan lists no cuts.
    """
    if faults := list(_without_cuts(plan)):
        raise NoCuts(faults)
    pace = pace or Pace()
    rank = {piece.id: number for number, piece in enumerate(request.pieces)}
    passes = _passes(request, plan)
    chosen, bound = ordered(passes, by, rank)
    steps = tuple(_steps(chosen, _rects(request, plan), pace))
    return CutOrder(
        units=plan.units,
        title=plan.title or request.title,
        made_by=MADE_BY,
        by=by,
        steps=steps,
        workload=workload_of(steps, pace, rank, bound),
        pace=pace,
    )


def _without_cuts(plan: Plan) -> Iterator[Fault]:
    for index, cut_tile in enumerate(plan.cut_tiles):
        if cut_tile.cuts is None:
            rule = "a cut order needs the cuts of every cut tile"
            yield Fault(f"/cut_tiles/{index}/cuts", "nothing", rule)


def _passes(request: Request, plan: Plan) -> list[Pass]:
    pieces = {piece.id: piece for piece in request.pieces}
    mosaics = {tile.id: tile.mosaic for tile in request.tiles}
    found: list[Pass] = []
    for cut_tile in plan.cut_tiles:
        first = len(found)
        mosaic = mosaics[cut_tile.tile]
        for sawn in passes_of(cut_tile, request.kerf_of(cut_tile.tile), plan.units):
            one = _snapped(sawn) if mosaic is None else _with_a_knife(sawn, mosaic)
            found.append(one if one.after is None else replace(one, after=one.after + first))
        last = {made.part: at for at in range(first, len(found)) for made in found[at].makes}
        for placed in cut_tile.placements:
            part = placed.part or 0
            at = last.get(part)
            shapings = list(shapings_of(cut_tile, pieces[placed.piece], part, plan.units))
            if at is None and not shapings:
                words = "no cut: it is taken as it is"
                shapings = [Pass(cut_tile, part, "shape", "shape", 0, words=words)]
            if at is not None and shapings:
                found[at] = replace(found[at], makes=_unfinished(found[at].makes, part))
            for number, one in enumerate(shapings, start=1):
                made = _piece_made(pieces[placed.piece], part) if number == len(shapings) else ()
                found.append(replace(one, after=at, makes=made))
                at = len(found) - 1
    return found


def _snapped(one: Pass) -> Pass:
    """Return a pass, on the snap cutter where the plan says so: measured from its exact side."""
    if one.cut is None or one.tool != SNAP:
        return one
    cut = (one.cut_tile.cuts or ())[one.cut - 1]
    exact = tuple(setting for setting in one.settings if setting.edge == cut.measured_from)
    words = "; ".join(filter(None, ("on the snap cutter", one.words)))
    return replace(one, settings=exact or one.settings, words=words)


def _with_a_knife(one: Pass, mosaic: Mosaic) -> Pass:
    """Return a pass that parts a sheet: told in chips, as nothing is measured."""
    setting = one.settings[0]
    pitch = mosaic.across if one.way == "vertical" else mosaic.up
    chips = (setting.length + mosaic.parting) // pitch
    words = f"part with a knife, {counted(chips, 'chip')} from the {setting.edge}"
    return replace(one, guide="knife", risk=0, settings=(), length=0.0, words=words)


def _unfinished(makes: tuple[Made, ...], part: int) -> tuple[Made, ...]:
    return tuple(
        made.model_copy(update={"becomes": "part"}) if made.part == part else made for made in makes
    )


def _piece_made(piece: Piece, part: int) -> tuple[Made, ...]:
    return (Made(part=part, becomes="piece", piece=piece.id),)


def _rects(request: Request, plan: Plan) -> dict[tuple[int, int], Rect]:
    """Return where every part of every cut tile lies."""
    found = {}
    for cut_tile in plan.cut_tiles:
        parts = Parts(cut_tile, request.kerf_of(cut_tile.tile))
        for cut in cut_tile.cuts or ():
            parts.take(cut)
        found.update({(cut_tile.number, part): rect for part, rect in parts.rects.items()})
    return found


def _steps(
    chosen: Sequence[Chosen], rects: Mapping[tuple[int, int], Rect], pace: Pace
) -> Iterator[Step]:
    now = None
    for number, (one, setting) in enumerate(chosen, start=1):
        edge = setting.edge if setting else None
        rect = rects[one.cut_tile.number, one.part]
        yield Step(
            number=number,
            cut_tile=one.cut_tile.number,
            tile=one.cut_tile.tile,
            stock=one.cut_tile.stock,
            times=one.cut_tile.count,
            part=one.part,
            cut=one.cut,
            also=one.also,
            way=one.way,  # type: ignore[arg-type]
            guide=one.guide,
            tool=one.tool,
            setting=setting.length if setting else None,
            edge=edge,
            edge_is_factory=one.edge_is_factory(edge, rect) if edge else None,
            sets_fence=setting is not None and setting.read != now,
            line=one.line,
            box=(rect.x, rect.y, rect.width, rect.height) if one.line else None,
            corner=one.corner,
            length=round(one.length, 3),
            seconds=round(_seconds(one, pace), 1),
            words=one.words,
            makes=one.makes,
        )
        now = setting.read if setting else now


def _seconds(one: Pass, pace: Pace) -> float:
    """Return how long a pass takes; a notch's time stands at its first pass."""
    if one.seconds:
        return float(getattr(pace, one.seconds))
    if one.guide == "knife":
        return pace.per_cut
    if one.guide == "shape" or one.way == "notch":
        return 0.0
    if one.tool == SNAP:
        return pace.per_cut + pace.per_snap
    marking = pace.mark_line if one.guide == "mark" else 0.0
    return pace.per_cut + marking + pace.per_metre * one.length / 1000
