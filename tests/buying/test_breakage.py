"""Which cuts a piece goes through, read off its shape, and the chance that follows."""

from collections import Counter
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutopt.buying.breakage import CHANCES, Cuts, chances_of, cuts_of, placed_cuts
from cutopt.documents import CutTile, Request
from cutopt.documents.buying import Breakage
from cutopt.units import MM


def cuts(sawn: int = 0, **fields: Any) -> Cuts:
    """Return the cuts of a piece of 400 x 200 from a tile of 600 x 300, changed by fields."""
    piece = {"id": "p", "width": 400, "height": 200, **fields}
    data = {"tiles": [{"id": "t", "width": 600, "height": 300}], "pieces": [piece]}
    return cuts_of(Request.of({"format": "cutopt.request/1", **data}).pieces[0], sawn)


ELL = [[0, 0], [400, 0], [400, 200], [100, 200], [100, 120], [0, 120]]
RECESS = [[0, 0], [400, 0], [400, 200], [300, 200], [300, 120], [100, 120], [100, 200], [0, 200]]
MITRE = [[0, 0], [400, 0], [300, 200], [0, 200]]
LEG = [[0, 0], [400, 0], [400, 200], [360, 200], [360, 50], [0, 50]]


@pytest.mark.parametrize(
    ("sawn", "fields", "expected"),
    [
        (0, {}, {}),
        (2, {}, {"straight": 2}),
        (2, {"outline": ELL}, {"straight": 2, "notch": 1}),
        (1, {"outline": RECESS}, {"straight": 1, "u-shape": 1}),
        (1, {"outline": MITRE}, {"straight": 1, "slanted": 1}),
        (0, {"outline": LEG}, {"notch": 1, "long thin": 1}),
        (1, {"holes": [{"x": 50, "y": 50, "diameter": 30}]}, {"straight": 1, "round hole": 1}),
        (
            0,
            {"holes": [{"outline": [[50, 50], [90, 50], [90, 90], [50, 90]]}]},
            {"box hole": 1},
        ),
    ],
)
def test_cuts_of_a_shape(sawn: int, fields: dict[str, Any], expected: dict[str, int]) -> None:
    assert cuts(sawn, **fields) == Counter(expected)


@pytest.mark.parametrize(("turn", "straight"), [(0, 0), (90, 1), (180, 1), (270, 0)])
def test_a_side_is_sawn_where_the_piece_runs_along_it(turn: int, straight: int) -> None:
    """A triangle with legs left and below, in the left part of a tile as high as itself.

    Turned once its lower leg stands on the right, turned twice its left one, and is sawn; where
    the box only touches the right, nothing is.
    """
    triangle = {"id": "p", "width": 200, "height": 200, "outline": [[0, 0], [200, 0], [0, 200]]}
    data = {"tiles": [{"id": "t", "width": 300, "height": 200}], "pieces": [triangle]}
    (piece,) = Request.of({"format": "cutopt.request/1", **data}).pieces
    tile = CutTile.model_validate(
        {
            **{"number": 1, "tile": "t", "stock": "new", "width": 300 * MM, "height": 200 * MM},
            "placements": [{"piece": "p", "x": 0, "y": 0, "turn": turn}],
        }
    )
    ((_, found),) = placed_cuts({"p": piece}, tile)
    assert found == +Counter({"slanted": 1, "straight": straight})


def test_a_strip_just_is_narrow_or_just_is_not() -> None:
    assert cuts(1, height=25)["straight"] == 1
    assert cuts(1, height=24.999) == Counter({"narrow strip": 1})


def test_a_piece_just_is_long_and_thin_or_just_is_not() -> None:
    assert cuts(1, width=600, height=100)["long thin"] == 1
    assert cuts(1, width=600, height=100.001)["long thin"] == 0


def test_chances_of_several_cuts_multiply() -> None:
    chances = chances_of("stone", Breakage(straight=0.1, notch=0.2))
    sound = 0.9 * 0.9 * 0.8
    assert chances.of(Counter({"straight": 2, "notch": 1})) == pytest.approx(1 - sound)
    assert chances.of(Counter({"slanted": 1})) == pytest.approx(CHANCES["slanted"]["stone"])


@given(st.dictionaries(st.sampled_from(sorted(CHANCES)), st.integers(0, 5)))
def test_stone_breaks_no_less_than_ceramic(counts: dict[Any, int]) -> None:
    ceramic, porcelain, stone = (
        chances_of(material, Breakage()).of(Counter(counts))
        for material in ("ceramic", "porcelain", "stone")
    )
    assert 0 <= ceramic <= porcelain <= stone < 1
