"""Safer alternatives to fragile pieces: a joint moved, or one piece made two."""

from collections.abc import Iterator, Sequence

from cutopt.layout.ground import Ground
from cutopt.layout.model import LaidPiece
from cutopt.plane import Point, Rect, box_of, cross
from cutopt.units import MM, show_length

#: Left, bottom, right, top of what is to lie inside one tile.
Span = tuple[int, int]
#: Shifts are told to whole millimetres, away from what is too close.
_STEP = MM


def two_instead_of_one(ground: Ground, piece: LaidPiece) -> str:
    """Return where to part a piece with two inside corners, so that each part has one."""
    corners = bent_back(piece.shape.outer)
    box = box_of(piece.shape.outer)
    for a, b in zip(corners, corners[1:] + corners[:1], strict=True):
        if a[1] == b[1] and a[0] != b[0]:
            far = show_length((a[0] + b[0]) // 2 - box.x, ground.units)
            return f"make {piece.label} two pieces, parted plumb {far} from its left"
        if a[0] == b[0] and a[1] != b[1]:
            far = show_length((a[1] + b[1]) // 2 - box.y, ground.units)
            return f"make {piece.label} two pieces, parted level {far} above its foot"
    return ""


def joint_at_the_corner(ground: Ground, piece: LaidPiece) -> str:
    """Return by how much the bond is moved for a joint to stand at the corner of an opening."""
    if not _can_move(ground):
        return ""
    corners = bent_back(piece.shape.outer)
    cell = piece.cell
    ways = [corner[0] - side for corner in corners for side in (cell.x, cell.right)]
    if not ways:
        return ""
    nearest = min(ways, key=abs)
    if nearest == 0:
        return ""
    return f"{_moved(ground, nearest, 0)}, and a joint stands at the corner"


def within_one_tile(ground: Ground, cell: Rect, hole: Rect, web: int) -> str:
    """Return how the bond is moved for a hole to lie within one tile, a web all round it."""
    if not _can_move(ground):
        return ""
    joint: int = ground.surface.joint
    across = _into(cell.x, cell.width, joint, (hole.x - web, hole.right + web))
    up = _into(cell.y, cell.height, joint, (hole.y - web, hole.top + web))
    if across is None or up is None or not (across or up):
        return ""
    return f"{_moved(ground, across, up)}, and the hole lies within one tile"


def two_halves(ground: Ground, cell: Rect, hole: Rect) -> str:
    """Return by how much the bond is moved for a joint to run through the middle of a hole."""
    if not _can_move(ground):
        return ""
    joint: int = ground.surface.joint
    x, y = hole.x + hole.width // 2, hole.y + hole.height // 2
    ways = [(x - side, 0) for side in (cell.x - joint // 2, cell.right + joint // 2)]
    ways += [(0, y - side) for side in (cell.y - joint // 2, cell.top + joint // 2)]
    nearest = min(ways, key=lambda way: abs(way[0]) + abs(way[1]))
    return f"{_moved(ground, *nearest)}, and the hole is two halves on a joint, notched in each"


def _can_move(ground: Ground) -> bool:
    bond = ground.surface.bond
    return bond.angle == 0 and bond.kind in ("stack", "running") and bond.along == "rows"


def _into(begin: int, tile: int, joint: int, span: Span) -> int | None:
    """Return the least shift of a row of tiles for one of them to hold a span."""
    low, high = span
    if high - low > tile:
        return None
    pitch = tile + joint
    found = []
    for number in range((low - begin) // pitch - 1, (high - begin) // pitch + 2):
        least, most = high - tile - begin - number * pitch, low - begin - number * pitch
        found.append(min(max(least, 0), most) if least <= most else least)
    return min(found, key=abs)


def _moved(ground: Ground, across: int, up: int) -> str:
    words = []
    for way, (forth, back) in ((across, ("right", "left")), (up, ("up", "down"))):
        if way:
            size = -(-abs(way) // _STEP) * _STEP
            words.append(f"{show_length(size, ground.units)} to the {forth if way > 0 else back}")
    text = " and ".join(words).replace("to the up", "up").replace("to the down", "down")
    return f"move the bond {text}"


def bent_back(ring: Sequence[Point]) -> list[Point]:
    """Return the inside corners of an anticlockwise outline."""
    return list(_bent_back(ring))


def _bent_back(ring: Sequence[Point]) -> Iterator[Point]:
    for at, corner in enumerate(ring):
        if cross(ring[at - 1], corner, ring[(at + 1) % len(ring)]) < 0:
            yield corner
