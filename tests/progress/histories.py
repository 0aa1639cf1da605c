"""Random histories: marks that can be, drawn one after another from how the work stands."""

from hypothesis import strategies as st

from cutopt.documents import Plan, Request, is_full_tile
from cutopt.documents.progress import (
    Broken,
    Counted,
    Done,
    Mark,
    Measured,
    Progress,
    Undone,
    Usable,
)
from cutopt.progress import State, replan, state_of
from cutopt.progress.under_way import UnderWay
from cutopt.units import MM

Tile = tuple[int, int]


def tiles_to_cut(state: State) -> list[Tile]:
    """Return the tiles that can be cut: under way, or planned with their stock at hand."""
    found = [key for key, tile in state.under_way.items() if tile.left_to_do()]
    for number, one in state.open.items():
        if number not in state.stale and (one.stock == "new" or one.stock in state.shelf):
            found += [
                (number, which)
                for which in range(1, one.count + 1)
                if (number, which) not in state.under_way
            ]
    return found


def _under_way(state: State, tile: Tile) -> UnderWay:
    one = state.under_way.get(tile)
    return one or UnderWay(state.open[tile[0]], tile[1], state.request.saw.kerf)


def done(draw: st.DrawFn, state: State) -> Mark | None:
    """Draw a cut that is made, or all cuts of a tile, or a whole tile that is laid."""
    if not (tiles := tiles_to_cut(state)):
        return None
    number, which = draw(st.sampled_from(tiles))
    if draw(st.booleans()):
        return Done(cut_tile=number, which=which)
    left = _under_way(state, (number, which)).left_to_do()
    return Done(cut_tile=number, which=which, cut=left[0] if left else None)


def broken(draw: st.DrawFn, state: State) -> Mark | None:
    """Draw a part that breaks, with or without something usable."""
    places: list[tuple[int, int, int]] = []
    for key in {*state.under_way, *tiles_to_cut(state)}:
        tile = _under_way(state, key)
        on_shelf = {part for part, offcut, there in tile.leftovers() if there}
        places += [(*key, part) for part in tile.lying - on_shelf]
    if not places:
        return None
    number, which, part = draw(st.sampled_from(sorted(places)))
    tile = _under_way(state, (number, which))
    rect = tile.parts.rects[part]
    usable: tuple[Usable, ...] = ()
    if tile.is_plain(part) and draw(st.booleans()):
        xs, ys = st.integers(0, rect.width), st.integers(0, rect.height)
        runs = draw(st.tuples(st.tuples(xs, ys), st.tuples(xs, ys)).filter(lambda r: r[0] != r[1]))
        return Broken(cut_tile=number, which=which, part=part, runs=runs)
    if draw(st.booleans()) and rect.width > 4 * MM and rect.height > 2 * MM:
        usable = (Usable(width=rect.width // 2, height=rect.height),)
    return Broken(cut_tile=number, which=which, part=part, usable=usable)


def laid(draw: st.DrawFn, state: State) -> Mark | None:
    """Draw a whole tile that is laid."""
    planned = {placed.piece for one in state.open.values() for placed in one.placements}
    whole = [
        piece.id
        for piece in state.remaining()
        if is_full_tile(piece, state.request.tile_of(piece)) and piece.id not in planned
    ]
    return Done(piece=draw(st.sampled_from(whole))) if whole else None


def measured(draw: st.DrawFn, state: State) -> Mark | None:
    """Draw a piece that is measured anew, a little smaller."""
    plain = [
        piece
        for piece in state.wanted.values()
        if piece.is_plain
        and not state.laid[piece.id]
        and min(piece.width, piece.height) > 4 * MM
        and not is_full_tile(piece, state.request.tile_of(piece))
    ]
    if not plain:
        return None
    piece = draw(st.sampled_from(plain))
    return Measured(piece=piece.id, width=piece.width - MM, height=piece.height, factory_edges=())


def counted(draw: st.DrawFn, state: State) -> Mark | None:
    """Draw a count of the tiles in hand and, sometimes, that no offcut is left."""
    offcuts = () if draw(st.booleans()) else None
    return Counted(tile="field", tiles=draw(st.integers(0, 9)), offcuts=offcuts)


def undone(draw: st.DrawFn, progress: Progress) -> Mark | None:
    """Draw the taking back of the last mark."""
    if not progress.in_force:
        return None
    return Undone(mark=progress.in_force[-1][0])


@st.composite
def histories(draw: st.DrawFn, request: Request, plan: Plan, *, plain: bool = False) -> Progress:
    """Draw a history; a plain one has only work done, breaks and new plans."""
    progress = Progress(units=request.units)
    kinds = [done, done, done, broken, laid] + ([] if plain else [measured, counted])
    for _ in range(draw(st.integers(1, 8))):
        step = draw(st.integers(0, len(kinds) + (0 if plain else 1)))
        state = state_of(request, plan, progress)
        mark: Mark | None
        if step < len(kinds):
            mark = kinds[step](draw, state)
        elif step == len(kinds):
            progress = replan(request, plan, progress).progress
            continue
        else:
            mark = undone(draw, progress)
        if mark is not None:
            progress = progress.with_mark(mark)
    return progress
