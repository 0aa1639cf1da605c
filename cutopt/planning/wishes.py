"""What is preferred among plans with as few tiles, as the solver wants to know it."""

from cutopt.documents import Request
from cutopt.planning.pose import Posed
from cutopt.solver import Wishes
from cutopt.units import MM

#: A strip narrower than this is risky to cut off or beside (common practice, no source).
NARROW = 50 * MM


def wishes_of(request: Request, posed: Posed) -> Wishes | None:
    """Return the wishes of a request; pieces are set in the order in which it names them."""
    if request.prefer is None:
        return None
    at = {piece.id: number for number, piece in enumerate(request.pieces)}
    places = []
    for members in posed.members:
        units = sum(member.piece.quantity for member in members)
        total = sum(at[member.piece.id] * member.piece.quantity for member in members)
        places.append(total // units)
    return Wishes(request.prefer, NARROW, tuple(places))
