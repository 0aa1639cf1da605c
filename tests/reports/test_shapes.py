"""Shapes in words: each kind of cut-out named, nothing left unsaid."""

from typing import Any

import pytest

from cutopt.documents import Piece
from cutopt.reports.shapes import remarks_of, shape_of
from cutopt.reports.words import NO_BREAK
from tests.reports.samples import one_request

L_SHAPE = [[0, 0], [500, 0], [500, 150], [300, 150], [300, 300], [0, 300]]
U_SHAPE = [[0, 0], [500, 0], [500, 300], [300, 300], [300, 200], [100, 200], [100, 300], [0, 300]]
T_SHAPE = [[200, 0], [300, 0], [300, 200], [500, 200], [500, 300], [0, 300], [0, 200], [200, 200]]
STEPS = [[0, 0], [500, 0], [500, 100], [400, 100], [400, 200], [300, 200], [300, 300], [0, 300]]
SLANTED = [[0, 0], [500, 0], [100, 300], [0, 300]]
LEANING = [[0, 0], [500, 0], [400, 300], [100, 300]]


def piece(**more: Any) -> Piece:
    return one_request({"id": "it", "width": 500, "height": 300, **more}).pieces[0]


def remarks(turn: int = 0, **more: Any) -> list[str]:
    found = remarks_of(shape_of(piece(**more), turn), "mm", exact=True)
    return [text.replace(NO_BREAK, " ") for text in found]


@pytest.mark.parametrize(
    ("outline", "expected"),
    [
        (None, []),
        ([[0, 0], [250, 0], [500, 0], [500, 300], [0, 300]], []),
        (L_SHAPE, ["notch 200 x 150, upper right"]),
        (T_SHAPE, ["notch 200 x 200, lower right", "notch 200 x 200, lower left"]),
        (U_SHAPE, ["slot 200 x 100 in the top, 100 from left"]),
        (SLANTED, ["right side slanted: 500 wide at the bottom, 100 at the top"]),
        (LEANING, ["corners (from left, from bottom) at 0, 0; 500, 0; 400, 300; 100, 300"]),
    ],
)
def test_outlines(outline: list[list[int]] | None, expected: list[str]) -> None:
    assert sorted(remarks(outline=outline) if outline else remarks()) == sorted(expected)


def test_steps_are_listed_corner_by_corner() -> None:
    (remark,) = remarks(outline=STEPS)
    assert remark.startswith("corners")
    assert remark.count(";") == len(STEPS) - 1


@pytest.mark.parametrize(
    ("turn", "expected"),
    [
        (0, "slot 200 x 100 in the top, 100 from left"),
        (90, "slot 100 x 200 in the left, 100 from bottom"),
        (180, "slot 200 x 100 in the bottom, 200 from left"),
        (270, "slot 100 x 200 in the right, 200 from bottom"),
    ],
)
def test_a_slot_turns_with_its_piece(turn: int, expected: str) -> None:
    assert remarks(turn, outline=U_SHAPE) == [expected]


@pytest.mark.parametrize(
    ("turn", "corner"),
    [(0, "upper right"), (90, "upper left"), (180, "lower left"), (270, "lower right")],
)
def test_a_notch_turns_with_its_piece(turn: int, corner: str) -> None:
    assert remarks(turn, outline=L_SHAPE)[0].endswith(corner)


def test_holes() -> None:
    holes = [
        {"x": 120, "y": 80, "diameter": 60},
        {"outline": [[300, 100], [380, 100], [380, 160], [300, 160]]},
        {"outline": [[300, 200], [380, 200], [340, 260]]},
    ]
    assert remarks(holes=holes) == [
        "hole diameter 60, centre 120 from left, 80 from bottom",
        "hole 80 x 60, 300 from left, 100 from bottom",
        "hole with corners (from left, from bottom) at 300, 200; 380, 200; 340, 260",
    ]
    assert remarks(90, holes=holes[:1]) == [
        "hole diameter 60, centre 220 from left, 120 from bottom"
    ]


@pytest.mark.parametrize(
    ("outline", "said"),
    [
        (
            [[0, 0], [499.26, 0], [500, 300], [0, 300]],
            "right side slanted: 499.3 wide at the bottom, 500 at the top",
        ),
        (
            [[0.74, 0], [500, 0], [500, 300], [0, 300]],
            "left side slanted: 499.3 wide at the bottom, 500 at the top",
        ),
        (
            [[0, 0], [500, 0], [500, 300], [0, 298.5]],
            "top slanted: 298.5 high at the left, 300 at the right",
        ),
        (
            [[0, 0], [500, 100], [500, 300], [0, 300]],
            "bottom slanted: 300 high at the left, 200 at the right",
        ),
    ],
)
def test_one_slanted_side_is_told_by_what_is_left_at_its_ends(
    outline: list[list[float]], said: str
) -> None:
    assert remarks_of(shape_of(piece(outline=outline)), "mm") == [said]


def test_lengths_are_read_off_a_rule_unless_they_must_be_exact() -> None:
    corners = [[0, 0], [500, 0], [500, 123.456], [300, 123.456], [300, 300], [0, 300]]
    shape = shape_of(piece(outline=corners))
    (read,), (exact,) = remarks_of(shape, "mm"), remarks_of(shape, "mm", exact=True)
    assert read.replace(NO_BREAK, " ") == "notch 200 × 176.5, upper right"
    assert exact.replace(NO_BREAK, " ") == "notch 200 x 176.544, upper right"
