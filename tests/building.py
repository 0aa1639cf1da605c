"""Short ways to write requests and to plan them."""

from collections.abc import Sequence
from typing import Any

from cutopt.check import check_bound
from cutopt.documents import Plan, Request, Total
from cutopt.pipeline import plan
from cutopt.stop import MaxProcessorSeconds

Json = dict[str, Any]
#: A piece as it is wanted: width, height, how many.
Wanted = tuple[float | str, float | str, int]


def request(
    tile: tuple[float | str, float | str],
    pieces: Sequence[Wanted | Json],
    *,
    turn: str = "none",
    kerf: float | str = 0,
    offcuts: Sequence[Json] = (),
    units: str = "mm",
) -> Request:
    """Return the request for pieces of one tile; pieces without an id are p0, p1 and so on."""
    return Request.of(
        {
            "units": units,
            "tiles": [{"id": "field", "width": tile[0], "height": tile[1], "turn": turn}],
            "saw": {"kerf": kerf},
            "pieces": [_named(number, piece) for number, piece in enumerate(pieces)],
            "offcuts": [{"id": f"o{number}", **one} for number, one in enumerate(offcuts)],
        }
    )


def _named(number: int, piece: Wanted | Json) -> Json:
    if not isinstance(piece, dict):
        width, height, quantity = piece
        piece = {"width": width, "height": height, "quantity": quantity}
    return {"id": f"p{number}", **piece}


def planned(wanted: Request, seconds: float = 20, seed: int = 0) -> Plan:
    """Return the plan; the pipeline has checked it."""
    return plan(wanted, MaxProcessorSeconds(seconds), seed)


def total(wanted: Request, seconds: float = 20) -> Total:
    """Return what the only tile of a request comes to, its bound certified."""
    plan = planned(wanted, seconds)
    (verdict,) = check_bound(wanted, plan)
    assert verdict.fault is None
    return plan.totals[0]


def proven(wanted: Request, seconds: float = 20) -> int:
    """Return the fewest tiles, proven."""
    only = total(wanted, seconds)
    assert only.proven_minimal, f"{only.tiles_needed} tiles, bound {only.lower_bound}"
    return only.tiles_needed
