"""Deliveries by room: what is cut or laid first in a room must be there when its work begins."""

import math
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping

from cutopt.buying.edges import room_names
from cutopt.documents import Job, Plan
from cutopt.documents.order import Delivery, TileOrder
from cutopt.layout import TakeOff


def deliveries_of(
    job: Job, found: TakeOff, plan: Plan, orders: Mapping[str, TileOrder]
) -> Iterator[Delivery]:
    """Yield for each room and tile the boxes that come, in the order of rooms.

    The reserve comes with the first delivery, what is kept with the last; together they are
    the boxes of the order. A tile whose pieces go to several rooms comes with the first of them.
    """
    names = room_names(job)
    for tile, order in orders.items():
        by_room = tiles_by_room(found, plan, tile)
        rooms = [room for room in range(len(names)) if by_room[room]]
        had = reached = 0
        for room in rooms:
            reached += by_room[room] + (order.reserve.spares if room == rooms[0] else 0)
            wanted = order.tiles_wanted if room == rooms[-1] else reached
            total = wanted
            if order.per_box is not None:
                total = math.ceil(wanted / order.per_box) * order.per_box
            coming = max(0, total - had)
            yield Delivery(
                room=names[room],
                tile=tile,
                tiles=by_room[room],
                boxes=None if order.per_box is None else coming // order.per_box,
                tiles_delivered=coming,
            )
            had += coming


def tiles_by_room(found: TakeOff, plan: Plan, tile: str) -> Counter[int]:
    """Return the new tiles by the room where each is first wanted, by its number in the job."""
    counts, homes = Counter[int](), defaultdict[str, list[int]](list)
    for surface in found.surfaces:
        room = int(surface.place.split("/")[2])
        if surface.tile == tile:
            counts[room] += surface.full_tiles
            for piece in surface.cut:
                if not piece.is_full:
                    homes[piece.entry].append(room)
    for cut_tile in plan.cut_tiles:
        if cut_tile.tile == tile:
            for _ in range(cut_tile.count):
                rooms = [homes[placed.piece].pop(0) for placed in cut_tile.placements]
                if cut_tile.stock == "new":
                    counts[min(rooms)] += 1
    return counts
