"""Right plans with slanted cuts, made by hand.

Slants are sides of 3-4-5 triangles, so that a kerf across them ends on the grid of lengths.
"""

from typing import Any

from tests.check.plans import Json, one_tile

Corners = list[tuple[float, float]]
Shapes = dict[str, tuple[int | None, Corners]]
Case = tuple[Json, Json]


def slanted(shapes: Shapes, cuts: list[Json], **tile: Any) -> Case:
    """Return a request and its plan: shapes as they lie on one tile, each with its part."""
    boxes, outlines = {}, {}
    for name, (_, corners) in shapes.items():
        x, y = (min(axis) for axis in zip(*corners, strict=True))
        right, top = (max(axis) for axis in zip(*corners, strict=True))
        boxes[name] = (x, y, right - x, top - y)
        outlines[name] = [[px - x, py - y] for px, py in corners]
    request, plan = one_tile(boxes, outlines=outlines, **tile)
    cut_tile = plan["cut_tiles"][0]
    cut_tile["cuts"] = cuts
    for placement, (part, _) in zip(cut_tile["placements"], shapes.values(), strict=True):
        placement["part"] = part
    plan["totals"][0]["cuts"] = len(cuts)
    return request, plan


def along(a: tuple[float, float], b: tuple[float, float], part: int, *makes: int | None) -> Json:
    return {"part": part, "way": "slanted", "line": [[*a], [*b]], "makes": [*makes]}


def triangles(width: float = 302.5) -> Case:
    """Return two triangles of 300 x 400: upright, the gap is 2.5 x 400 / 500 = 2, the kerf."""
    return slanted(
        {
            "low": (1, [(0, 0), (300, 0), (0, 400)]),
            "high": (2, [(width - 300, 400), (width, 0), (width, 400)]),
        },
        [along((300, 0), (0, 400), 0, 1, 2)],
        width=width,
        height=400,
    )


def trapezoids() -> Case:
    """Return two trapezoids whose slants run from one long side of the tile to the other."""
    return slanted(
        {
            "left": (1, [(0, 0), (450, 0), (150, 400), (0, 400)]),
            "right": (2, [(452.5, 0), (600, 0), (600, 400), (152.5, 400)]),
        },
        [along((450, 0), (150, 400), 0, 1, 2)],
        height=400,
    )


def pentagon() -> Case:
    """Return a tile less a corner, and the triangle 3 mm beyond: its line is 4x + 3y = 3015."""
    return slanted(
        {
            "pentagon": (1, [(0, 0), (600, 0), (600, 200), (450, 400), (0, 400)]),
            "corner": (2, [(453.75, 400), (600, 205), (600, 400)]),
        },
        [along((600, 200), (450, 400), 0, 1, 2)],
        height=400,
        kerf=3,
    )


def nest_beside_rectangles() -> Case:
    """Return two triangles, trimmed off below rectangles, and rectangles beside them."""
    return slanted(
        {
            "low": (5, [(0, 0), (300, 0), (0, 400)]),
            "high": (6, [(2.5, 400), (302.5, 0), (302.5, 400)]),
            "above": (4, [(0, 402), (302.5, 402), (302.5, 600), (0, 600)]),
            "beside": (2, [(304.5, 0), (600, 0), (600, 600), (304.5, 600)]),
        },
        [
            {"part": 0, "way": "vertical", "at": 302.5, "makes": [1, 2]},
            {"part": 1, "way": "horizontal", "at": 400, "makes": [3, 4]},
            along((300, 0), (0, 400), 3, 5, 6),
        ],
        height=600,
    )


def three_in_a_row() -> Case:
    """Return a triangle between two trapezoids: the middle part lies between two blades."""
    return slanted(
        {
            "left": (1, [(0, 0), (147.5, 0), (297.5, 200), (0, 200)]),
            "middle": (3, [(150, 0), (450, 0), (300, 200)]),
            "right": (4, [(452.5, 0), (600, 0), (600, 200), (302.5, 200)]),
        },
        [
            along((147.5, 0), (297.5, 200), 0, 1, 2),
            # Part 2 keeps its whole width of rectangle, so the second slant runs through it.
            along((450, 0), (300, 200), 2, 3, 4),
        ],
        height=200,
    )


CASES = [triangles, trapezoids, pentagon, nest_beside_rectangles, three_in_a_row]
