"""Parts of a shower unfolded into ordinary surfaces: everything after sees surfaces only."""

from collections.abc import Iterator

from cutopt.documents.job import Job, Room
from cutopt.documents.laying import Start
from cutopt.documents.shower import Skirting
from cutopt.documents.surface import Edge, Opening, Surface
from cutopt.documents.unfold.block import surfaces_of_block
from cutopt.documents.unfold.corner import centred
from cutopt.documents.unfold.floor import about_the_drain, is_cut, planes_of
from cutopt.documents.unfold.opening import Lined, finished_opening, returns_of
from cutopt.documents.unfold.round_the_room import walls_of
from cutopt.documents.unfold.trade import Placed, Style, Trade


def unfolded(job: Job) -> Iterator[Placed]:
    """Return every surface that is tiled, with its pointer, in the order of the job.

    A surface is followed by the returns of its openings; the parts of a room come last.
    """
    trade = trade_of(job)
    for number, room in enumerate(job.rooms):
        for at, surface in enumerate(walls_of(room, trade, job.saw.kerf)):
            yield from _surface(f"/rooms/{number}/surfaces/{at}", surface, trade)
        yield from _parts(f"/rooms/{number}/parts", room, trade)


def trade_of(job: Job) -> Trade:
    """Return the tiles of a job and their bed."""
    return Trade({tile.id: tile for tile in job.tiles}, job.bed)


def _surface(place: str, surface: Surface, trade: Trade) -> Iterator[Placed]:
    if is_cut(surface, trade.tile(surface.tile)):
        yield from planes_of(place, surface)
        return
    surface = about_the_drain(surface)
    lined = [
        Lined(f"{place}/openings/{at}", surface, opening, opening.returns, trade)
        for at, opening in enumerate(surface.openings)
        if opening.returns is not None
    ]
    if not lined:
        yield place, surface
        return
    finished = {one.place: finished_opening(one) for one in lined}
    openings = tuple(
        _found(finished, f"{place}/openings/{at}", opening)
        for at, opening in enumerate(surface.openings)
    )
    yield place, surface.model_copy(update={"openings": openings})
    for one in lined:
        yield from returns_of(one)


def _found(finished: dict[str, Opening], place: str, opening: Opening) -> Opening:
    return finished.get(place, opening)


def _parts(place: str, room: Room, trade: Trade) -> Iterator[Placed]:
    for at, part in enumerate(room.parts):
        if isinstance(part, Skirting):
            yield from _strips(f"{place}/{at}", part, trade)
        else:
            yield from surfaces_of_block(f"{place}/{at}", part, trade)


def _strips(place: str, skirting: Skirting, trade: Trade) -> Iterator[Placed]:
    """Return a surface for each run of skirting, its upper edge in sight."""
    style = Style.of(skirting.laying, None, skirting.laying.joint or 0)
    tile = trade.tile(style.tile)
    for at, run in enumerate(skirting.runs):
        build = trade.build(style.tile, style.joint)
        gap = build.soft_joint
        start = Start(x=centred(run - 2 * gap, tile.width, style.joint, gap), y=gap)
        edges = {"bottom": Edge(meets="floor"), "top": Edge(meets="open")}
        shape = {"width": run, "height": skirting.height, "edges": edges}
        title = f"{skirting.title or 'skirting'}, run {at + 1}"
        mark = skirting.id + chr(ord("A") + at)
        yield f"{place}/runs/{at}", style.surface(mark, title, shape, start)
