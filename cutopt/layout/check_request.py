"""For the check: the request asks for the pieces that lie on the surfaces, and nothing else."""

from collections import Counter
from collections.abc import Iterator

from cutopt.documents import Job, Piece
from cutopt.documents.mosaic import Mosaic
from cutopt.errors import Fault
from cutopt.layout.model import LaidPiece, LaidSurface, TakeOff
from cutopt.plane import Point, doubled_area


def faults_of_request(job: Job, take_off: TakeOff) -> Iterator[Fault]:
    """Return where the request and the pieces on the surfaces differ."""
    request = take_off.request
    asked = {piece.id: piece for piece in request.pieces}
    laid: Counter[str] = Counter()
    for surface in take_off.surfaces:
        tile = next(tile for tile in job.tiles if tile.id == surface.tile)
        size = tile.width, tile.height
        if len(surface.whole):
            laid[surface.full_entry] += len(surface.whole)
            yield from _faults_of_full(asked.get(surface.full_entry), surface, size)
        for piece in surface.cut:
            laid[piece.entry] += 1
            if tile.mosaic is not None and not piece.is_full:
                yield from _faults_in_chips(asked.get(piece.entry), piece, surface, tile.mosaic)
                continue
            yield from _faults_of_entry(asked.get(piece.entry), piece, surface, size)
    wanted = {piece.id: piece.quantity for piece in request.pieces}
    if wanted != dict(laid):
        yield Fault("/pieces", f"{sum(wanted.values())} pieces", f"{laid.total()} pieces are laid")
    if request.offcuts != job.offcuts or request.saw.kerf != job.saw.kerf:
        yield Fault("", "saw and shelf", "the request has the saw and the offcuts of the job")


def _faults_of_full(
    entry: Piece | None, surface: LaidSurface, size: tuple[int, int]
) -> Iterator[Fault]:
    lies = surface.whole.turn == 0
    wide, high = (side * lies + other * ~lies for side, other in (size, size[::-1]))
    if (surface.whole.width != wide).any() or (surface.whole.height != high).any():
        yield Fault(surface.place, surface.full_entry, "whole cells are as large as the tile")
    if entry is None or entry.tile != surface.tile or not _is_tile(entry, size):
        yield Fault("/pieces", surface.full_entry, "a full tile is as large as its tile")


def _faults_of_entry(
    entry: Piece | None, piece: LaidPiece, surface: LaidSurface, size: tuple[int, int]
) -> Iterator[Fault]:
    if entry is None:
        yield Fault("/pieces", piece.label, "each laid piece has an entry in the request")
    elif entry.tile != surface.tile:
        yield Fault("/pieces", piece.label, "a piece is of the tile of its surface")
    elif piece.is_full and not _is_tile(entry, size):
        yield Fault("/pieces", piece.label, "a full tile is as large as its tile")
    elif _drawn(entry) != _laid(piece):
        yield Fault("/pieces", piece.label, "the request asks for the piece as it lies")
    elif entry.factory_edges != piece.factory_edges:
        yield Fault("/pieces", piece.label, "the request asks for its factory edges")


def _faults_in_chips(
    entry: Piece | None, piece: LaidPiece, surface: LaidSurface, mosaic: Mosaic
) -> Iterator[Fault]:
    """Count the chips that a piece of mosaic touches, one by one."""
    cell = piece.cell
    sizes = (mosaic.chip_width, mosaic.chip_height)
    wide, high = sizes[::-1] if piece.turn else sizes
    xs, ys = zip(*piece.shape.outer, strict=True)
    across = _chips(min(xs) - cell.x, max(xs) - cell.x, wide, mosaic.joint)
    up = _chips(min(ys) - cell.y, max(ys) - cell.y, high, mosaic.joint)
    counts = (up, across) if piece.turn else (across, up)
    asked = tuple(
        count * chip + (count - 1) * mosaic.joint for count, chip in zip(counts, sizes, strict=True)
    )
    if entry is None or entry.tile != surface.tile or entry.factory_edges:
        yield Fault("/pieces", piece.label, "each laid piece has an entry in the request")
    elif (entry.width, entry.height) != asked or not entry.is_plain:
        yield Fault("/pieces", piece.label, "the request asks for the chips that a piece touches")


def _chips(low: int, high: int, chip: int, joint: int) -> int:
    begins = range(0, high, chip + joint)
    return sum(begin < high and begin + chip > low for begin in begins)


def _is_tile(entry: Piece, size: tuple[int, int]) -> bool:
    return (entry.width, entry.height) == size and entry.is_plain


Drawn = tuple[frozenset[Point], frozenset[object], int]


def _drawn(entry: Piece) -> Drawn:
    """Return corners, holes and area of a piece in the request."""
    holes: set[object] = set()
    for hole in entry.holes:
        if hole.outline is None:
            holes.add((hole.x, hole.y, hole.diameter))
        else:
            holes.add(frozenset(hole.outline))
    return frozenset(entry.shape), frozenset(holes), doubled_area(entry.shape)


def _laid(piece: LaidPiece) -> Drawn:
    """Return the same of a laid piece, brought to the frame of its tile."""
    ring = [_back(point, piece.turn) for point in piece.shape.outer]
    x, y = min(x for x, _ in ring), min(y for _, y in ring)

    def home(point: Point) -> Point:
        turned = _back(point, piece.turn)
        return turned[0] - x, turned[1] - y

    holes: set[object] = {frozenset(map(home, hole)) for hole in piece.shape.holes}
    holes |= {(*home(centre), diameter) for centre, diameter in piece.rounds}
    corners = [home(point) for point in piece.shape.outer]
    return frozenset(corners), frozenset(holes), doubled_area(corners)


def _back(point: Point, turn: int) -> Point:
    return (point[1], -point[0]) if turn == 90 else point
