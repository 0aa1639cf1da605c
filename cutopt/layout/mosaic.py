"""Pieces of mosaic: whole chips as the knife parts them, and offcuts of sheets joined again.

A piece on the surface may end within a chip; it is asked for with that chip whole, and sawn once
it is set out. Parts of a sheet meet along a joint of chips, so two offcuts may be one piece.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from cutopt.documents import Job, JobTile, Piece, Side
from cutopt.documents.mosaic import Mosaic
from cutopt.geometry import Shape
from cutopt.layout.model import LaidPiece, LaidSurface, label_of
from cutopt.layout.sides import Sides
from cutopt.plane import Rect, box_of


def in_chips(piece: LaidPiece, tile: str, mosaic: Mosaic) -> Piece:
    """Return a piece as the request asks for it: the box of the chips that it touches."""
    across, up = spans(piece, mosaic)
    size = (
        len(across) * mosaic.across - mosaic.parting,
        len(up) * mosaic.up - mosaic.parting,
    )
    width, height = size[::-1] if piece.turn else size
    return Piece(id=piece.entry, tile=tile, width=width, height=height)


def spans(piece: LaidPiece, mosaic: Mosaic) -> tuple[range, range]:
    """Return the columns and the rows of chips of its sheet that a piece touches."""
    box, cell = box_of(piece.shape.outer), piece.cell
    sizes = (mosaic.across, mosaic.up)
    across, up = sizes[::-1] if piece.turn else sizes
    return (
        _touched(box.x - cell.x, box.right - cell.x, across, mosaic.parting),
        _touched(box.y - cell.y, box.top - cell.y, up, mosaic.parting),
    )


def _touched(low: int, high: int, pitch: int, joint: int) -> range:
    """Return the chips between two places on a sheet; a joint at an end belongs to none."""
    first = low // pitch + (low % pitch >= pitch - joint)
    return range(first, -(-high // pitch))


def sides_in_chips(cell: Rect, shape: Shape, sides: Sides, mosaic: Mosaic) -> Sides:
    """Return what the sides of a piece show: chips have factory edges, unless they are sawn."""
    box = box_of(shape.outer)
    off: dict[Side, bool] = {
        "left": (box.x - cell.x) % mosaic.across != 0,
        "right": (box.right - cell.x + mosaic.parting) % mosaic.across != 0,
        "bottom": (box.y - cell.y) % mosaic.up != 0,
        "top": (box.top - cell.y + mosaic.parting) % mosaic.up != 0,
    }
    is_sawn = sides.sawn_in_sight == "edge" or any(off[side] for side in sides.factory)
    return Sides((), "edge" if is_sawn else None)


# Joined offcuts.


@dataclass(frozen=True, slots=True)
class _Strip:
    """A piece as long as its sheet, so many chips deep: as columns, or as rows."""

    mark: str
    piece: LaidPiece
    depth: int
    is_upright: bool


def joined(job: Job, surfaces: Sequence[LaidSurface]) -> tuple[LaidSurface, ...]:
    """Return the surfaces with pieces in two parts, where so fewer sheets are needed.

    Strips as long as a sheet are put into sheets, the deepest first. When fewer sheets hold as
    many chips, a strip that fits no longer is parted between two of them.
    """
    changed: dict[tuple[str, str], tuple[int, bool]] = {}
    for tile in job.tiles:
        if tile.mosaic is not None and tile.mosaic.joined:
            for strips, capacity in _alike(tile, surfaces):
                changed |= _parted(strips, capacity)
    if not changed:
        return tuple(surfaces)
    mosaics = {tile.id: tile.mosaic for tile in job.tiles}
    return tuple(_with_parts(laid, mosaics[laid.tile], changed) for laid in surfaces)


def _alike(tile: JobTile, surfaces: Sequence[LaidSurface]) -> Iterator[tuple[list[_Strip], int]]:
    """Return strips that come out of the same sheets, and how many chips deep a sheet is."""
    mosaic = tile.mosaic
    assert mosaic is not None
    wide = (tile.width + mosaic.parting) // mosaic.across
    high = (tile.height + mosaic.parting) // mosaic.up
    upright: list[_Strip] = []
    level: list[_Strip] = []
    for laid in surfaces:
        if laid.tile != tile.id:
            continue
        for piece in laid.cut:
            across, up = spans(piece, mosaic)
            if piece.is_full or piece.turn or not _is_box(piece):
                continue
            if len(up) == high and len(across) < wide:
                upright.append(_Strip(laid.mark, piece, len(across), True))
            elif len(across) == wide and len(up) < high:
                level.append(_Strip(laid.mark, piece, len(up), False))
    square = mosaic.across == mosaic.up and wide == high and tile.turn == "quarter"
    yield from [([*upright, *level], wide)] if square else [(upright, wide), (level, high)]


def _is_box(piece: LaidPiece) -> bool:
    plain = len(piece.shape.outer) == 4 and not piece.shape.holes and not piece.rounds
    box = box_of(piece.shape.outer)
    return plain and piece.shape.doubled_area == 2 * box.width * box.height


def _parted(strips: Iterable[_Strip], capacity: int) -> dict[tuple[str, str], tuple[int, bool]]:
    """Return after how many chips a piece is parted, by surface and label."""
    ordered = sorted(strips, key=lambda strip: (-strip.depth, strip.mark, strip.piece.label))
    least = -(-sum(strip.depth for strip in ordered) // capacity)
    found: dict[tuple[str, str], tuple[int, bool]] = {}
    if _sheets([strip.depth for strip in ordered], capacity) == least:
        return found
    room = [capacity] * least
    for strip in ordered:
        fits = [at for at, free in enumerate(room) if free >= strip.depth]
        if fits:
            room[min(fits, key=lambda at: room[at])] -= strip.depth
            continue
        most, other = sorted(range(least), key=lambda at: -room[at])[:2]
        if room[most] + room[other] < strip.depth or not room[other]:
            continue  # three parts are more work than a sheet is worth
        found[strip.mark, strip.piece.label] = (room[most], strip.is_upright)
        room[most], room[other] = 0, room[other] - (strip.depth - room[most])
    return found


def _sheets(depths: Sequence[int], capacity: int) -> int:
    """Return how many sheets strips take, the deepest first."""
    room: list[int] = []
    for depth in depths:
        at = next((at for at, free in enumerate(room) if free >= depth), None)
        if at is None:
            room.append(capacity - depth)
        else:
            room[at] -= depth
    return len(room)


def _with_parts(
    laid: LaidSurface, mosaic: Mosaic | None, changed: dict[tuple[str, str], tuple[int, bool]]
) -> LaidSurface:
    if mosaic is None:
        return laid
    cut: list[LaidPiece] = []
    for piece in laid.cut:
        if (laid.mark, piece.label) in changed:
            cut += _in_two(laid.mark, piece, mosaic, *changed[laid.mark, piece.label])
        else:
            cut.append(piece)
    return replace(laid, cut=tuple(cut))


def _in_two(
    mark: str, piece: LaidPiece, mosaic: Mosaic, chips: int, is_upright: bool
) -> Iterator[LaidPiece]:
    """Return the two parts of a piece; the joint between them goes with the first."""
    across, up = spans(piece, mosaic)
    box, cell = box_of(piece.shape.outer), piece.cell
    if is_upright:
        at = cell.x + (across.start + chips) * mosaic.across
        boxes = (
            Rect(box.x, box.y, at - box.x, box.height),
            Rect(at, box.y, box.right - at, box.height),
        )
    else:
        at = cell.y + (up.start + chips) * mosaic.up
        boxes = (
            Rect(box.x, box.y, box.width, at - box.y),
            Rect(box.x, at, box.width, box.top - at),
        )
    for number, part in enumerate(boxes):
        label = label_of(mark, piece.course, piece.position, number)
        yield replace(piece, label=label, entry=label, shape=Shape(part.corners), is_joined=True)
