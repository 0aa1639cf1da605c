"""One surface laid from one start, as the search sees it: every cut piece with its sizes."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from cutopt.documents import JobTile
from cutopt.geometry import Shape
from cutopt.layout.model import Gap, LaidPiece, LaidSurface
from cutopt.layout.request import piece_in_tile
from cutopt.plane import Rect, box_of, doubled_area, is_inside
from cutopt.planning.pose import bits, stands_of
from cutopt.solver import Stand

Runs = tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Seen:
    """A cut piece, or a strip too thin to cut (`stand` is None).

    Attributes
    ----------
    box : Rect
        Its box, in the frame of the bond.
    cell : Rect
        The place of the whole tile.
    turn : int
        0 or 90: how the tile lies in the frame.
    stand : Stand or None
        What it is for the solver, in the frame of its tile.
    runs : tuple of two tuples
        From where to where it reaches across and upwards, run by run.
    is_slanted : bool
        Whether an edge of it is slanted.
    """

    label: str
    box: Rect
    cell: Rect
    turn: int
    stand: Stand | None
    runs: tuple[Runs, Runs]
    is_slanted: bool
    corners: int
    sawn_in_sight: bool = False


@dataclass(frozen=True, slots=True)
class Sight:
    """A surface laid from one start: its cut pieces by label, and its full tiles.

    `full_cells` is filled only where something slanted or round makes it needed.
    """

    pieces: dict[str, Seen]
    full: int
    full_cells: dict[str, Rect] = field(default_factory=dict)


def sight_of(laid: LaidSurface, tile: JobTile, kerf: int, with_cells: bool = False) -> Sight:
    """Return what the search sees of a laid surface."""
    pieces = {piece.label: _seen(piece, tile, kerf) for piece in laid.cut if not piece.is_full} | {
        gap.label: _seen(gap, tile, kerf) for gap in laid.gaps
    }
    cells = {p.label: p.cell for p in laid.pieces() if p.is_full} if with_cells else {}
    return Sight(pieces, laid.full_tiles, cells)


def _seen(piece: LaidPiece | Gap, tile: JobTile, kerf: int) -> Seen:
    stand = None
    if isinstance(piece, LaidPiece):
        stand = _stand(piece, tile, kerf)
    outer = piece.shape.outer
    slanted = any(
        a[0] != b[0] and a[1] != b[1] for a, b in zip(outer, (*outer[1:], outer[0]), strict=True)
    )
    box = box_of(outer)
    return Seen(
        label=piece.label,
        box=box,
        cell=piece.cell,
        turn=piece.turn,
        stand=stand,
        runs=_runs_of_box(box) if slanted else runs_of(piece.shape),
        is_slanted=slanted,
        corners=len(outer) + sum(map(len, piece.shape.holes)),
        sawn_in_sight=isinstance(piece, LaidPiece) and piece.sawn_in_sight is not None,
    )


def _stand(piece: LaidPiece, tile: JobTile, kerf: int) -> Stand:
    outer = piece.shape.outer
    box = box_of(outer)
    if len(outer) == 4 and 2 * box.width * box.height == doubled_area(outer):
        sizes = (box.height, box.width) if piece.turn else (box.width, box.height)
        return Stand(*sizes, bits(piece.factory_edges))
    return stands_of(piece_in_tile(piece, tile.id), tile, kerf)[0]


def _runs_of_box(box: Rect) -> tuple[Runs, Runs]:
    return ((box.x, box.right),), ((box.y, box.top),)


def runs_of(shape: Shape) -> tuple[Runs, Runs]:
    """Return from where to where a shape with level and plumb edges reaches, both ways.

    >>> runs_of(Shape(((0, 0), (9, 0), (9, 4), (2, 4), (2, 7), (0, 7))))
    (((0, 9), (0, 2)), ((0, 7), (0, 4)))
    """
    if len(shape.outer) == 4 and not shape.holes:
        return _runs_of_box(box_of(shape.outer))
    rings = (shape.outer, *shape.holes)
    xs = sorted({x for ring in rings for x, _ in ring})
    ys = sorted({y for ring in rings for _, y in ring})
    doubled = [[(2 * x, 2 * y) for x, y in ring] for ring in rings]

    def filled(column: int, row: int) -> bool:
        middle = (xs[column] + xs[column + 1], ys[row] + ys[row + 1])
        return is_inside(middle, doubled[0]) and not any(is_inside(middle, h) for h in doubled[1:])

    table = [[filled(i, j) for i in range(len(xs) - 1)] for j in range(len(ys) - 1)]
    across = [run for row in table for run in _runs(row, xs)]
    upwards = [run for column in zip(*table, strict=True) for run in _runs(column, ys)]
    return tuple(across), tuple(upwards)


def _runs(filled: Sequence[bool], lines: list[int]) -> list[tuple[int, int]]:
    found, begin = [], None
    for at, full in enumerate([*filled, False]):
        if full and begin is None:
            begin = lines[at]
        elif not full and begin is not None:
            found.append((begin, lines[at]))
            begin = None
    return found
