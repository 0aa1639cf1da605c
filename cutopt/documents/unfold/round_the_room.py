"""Courses carried round a room: the tile cut at a corner goes on with its own offcut."""

from cutopt.documents.job import Corner, Room
from cutopt.documents.laying import Start
from cutopt.documents.surface import Edge, Surface
from cutopt.documents.unfold.corner import LEAST_SOFT_JOINT
from cutopt.documents.unfold.trade import Trade


def walls_of(room: Room, trade: Trade, kerf: int) -> list[Surface]:
    """Return the surfaces of a room, those that go on round a corner with their start."""
    walls = {surface.id: surface for surface in room.surfaces}
    for corner in in_order(room):
        left, right = walls[corner.left], walls[corner.right]
        walls[corner.right] = right.model_copy(
            update={"start": going_on(left, right, trade.tile(left.tile).width, kerf)}
        )
    return list(walls.values())


def in_order(room: Room) -> list[Corner]:
    """Return the corners at which courses go on, each after the one its left wall waits for."""
    waiting = {corner.right: corner for corner in room.corners if corner.continues}
    found: list[Corner] = []
    while waiting:
        ready = [name for name, corner in waiting.items() if corner.left not in waiting]
        if not ready:
            break  # all round the room and back: reported as a fault
        found += [waiting.pop(name) for name in ready]
    return found


def going_on(left: Surface, right: Surface, tile: int, kerf: int) -> Start:
    """Return the start of the right wall.

    The last tile of a course of the left wall is cut after `cut`; a kerf further begins its
    offcut, which is the first piece of the same course on the right wall.
    """
    start = left.start or Start(x=held_back(left, "left"), y=held_back(left, "bottom"))
    x, y = (start.point or (0, 0))[0] + start.x, (start.point or (0, 0))[1] + start.y
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
