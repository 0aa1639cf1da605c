"""Plans without cuts: what straight cuts part, what lies in a notch, and what does not."""

from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tests.check.plans import changed, one_tile, places, rules

LEAST = 0.000125  # 1/8000 mm, the grid of all lengths


@pytest.mark.parametrize(
    ("x", "width", "found"),
    [
        (302, 298, []),
        (302 - LEAST, 298, ["/cut_tiles/0/placements/1"]),
        (302, 298 + LEAST, ["/cut_tiles/0/placements/1/x"]),
    ],
)
def test_two_pieces_lie_a_kerf_apart_within_the_tile(
    x: float, width: float, found: list[str]
) -> None:
    boxes = {"a": (0.0, 0.0, 300.0, 300.0), "b": (x, 0.0, width, 300.0)}
    assert places(*one_tile(boxes)) == found


@pytest.mark.parametrize(
    ("y", "height", "found"),
    [
        (102, 198, []),
        (102 - LEAST, 198, ["/cut_tiles/0/placements/1"]),
        (102, 198 + LEAST, ["/cut_tiles/0/placements/1/y"]),
    ],
)
def test_the_same_upwards(y: float, height: float, found: list[str]) -> None:
    boxes = {"a": (0.0, 0.0, 600.0, 100.0), "b": (0.0, y, 600.0, height)}
    assert places(*one_tile(boxes)) == found


@pytest.mark.parametrize("gap", [2, 2 - LEAST])
@pytest.mark.parametrize("width", [40, 290])
@pytest.mark.parametrize("shift", [-1, 0, 1])
@pytest.mark.parametrize("axis", [0, 1])
def test_the_kerf_counts_whichever_way_pieces_lie(
    gap: float, width: float, shift: float, axis: int
) -> None:
    """Long and short sides next to each other, either piece a little ahead."""
    first, second = (10.0, 10.0), (10.0 + 100 + gap, 10.0 + shift)
    size = (100.0, width)
    boxes = {"a": (*first, *size), "b": (*second, *size)}
    if axis:
        boxes = {name: (y, x, high, wide) for name, (x, y, wide, high) in boxes.items()}
    found = places(*one_tile(boxes, height=600))
    assert found == ([] if gap == 2 else ["/cut_tiles/0/placements/1"])


def test_without_kerf_pieces_may_touch() -> None:
    boxes = {"a": (0.0, 0.0, 300.0, 300.0), "b": (300.0, 0.0, 300.0, 300.0)}
    assert places(*one_tile(boxes, kerf=0)) == []
    boxes["b"] = (300 - LEAST, 0.0, 300.0, 300.0)
    assert places(*one_tile(boxes, kerf=0)) == ["/cut_tiles/0/placements/1"]


def test_a_piece_may_not_begin_outside_the_tile() -> None:
    assert places(*one_tile({"a": (-LEAST, 0, 9, 9)})) == ["/cut_tiles/0/placements/0/x"]
    assert places(*one_tile({"a": (0, -LEAST, 9, 9)})) == ["/cut_tiles/0/placements/0/y"]


def test_each_piece_names_the_first_that_it_is_too_close_to() -> None:
    heap: dict[str, tuple[float, float, float, float]] = {
        f"p{number}": (0, 0, 50, 50) for number in range(300)
    }
    assert len(places(*one_tile(heap))) == 299


PINWHEEL = {
    "west": (0.0, 0.0, 100.0, 200.0),
    "north": (0.0, 202.0, 200.0, 98.0),
    "east": (202.0, 100.0, 98.0, 200.0),
    "south": (102.0, 0.0, 198.0, 98.0),
    "middle": (102.0, 100.0, 98.0, 100.0),
}


def test_a_pinwheel_is_parted_by_no_straight_cut() -> None:
    found = rules(*one_tile(PINWHEEL))
    assert found == [
        "/cut_tiles/0/placements: 5 pieces: "
        "no straight cut parts these pieces: west, north, east, south, middle"
    ]


def test_a_pinwheel_beside_another_piece_is_named_alone() -> None:
    found = rules(*one_tile({"far": (302, 0, 298, 300), **PINWHEEL}))
    assert len(found) == 1
    assert "far" not in found[0]


def test_a_pinwheel_is_found_beside_pieces_that_can_be_parted() -> None:
    pair: dict[str, tuple[float, float, float, float]] = {
        "lower": (302, 0, 298, 149),
        "upper": (302, 151, 298, 149),
    }
    assert len(rules(*one_tile({**PINWHEEL, **pair}))) == 1


@pytest.mark.parametrize("missing", PINWHEEL)
def test_a_pinwheel_with_a_piece_less_is_parted_when_its_rim_is_broken(missing: str) -> None:
    boxes = {name: box for name, box in PINWHEEL.items() if name != missing}
    assert bool(places(*one_tile(boxes))) is (missing == "middle")


def test_a_gap_narrower_than_the_kerf_lets_no_blade_through() -> None:
    """Any two lie 2 mm apart; all that the line at 100 lacks is a millimetre beside north."""
    narrow = {**PINWHEEL, "north": (101.0, 202.0, 99.0, 98.0)}
    assert len(rules(*one_tile(narrow))) == 1
    wide = {**PINWHEEL, "north": (102.0, 202.0, 98.0, 98.0)}
    assert rules(*one_tile(wide)) == []


def test_a_spiral_is_parted_piece_by_piece() -> None:
    boxes: dict[str, tuple[float, float, float, float]] = {}
    x = y = 0.0
    for number in range(100):
        boxes[f"column {number}"] = (x, y, 2, 600 - y)
        x += 4
        boxes[f"row {number}"] = (x, y, 600 - x, 2)
        y += 4
    assert places(*one_tile(boxes, height=600)) == []
    boxes["row 99"] = (boxes["row 99"][0] - LEAST, *boxes["row 99"][1:])
    assert places(*one_tile(boxes, height=600)) == ["/cut_tiles/0/placements/199"]


Cells = list[tuple[int, int, int, int]]


@st.composite
def scattered(draw: Any) -> Cells:
    """Draw boxes on a grid that do not overlap, pinwheels among them."""
    boxes: Cells = draw(st.sampled_from([[], [(0, 0, 1, 2), (0, 2, 2, 1), (2, 1, 1, 2)]]))
    drawn = st.tuples(*[st.integers(0, 4)] * 2, *[st.integers(1, 3)] * 2)
    for x, y, width, height in draw(st.lists(drawn, max_size=8)):
        if all(
            x >= left + wide or left >= x + width or y >= low + high or low >= y + height
            for left, low, wide, high in boxes
        ):
            boxes = [*boxes, (x, y, width, height)]
    return boxes


def _separable(boxes: Cells) -> bool:
    """Try every cut and both sides of it."""
    if len(boxes) < 2:
        return True
    for axis in (0, 1):
        for at in range(1, 8):
            first = [box for box in boxes if box[axis] + box[axis + 2] <= at]
            second = [box for box in boxes if box[axis] >= at]
            parted = first and second and len(first) + len(second) == len(boxes)
            if parted and _separable(first) and _separable(second):
                return True
    return False


@given(scattered())
def test_cuts_are_found_exactly_when_trying_all_finds_some(cells: Cells) -> None:
    boxes = {
        f"p{number}": (40.0 * x, 40.0 * y, 40.0 * width - 2, 40.0 * height - 2)
        for number, (x, y, width, height) in enumerate(cells)
    }
    assume(boxes)
    assert (places(*one_tile(boxes)) == []) is _separable(cells)


L_SHAPE: list[list[float]] = [[0, 0], [400, 0], [400, 300], [200, 300], [200, 150], [0, 150]]


@pytest.mark.parametrize(
    ("inner", "fits"),
    [
        ((0, 152, 198, 148), True),
        ((0, 152, 198 + LEAST, 148), False),
        ((0, 152 - LEAST, 198, 148), False),
        ((1, 153, 100, 100), True),
    ],
)
def test_a_piece_may_lie_in_the_empty_corner_of_another(
    inner: tuple[float, float, float, float], fits: bool
) -> None:
    boxes = {"l": (0.0, 0.0, 400.0, 300.0), "inner": inner}
    found = places(*one_tile(boxes, outlines={"l": L_SHAPE}))
    assert found == ([] if fits else ["/cut_tiles/0/placements/1"])


@pytest.mark.parametrize("inner", [(9, 152, 150, 148), (10, 153, 150, 148)])
def test_a_piece_in_a_corner_stays_within_the_box(inner: tuple[float, float, float, float]) -> None:
    boxes = {"l": (10.0, 0.0, 400.0, 300.0), "inner": inner}
    found = places(*one_tile(boxes, height=400, outlines={"l": L_SHAPE}))
    assert found == ["/cut_tiles/0/placements/1"]
    boxes["inner"] = (10, 152, 150, 148)
    assert places(*one_tile(boxes, height=400, outlines={"l": L_SHAPE})) == []
    # The same upside down: the empty corner lies at the lower right.
    upside_down = [[400 - x, 300 - y] for x, y in L_SHAPE]
    x, y, width, height = inner
    boxes = {
        "l": (90.0, 100.0, 400.0, 300.0),
        "inner": (500 - x - width, 400 - y - height, 150, 148),
    }
    found = places(*one_tile(boxes, height=400, outlines={"l": upside_down}))
    assert found == ["/cut_tiles/0/placements/1"]


def test_pieces_in_one_corner_are_parted_by_straight_cuts_too() -> None:
    boxes = {"l": (0.0, 0.0, 400.0, 300.0)}
    for name, (x, y, width, height) in PINWHEEL.items():
        boxes[name] = (0.4 * x, 152 + 0.4 * y, 0.4 * width, 0.4 * height)
    found = rules(*one_tile(boxes, kerf=0.8, outlines={"l": L_SHAPE}))
    assert len(found) == 1
    assert "no straight cut parts these pieces: west, north" in found[0]


def test_a_notch_within_a_notch() -> None:
    boxes = {
        "l": (0.0, 0.0, 400.0, 300.0),
        "ll": (0.0, 152.0, 198.0, 148.0),
        "inner": (0.0, 228.0, 98.0, 72.0),
    }
    outlines: dict[str, list[list[float]]] = {
        "l": L_SHAPE,
        "ll": [[0, 0], [198, 0], [198, 148], [100, 148], [100, 74], [0, 74]],
    }
    assert places(*one_tile(boxes, outlines=outlines)) == []
    boxes["inner"] = (0, 228 - LEAST, 98, 72)
    assert places(*one_tile(boxes, outlines=outlines)) == ["/cut_tiles/0/placements/2"]


def test_one_notch_frees_all_that_lies_in_a_corner() -> None:
    stairs: list[list[float]] = [[0, 0], [400, 0], [400, 300], [300, 300]]
    stairs += [[300, 200], [200, 200], [200, 100], [0, 100]]
    wide, tall = (0.0, 102.0, 198.0, 96.0), (0.0, 202.0, 298.0, 98.0)
    low = {"stairs": (0.0, 0.0, 400.0, 300.0), "a": wide}
    assert places(*one_tile(low, outlines={"stairs": stairs})) == []
    both = {**low, "b": tall}
    found = rules(*one_tile(both, outlines={"stairs": stairs}))
    assert len(found) == 1
    assert "no single notch in piece 'stairs' frees these pieces: a, b" in found[0]


@pytest.mark.parametrize(("x", "fits"), [(100.8285, True), (100.8285 - LEAST, False)])
def test_a_piece_may_lie_beside_a_slant(x: float, fits: bool) -> None:
    """A slanted cut parts the two: (x + 102 - 200) / sqrt(2) is 2 for x = 100.82843."""
    boxes = {"triangle": (0.0, 0.0, 200.0, 200.0), "inner": (x, 102.0, 50.0, 98.0)}
    found = places(*one_tile(boxes, outlines={"triangle": [[0, 0], [200, 0], [0, 200]]}))
    assert found == ([] if fits else ["/cut_tiles/0/placements/1"])


def test_the_tongue_of_a_u_hosts_nothing() -> None:
    u_shape: list[list[float]] = [[0, 0], [400, 0], [400, 300], [300, 300]]
    u_shape += [[300, 100], [100, 100], [100, 300], [0, 300]]
    boxes = {"u": (0.0, 0.0, 400.0, 300.0), "inner": (150.0, 150.0, 50.0, 150.0)}
    assert places(*one_tile(boxes, outlines={"u": u_shape})) == ["/cut_tiles/0/placements/1"]


def test_factory_edges_of_an_offcut_are_its_own() -> None:
    request, plan = one_tile({"a": (0, 0, 200, 300)})
    request["offcuts"] = [{"id": "o", "width": 200, "height": 300, "factory_edges": ["left"]}]
    plan = changed(plan, **{"cut_tiles/0/stock": "o", "cut_tiles/0/width": 200})
    plan = changed(
        plan, **{f"totals/0/{name}": 0 for name in ("tiles_needed", "lower_bound", "cut_tiles")}
    )
    plan = changed(plan, **{"totals/0/offcuts_used": 1})
    request["pieces"][0]["factory_edges"] = ["left"]
    assert places(request, plan) == []
    request["pieces"][0]["factory_edges"] = ["left", "right"]
    assert places(request, plan) == ["/cut_tiles/0/placements/0"]
