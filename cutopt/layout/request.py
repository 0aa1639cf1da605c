"""From laid pieces to the request: each piece in the frame of its tile."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace

from cutopt.documents import Hole, Job, Piece, Request, Saw
from cutopt.documents.mosaic import Mosaic
from cutopt.documents.request import MOST_CORNERS, MOST_HOLES, MOST_PIECES
from cutopt.errors import Fault, InvalidInput
from cutopt.layout.going_on import going_on
from cutopt.layout.model import LaidPiece, LaidSurface
from cutopt.layout.mosaic import in_chips
from cutopt.plane import Point, box_of, turned

Entries = dict[str, Piece]


def request_of(
    job: Job, surfaces: Sequence[LaidSurface]
) -> tuple[Request, tuple[LaidSurface, ...], bool]:
    """Return the request, the surfaces with the entries of their pieces, and whether any merged.

    Every cut piece is an entry of its own; above what a request holds, equal pieces of a
    surface share one.

    Raises
    ------
    InvalidInput
        When there is nothing to cut, or more than a request can hold.
    """
    faults = [fault for surface in surfaces for fault in _too_intricate(surface)]
    if faults:
        raise InvalidInput(faults)
    mosaics = {tile.id: tile.mosaic for tile in job.tiles}
    entries = [_entries(surface, mosaics[surface.tile]) for surface in surfaces]
    merged = sum(map(len, entries)) > MOST_PIECES
    if merged:
        shared = [_merged(surface, found) for surface, found in zip(surfaces, entries, strict=True)]
        surfaces = [surface for surface, _ in shared]
        entries = [found for _, found in shared]
    follower = {} if merged else going_on(job, surfaces)
    pieces = [
        piece.model_copy(update={"goes_on": follower[name]}) if name in follower else piece
        for found in entries
        for name, piece in found.items()
    ]
    if not pieces:
        raise InvalidInput([Fault("/rooms", "no piece", "a surface has room for a tile")])
    if len(pieces) > MOST_PIECES:
        rule = f"a request holds at most {MOST_PIECES}"
        raise InvalidInput([Fault("/rooms", f"{len(pieces)} different pieces", rule)])
    used = {piece.tile for piece in pieces} | {offcut.tile for offcut in job.offcuts}
    request = Request(
        units=job.units,
        title=job.title,
        tiles=tuple(t.of_request() for t in job.tiles if t.id in used or len(job.tiles) == 1),
        saw=Saw(kerf=job.saw.kerf, greatest_cut=job.saw.greatest_cut),
        snap_cutter=job.snap_cutter,
        prefer=job.prefer,
        pieces=tuple(pieces),
        offcuts=job.offcuts,
        order=job.order,
    )
    return request, tuple(surfaces), merged


def _entries(surface: LaidSurface, mosaic: Mosaic | None) -> Entries:
    entries: Entries = {}
    if surface.full_tiles:
        entries[surface.full_entry] = _full(surface)
    for piece in surface.cut:
        if not piece.is_full:
            in_tile = piece_in_tile(piece, surface.tile)
            if mosaic is not None:
                in_tile = in_chips(piece, surface.tile, mosaic)
            entries[piece.entry] = in_tile
    return entries


def _full(surface: LaidSurface) -> Piece:
    if len(surface.whole):
        width, height, turn = (
            int(column[0])
            for column in (surface.whole.width, surface.whole.height, surface.whole.turn)
        )
    else:
        piece = next(piece for piece in surface.cut if piece.is_full)
        width, height, turn = piece.cell.width, piece.cell.height, piece.turn
    if turn:
        width, height = height, width
    return Piece(
        id=surface.full_entry,
        tile=surface.tile,
        width=width,
        height=height,
        quantity=surface.full_tiles,
    )


def piece_in_tile(piece: LaidPiece, tile: str) -> Piece:
    """Return a laid piece as the request asks for it: its box lower left on 0, 0."""
    box = box_of(piece.shape.outer)
    back = 270 if piece.turn else 0
    size = (box.height, box.width) if back else (box.width, box.height)

    def moved(points: Iterable[Point]) -> tuple[Point, ...]:
        return tuple(turned((x - box.x, y - box.y), box.width, box.height, back) for x, y in points)

    outer = _from_least(moved(piece.shape.outer))
    holes = [Hole(outline=_from_least(moved(ring)[::-1])) for ring in piece.shape.holes]
    for centre, diameter in piece.rounds:
        ((x, y),) = moved([centre])
        holes.append(Hole(x=x, y=y, diameter=diameter))
    is_box = len(outer) == 4 and all(x in (0, size[0]) and y in (0, size[1]) for x, y in outer)
    return Piece(
        id=piece.entry,
        tile=tile,
        width=size[0],
        height=size[1],
        factory_edges=piece.factory_edges,
        outline=None if is_box else outer,
        holes=tuple(holes),
    )


def _from_least(points: tuple[Point, ...]) -> tuple[Point, ...]:
    """Return a ring that begins at its lowest corner, so that equal pieces look equal."""
    first = min(range(len(points)), key=lambda at: (points[at][1], points[at][0]))
    return points[first:] + points[:first]


def _too_intricate(surface: LaidSurface) -> Iterable[Fault]:
    for piece in surface.cut:
        corners = max(map(len, (piece.shape.outer, *piece.shape.holes)))
        holes = len(piece.shape.holes) + len(piece.rounds)
        if corners > MOST_CORNERS or holes > MOST_HOLES:
            value = f"{corners} corners and {holes} holes in {piece.label}"
            rule = f"a piece has at most {MOST_CORNERS} corners and {MOST_HOLES} holes"
            yield Fault(surface.place, value, rule)


def _merged(surface: LaidSurface, entries: Entries) -> tuple[LaidSurface, Entries]:
    """Let equal pieces of a surface share the entry of the first."""
    groups: dict[Piece, list[str]] = defaultdict(list)
    for name, piece in entries.items():
        groups[piece.model_copy(update={"id": ""})].append(name)
    leader = {name: names[0] for names in groups.values() for name in names}
    counts = {names[0]: sum(entries[name].quantity for name in names) for names in groups.values()}
    shared = {
        name: entries[name].model_copy(update={"quantity": count}) for name, count in counts.items()
    }
    cut = tuple(
        piece if piece.is_full else replace(piece, entry=leader[piece.entry])
        for piece in surface.cut
    )
    return replace(surface, cut=cut), shared
