"""Small jobs and requests with an order, planned in a moment."""

from typing import Any

from cutopt.buying import make_order
from cutopt.documents import Job, Plan, Request
from cutopt.documents.order import Order
from cutopt.formats import taken_off
from cutopt.layout import TakeOff
from cutopt.pipeline import plan
from cutopt.stop import MaxSeconds

#: Fewer simulated jobs than usual.
QUICK = {"simulated_jobs": 2_000}
TILE = {"id": "t", "width": 600, "height": 300, "turn": "half", "per_box": 6, "price": 4}
_CUTS = "whole straight slanted notch u_shape round_hole box_hole narrow_strip long_thin"
NEVER: dict[str, float] = dict.fromkeys(_CUTS.split(), 0)
#: Nothing breaks, nothing is faulty, nothing is kept.
SOUND: dict[str, Any] = {"breakage": NEVER, "faulty": 0, "keep": 0}


def breaking(**chances: float) -> dict[str, Any]:
    """Return a tile that breaks with these chances and no others."""
    return {**SOUND, "breakage": {**NEVER, **chances}}


def request_data(*pieces: tuple[float, float, int], **order: Any) -> dict[str, Any]:
    """Return a request of pieces, by width, height and number."""
    return {
        "format": "cutopt.request/1",
        "tiles": [TILE],
        "saw": {"kerf": 2},
        "pieces": [
            {"id": f"p{at}", "width": width, "height": height, "quantity": many}
            for at, (width, height, many) in enumerate(pieces)
        ],
        "order": {**QUICK, **order},
    }


def job_data(*rooms: list[dict[str, Any]], **order: Any) -> dict[str, Any]:
    """Return a job of rooms, each with its surfaces."""
    return {
        "format": "cutopt.job/1",
        "tiles": [{**TILE, "thickness": 9}],
        "rooms": [
            {"name": f"room {at + 1}", "surfaces": surfaces} for at, surfaces in enumerate(rooms)
        ],
        "order": {**QUICK, **order},
    }


def wall(mark: str = "A", **fields: Any) -> dict[str, Any]:
    """Return a wall of 2400 x 2100 mm with 2 mm joints."""
    return {"id": mark, "width": 2400, "height": 2100, "joint": 2, **fields}


def planned(data: dict[str, Any]) -> tuple[TakeOff, Plan, Job | None]:
    """Return what a document comes to, with its plan."""
    found = taken_off(data)
    job = Job.of(data) if data["format"] == "cutopt.job/1" else None
    return found, plan(found.request, MaxSeconds(10)), job


def ordered(data: dict[str, Any], seed: int = 0) -> Order:
    """Return the order of a document."""
    found, made, job = planned(data)
    return make_order(found, made, job, seed)


def requested(data: dict[str, Any]) -> Request:
    """Return the request of a document."""
    return taken_off(data).request
