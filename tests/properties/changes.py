"""Ways to change a request whose effect on the fewest tiles is known."""

import copy
from collections.abc import Callable
from typing import Any

Json = dict[str, Any]
Point = tuple[float, float]

MIRRORED = {"left": "right", "right": "left", "bottom": "bottom", "top": "top"}
TRANSPOSED = {"left": "bottom", "bottom": "left", "right": "top", "top": "right"}


def mirrored(request: Json) -> Json:
    """Return the request seen in a mirror: left is right."""
    changed = copy.deepcopy(request)
    for item in changed["pieces"] + changed["offcuts"]:
        _change(item, _across(item["width"]), MIRRORED)
    return changed


def _across(width: float) -> Callable[[Point], Point]:
    return lambda point: (width - point[0], point[1])


def transposed(request: Json) -> Json:
    """Return the request mirrored on the diagonal: left is below, widths are heights."""
    changed = copy.deepcopy(request)
    for item in changed["tiles"] + changed["pieces"] + changed["offcuts"]:
        item["width"], item["height"] = item["height"], item["width"]
        _change(item, lambda point: (point[1], point[0]), TRANSPOSED)
    return changed


def _change(item: Json, move: Callable[[Point], Point], sides: dict[str, str]) -> None:
    """Move all points of a piece by a map that turns the sense of outlines round."""
    if "factory_edges" in item:
        item["factory_edges"] = [sides[side] for side in item["factory_edges"]]
    if "outline" in item:
        item["outline"] = [move(point) for point in reversed(item["outline"])]
    for hole in item.get("holes", ()):
        hole["x"], hole["y"] = move((hole["x"], hole["y"]))


def scaled(request: Json, factor: int) -> Json:
    """Return the request with all lengths so many times as long."""
    changed = copy.deepcopy(request)
    changed["saw"]["kerf"] *= factor
    for item in changed["tiles"] + changed["pieces"] + changed["offcuts"]:
        for name in ("width", "height"):
            item[name] *= factor
        if "outline" in item:
            item["outline"] = [(x * factor, y * factor) for x, y in item["outline"]]
        for hole in item.get("holes", ()):
            hole.update({name: hole[name] * factor for name in ("x", "y", "diameter")})
    return changed


def with_turn(request: Json, turn: str) -> Json:
    """Return the request with another turn."""
    return {**request, "tiles": [{**request["tiles"][0], "turn": turn}]}


def with_kerf(request: Json, kerf: float) -> Json:
    """Return the request with another kerf."""
    return {**request, "saw": {"kerf": kerf}}
