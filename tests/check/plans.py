"""A request and a right plan made by hand, and ways to change a document at one place."""

import copy
from typing import Any

from cutopt.check import check_plan
from cutopt.documents import Plan, Request

Json = dict[str, Any]


def request() -> Json:
    return {
        "format": "cutopt.request/1",
        "tiles": [
            {
                "id": "field",
                "width": 600,
                "height": 300,
                "turn": "half",
                "per_box": 4,
                "price": 4.20,
            }
        ],
        "saw": {"kerf": 2},
        "pieces": [
            {"id": "full", "width": 600, "height": 300, "quantity": 3},
            {
                "id": "end",
                "width": 250,
                "height": 300,
                "quantity": 2,
                "factory_edges": ["right", "top", "bottom"],
            },
            {
                "id": "jamb",
                "width": 347,
                "height": 200,
                "quantity": 2,
                "factory_edges": ["right", "bottom"],
            },
            {
                # Its upper right corner is empty, 200 x 150; it hangs upside down on the tile.
                "id": "window",
                "width": 500,
                "height": 300,
                "factory_edges": ["left", "bottom"],
                "outline": [[0, 0], [500, 0], [500, 150], [300, 150], [300, 300], [0, 300]],
            },
            {"id": "sill", "width": 198, "height": 100, "factory_edges": ["bottom"]},
            {"id": "strip", "width": 198, "height": 46},
            {
                "id": "start",
                "width": 338,
                "height": 300,
                "factory_edges": ["left", "top", "bottom"],
            },
        ],
        "offcuts": [
            {
                "id": "shelf",
                "width": 340,
                "height": 300,
                "factory_edges": ["left", "top", "bottom"],
            },
            {
                "id": "whole",
                "width": 600,
                "height": 300,
                "factory_edges": ["left", "right", "top", "bottom"],
            },
        ],
    }


def plan() -> Json:
    """Return a plan with turns, a shaving, a notch that hosts two pieces, offcuts, leftovers."""
    return {
        "format": "cutopt.plan/1",
        "totals": [
            {
                "tile": "field",
                "tiles_needed": 5,
                "lower_bound": 5,
                "proven_minimal": True,
                "full_tiles": 2,
                "cut_tiles": 3,
                "pieces": 11,
                "cut_pieces": 8,
                "offcuts_used": 2,
                "counted_naively": 11,
                "cuts": 10,
                "boxes": 2,
                "cost": 21,
            }
        ],
        "cut_tiles": [
            {
                "number": 1,
                "tile": "field",
                "stock": "new",
                "count": 2,
                "width": 600,
                "height": 300,
                "factory_edges": ["left", "right", "top", "bottom"],
                "placements": [
                    {"piece": "end", "x": 0, "y": 0, "turn": 180, "part": 1},
                    {"piece": "jamb", "x": 253, "y": 0, "turn": 0, "part": 4},
                ],
                "cuts": [
                    {"part": 0, "way": "vertical", "at": 250, "makes": [1, 2]},
                    # Part 2 begins at 252: of the blade's two millimetres one runs beside it.
                    {"part": 2, "way": "vertical", "at": 251, "makes": [None, 3]},
                    {"part": 3, "way": "horizontal", "at": 200, "makes": [4, 5]},
                ],
                "leftovers": [
                    {
                        "part": 5,
                        "x": 253,
                        "y": 202,
                        "width": 347,
                        "height": 98,
                        "factory_edges": ["right", "top"],
                    }
                ],
            },
            {
                "number": 2,
                "tile": "field",
                "stock": "new",
                "width": 600,
                "height": 300,
                "factory_edges": ["left", "right", "top", "bottom"],
                "placements": [
                    {"piece": "window", "x": 100, "y": 0, "turn": 180, "part": 3},
                    {"piece": "sill", "x": 100, "y": 0, "turn": 0, "part": 5},
                    {"piece": "strip", "x": 100, "y": 102, "turn": 180, "part": 6},
                ],
                "cuts": [
                    {"part": 0, "way": "vertical", "at": 98, "makes": [1, 2]},
                    {
                        "part": 2,
                        "way": "notch",
                        "corner": "bottom-left",
                        "width": 200,
                        "height": 150,
                        "makes": [3, 4],
                    },
                    {"part": 4, "way": "horizontal", "at": 100, "makes": [5, 6]},
                ],
                "leftovers": [
                    {
                        "part": 1,
                        "x": 0,
                        "y": 0,
                        "width": 98,
                        "height": 300,
                        "factory_edges": ["left", "top", "bottom"],
                    }
                ],
            },
            {
                "number": 3,
                "tile": "field",
                "stock": "shelf",
                "width": 340,
                "height": 300,
                "factory_edges": ["left", "top", "bottom"],
                "placements": [{"piece": "start", "x": 0, "y": 0, "turn": 0, "part": 1}],
                "cuts": [{"part": 0, "way": "vertical", "at": 338, "makes": [1, None]}],
            },
            {
                "number": 4,
                "tile": "field",
                "stock": "whole",
                "width": 600,
                "height": 300,
                "factory_edges": ["left", "right", "top", "bottom"],
                "placements": [{"piece": "full", "x": 0, "y": 0, "turn": 0, "part": 0}],
                "cuts": [],
            },
        ],
    }


def changed(document: Json, **changes: Any) -> Json:
    """Return a copy with new values, each at its place, `"cut_tiles/0/count"`."""
    document = copy.deepcopy(document)
    for place, value in changes.items():
        *way, last = (int(step) if step.isdigit() else step for step in place.split("/"))
        target: Any = document
        for step in way:
            target = target[step]
        if value is ...:
            del target[last]
        else:
            target[last] = value
    return document


def without_cuts(document: Json) -> Json:
    """Return a copy as someone else would write it: the fields that are fixed, no more."""
    document = copy.deepcopy(document)
    for cut_tile in document["cut_tiles"]:
        for name in ("cuts", "leftovers", "factory_edges"):
            cut_tile.pop(name, None)
        for placement in cut_tile["placements"]:
            placement.pop("part", None)
    return document


def places(request: Json, plan: Json) -> list[str]:
    """Return the places that the check finds at fault."""
    return [fault.place for fault in check_plan(Request.of(request), Plan.of(plan))]


def rules(request: Json, plan: Json) -> list[str]:
    """Return what the check says at each place."""
    return [str(fault) for fault in check_plan(Request.of(request), Plan.of(plan))]


def total(needed: int, cut_pieces: int, **more: Any) -> Json:
    """Return a total of cut tiles alone."""
    return {
        "tile": "field",
        "tiles_needed": needed,
        "lower_bound": needed,
        "proven_minimal": True,
        "full_tiles": 0,
        "cut_tiles": needed,
        "pieces": cut_pieces,
        "cut_pieces": cut_pieces,
        "offcuts_used": 0,
        "counted_naively": cut_pieces,
        "cuts": 0,
        **more,
    }


Box = tuple[float, float, float, float]


def one_tile(
    boxes: dict[str, Box],
    kerf: float = 2,
    outlines: dict[str, list[list[float]]] | None = None,
    **tile: Any,
) -> tuple[Json, Json]:
    """Return a request for boxes (x, y, width, height) and the plan that lays them on one tile."""
    field = {"id": "field", "width": 600, "height": 300, **tile}
    pieces: list[Json] = [
        {"id": name, "width": width, "height": height}
        for name, (_, _, width, height) in boxes.items()
    ]
    for piece in pieces:
        if outline := (outlines or {}).get(piece["id"]):
            piece["outline"] = outline
    cut_tile = {
        "number": 1,
        "tile": "field",
        "stock": "new",
        "width": field["width"],
        "height": field["height"],
        "placements": [
            {"piece": name, "x": x, "y": y, "turn": 0} for name, (x, y, _, _) in boxes.items()
        ],
    }
    return (
        {"tiles": [field], "saw": {"kerf": kerf}, "pieces": pieces},
        {"totals": [total(1, len(boxes))], "cut_tiles": [cut_tile]},
    )
