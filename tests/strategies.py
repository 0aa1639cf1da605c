"""Random small requests for properties: every kind of piece, every turn, offcuts, kerf or none.

Each is a plain JSON document, so that a test can change it before it is read.
"""

from typing import Any

from hypothesis import strategies as st

Json = dict[str, Any]
SIDES = ("left", "right", "bottom", "top")


@st.composite
def requests(draw: st.DrawFn, *, slanted: bool = False) -> Json:
    """Draw a request for one tile of a few pieces, all of which fit it as they hang."""
    width, height = draw(st.integers(40, 120)), draw(st.integers(40, 120))
    return {
        "format": "cutopt.request/1",
        "tiles": [{"id": "field", "width": width, "height": height, "turn": draw(TURNS)}],
        "saw": {"kerf": draw(st.sampled_from([0, 1, 2, 2.5]))},
        "pieces": [
            {"id": f"p{number}", **draw(pieces(width, height, slanted))}
            for number in range(draw(st.integers(1, 5)))
        ],
        "offcuts": [
            {"id": f"o{number}", **draw(offcuts(width, height))}
            for number in range(draw(st.sampled_from([0, 0, 1, 2])))
        ],
    }


TURNS = st.sampled_from(["none", "half", "quarter"])


@st.composite
def pieces(draw: st.DrawFn, width: int, height: int, slanted: bool) -> Json:
    """Draw a piece; it wants opposite factory edges only where it is as large as its tile."""
    wide = width if draw(st.integers(0, 4)) == 0 else draw(st.integers(10, width))
    high = height if draw(st.integers(0, 4)) == 0 else draw(st.integers(10, height))
    sides = draw(st.lists(st.sampled_from(SIDES), unique=True, max_size=2))
    if wide < width and {"left", "right"} <= set(sides):
        sides.remove("left")
    if high < height and {"bottom", "top"} <= set(sides):
        sides.remove("bottom")
    piece = {"width": wide, "height": high, "factory_edges": sides}
    piece["quantity"] = draw(st.sampled_from([1, 1, 1, 2, 3]))
    shapes = ["box", "box", "notched", "holed", "u"] + ["slanted"] * (4 if slanted else 0)
    return {**piece, **draw(_shape(wide, high, draw(st.sampled_from(shapes))))}


@st.composite
def _shape(draw: st.DrawFn, wide: int, high: int, shape: str) -> Json:
    if shape == "holed":
        return {"holes": [{"x": wide / 2, "y": high / 2, "diameter": 5}]}
    x, y = draw(st.integers(1, wide - 1)), draw(st.integers(1, high - 1))
    if shape == "slanted":
        return {"outline": draw(st.sampled_from(slants(wide, high, x, y)))}
    if shape == "notched":
        other = draw(st.integers(1, wide - x)), draw(st.integers(1, high - 1))
        return {"outline": notched(wide, high, (x, y), draw(st.sampled_from([None, other])))}
    if shape == "u":
        outline = [(0, 0), (3, 0), (3, y), (6, y), (6, 0), (wide, 0), (wide, high), (0, high)]
        return {"outline": outline}
    return {}


def notched(
    wide: int, high: int, first: tuple[int, int], second: tuple[int, int] | None
) -> list[tuple[int, int]]:
    """Return a box with its lower left corner cut out, and perhaps its lower right one."""
    x, y = first
    corner = [(wide, 0)]
    if second and x + second[0] < wide:
        across, up = second
        corner = [(wide - across, 0), (wide - across, up), (wide, up)]
    return [(x, y), (x, 0), *corner, (wide, high), (0, high), (0, y)]


def slants(wide: int, high: int, x: int, y: int) -> list[list[tuple[int, int]]]:
    """Return triangles, trapezoids and a box that lacks a slanted corner."""
    return [
        [(0, 0), (wide, 0), (0, high)],
        [(wide, 0), (wide, high), (0, high)],
        [(0, 0), (wide, 0), (wide, high), (x, high)],
        [(0, 0), (x, 0), (wide, high), (0, high)],
        [(0, 0), (wide, 0), (wide, y), (x, high), (0, high)],
        [(x, 0), (wide, high), (0, high)],
    ]


@st.composite
def offcuts(draw: st.DrawFn, width: int, height: int) -> Json:
    """Draw an offcut of a tile."""
    return {
        "width": draw(st.integers(10, width)),
        "height": draw(st.integers(10, height)),
        "quantity": draw(st.sampled_from([1, 1, 2])),
        "factory_edges": draw(st.lists(st.sampled_from(SIDES), unique=True)),
    }
