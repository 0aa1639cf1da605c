"""Courses carried round a room: the tile cut at a corner goes on with its own offcut."""

from cutopt.documents.job import Corner, Room
from cutopt.documents.laying import Start
from cutopt.documents.surface import Edge, Surface
from cutopt.documents.unfold.corner import LEAST_SOFT_JOINT
from cutopt.documents.unfold.corner import corner as round_a_corner
from cutopt.documents.unfold.trade import Trade


def walls_of(room: Room, trade: Trade, kerf: int) -> list[Surface]:
    """Return the surfaces of a room: outside corners with their edges, courses carried round."""
    walls = {surface.id: surface for surface in room.surfaces}
    for corner in room.corners:
        if corner.rim is not None:
            left, right = walls[corner.left], walls[corner.right]
            builds = (trade.build(wall.tile, wall.joint) for wall in (left, right))
            one, other = round_a_corner(corner.rim, *builds)
            walls[left.id] = left.model_copy(update={"edges": {**left.edges, "right": one}})
            walls[right.id] = right.model_copy(update={"edges": {**right.edges, "left": other}})
    for corner in in_order(room):
        left, right = walls[corner.left], walls[corner.right]
        tile = trade.tile(left.tile).width
        if corner.continues:
            start = going_on(left, right, tile, kerf)
        elif right.start is None and runs_round(left, right):
            start = level_with(left, right, tile)
        else:
            continue
        walls[corner.right] = right.model_copy(update={"start": start})
    return list(walls.values())


def runs_round(left: Surface, right: Surface) -> bool:
    """Tell whether the courses of two walls are alike, so that they may run round a corner."""
    alike = (left.tile, left.joint, left.bond) == (right.tile, right.joint, right.bond)
    level = left.bond.kind in ("stack", "running") and left.bond.angle == 0
    measured = left.outline is None and right.outline is None
    begun = left.start is None or left.start.of == "corner"
    return alike and level and left.bond.along == "rows" and measured and begun


def level_with(left: Surface, right: Surface, tile: int) -> Start:
    """Return the start of a wall that begins with a whole tile, in courses of its neighbour."""
    y = held_back(left, "bottom") if left.start is None else _begin(left)[1]
    return Start(x=held_back(right, "left") % (tile + right.joint), y=y)


def _begin(wall: Surface) -> tuple[int, int]:
    """Return where the first tile of a wall lies."""
    start = wall.start
    if start is None:
        return held_back(wall, "left"), held_back(wall, "bottom")
    point = start.point or (0, 0)
    return point[0] + start.x, point[1] + start.y


def in_order(room: Room) -> list[Corner]:
    """Return the corners, each after the one that its left wall waits for."""
    begun = {wall.id for wall in room.surfaces if wall.start is not None}
    waiting = {
        corner.right: corner
        for corner in room.corners
        if corner.continues or corner.right not in begun
    }
    found: list[Corner] = []
    while waiting:
        ready = [name for name, corner in waiting.items() if corner.left not in waiting]
        free = [name for name, corner in waiting.items() if not corner.continues]
        if not ready and free:
            waiting.pop(free[0])  # all round the room: its courses begin at this wall
            continue
        if not ready:
            break  # goes on all round the room and back: reported as a fault
        found += [waiting.pop(name) for name in ready]
    return found


def going_on(left: Surface, right: Surface, tile: int, kerf: int) -> Start:
    """Return the start of the right wall.

    The last tile of a course of the left wall is cut after `cut`; a kerf further begins its
    offcut, which is the first piece of the same course on the right wall.
    """
    x, y = _begin(left)
    pitch = tile + left.joint
    cut = (width_of(left) - held_back(left, "right") - x) % pitch
    begin = held_back(right, "left")
    if cut > 0 and cut + kerf < tile:
        begin -= cut + kerf
    return Start(x=begin % pitch, y=y)


def width_of(wall: Surface) -> int:
    """Return the width of a wall along its foot."""
    width: int = wall.width or wall.bottom or 0
    return width


def held_back(wall: Surface, side: str) -> int:
    """Return how far from an edge the tiles of a wall end."""
    edge = wall.edges.get(side) or wall.edges.get("all") or Edge(meets="inside corner")
    joint: int
    if edge.joint is not None:
        joint = edge.joint
    elif edge.meets in ("outside corner", "open", "mitre", "covered"):
        joint = 0
    else:
        soft = edge.meets != "profile"
        joint = max(wall.joint, LEAST_SOFT_JOINT) if soft else wall.joint
    back: int = edge.set_back or 0
    return joint + back
