"""Jobs with parts of a shower: a wall with a lined opening, a room with a block."""

from typing import Any

from hypothesis import strategies as st

from cutopt.documents import Job
from cutopt.layout import LaidSurface, TakeOff, check_take_off, take_off
from cutopt.units import MM

#: Left, bottom, right, top of what the tiles of a surface cover.
Extent = tuple[float, float, float, float]

TILE = {"id": "field", "width": 600, "height": 300, "turn": "half", "thickness": 8}
PROFILE = {"kind": "profile", "face": 10}


def opening(**fields: Any) -> dict[str, Any]:
    """Return a niche of 600 x 400 mm, 90 mm deep, changed by fields."""
    niche = {"kind": "niche", "x": 700, "y": 1000, "width": 600, "height": 400}
    returns = {"id": "N", "depth": 90, "back": {}, **fields.pop("returns", {})}
    return {**niche, "returns": returns, **fields}


def window(**returns: Any) -> dict[str, Any]:
    """Return a window of 600 x 400 mm in a reveal of 140 mm."""
    lined = {"id": "N", "depth": 140, "back": None, **returns}
    return opening(kind="window", returns=lined)


def wall(*openings: dict[str, Any], **fields: Any) -> dict[str, Any]:
    """Return a wall of 2400 x 2100 mm with openings."""
    return {"id": "A", "width": 2400, "height": 2100, "joint": 2, "openings": openings, **fields}


def job_data(*surfaces: dict[str, Any], parts: Any = (), **fields: Any) -> dict[str, Any]:
    """Return the data of a job in one room and one tile, 8 mm thick."""
    return {
        "format": "cutopt.job/1",
        "tiles": [TILE],
        "rooms": [{"name": "shower", "surfaces": list(surfaces or (wall(),)), "parts": parts}],
        **fields,
    }


def curb(**fields: Any) -> dict[str, Any]:
    """Return a curb between two walls, 1200 mm long, 100 mm wide and 120 mm high."""
    size = {"length": 1200, "width": 100, "height": 120}
    return {"kind": "curb", "id": "C", **size, "laying": {"joint": 2}, **fields}


def taken(data: dict[str, Any]) -> tuple[Job, TakeOff, dict[str, LaidSurface]]:
    """Return job, take-off without a fault, and the surfaces by their letters."""
    read = Job.of(data)
    found = take_off(read)
    assert check_take_off(read, found) == ()
    return read, found, {laid.mark: laid for laid in found.surfaces}


def extent(laid: LaidSurface) -> Extent:
    """Return what the tiles of a level surface cover, in mm."""
    points = [point for piece in laid.pieces() for point in piece.shape.outer]
    xs, ys = zip(*laid.frame.outward(points), strict=True)
    return min(xs) / MM, min(ys) / MM, max(xs) / MM, max(ys) / MM


def rims() -> st.SearchStrategy[dict[str, Any]]:
    """Return how two faces may meet."""
    profile = st.builds(
        lambda face, offset, depth: {
            "kind": "profile",
            "face": face,
            "offset": offset,
            **({"depth": depth} if depth else {}),
        },
        st.sampled_from([2.5, 8, 10, 12]),
        st.sampled_from([0, 1, 2]),
        st.sampled_from([None, 11, 12.5]),
    )
    over = st.sampled_from(["face", "return"])
    butt = st.builds(lambda way: {"kind": "factory edge", "over": way}, over)
    return st.one_of(profile, butt, st.just({"kind": "mitre"}))
