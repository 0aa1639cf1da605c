"""Lines marked on a part: measured on the part itself, the blade on the side that is said."""

import pytest

from cutopt.reports.marking import marking_text
from cutopt.units import MM

Line = tuple[tuple[int, int], tuple[int, int]]


def mm(*numbers: float) -> tuple[int, ...]:
    return tuple(round(number * MM) for number in numbers)


@pytest.mark.parametrize(
    ("line", "box", "said"),
    [
        (((537.4, 0), (538.2, 297)), (0, 0, 597, 297),
         "537.4 from the left at the bottom and 538.2 from the left at the top; "
         "cut along the line, blade to the right of it"),
        (((256.6, 297), (255.8, 0)), (136, 0, 461, 297),
         "119.8 from the left at the bottom and 120.6 from the left at the top; "
         "cut along the line, blade to the left of it"),
        (((0, 177.4), (597, 179)), (0, 171, 597, 126),
         "6.4 from the bottom at the left and 8 from the bottom at the right; "
         "cut along the line, blade below it"),
        (((597, 40), (0, 40)), (0, 0, 597, 297),
         "40 from the bottom at the left and at the right; cut along the line, blade above it"),
        (((0, 50), (100, 0)), (0, 0, 597, 297),
         "50 from the bottom at the left and 100 from the left at the bottom; "
         "cut along the line, blade below it"),
    ],
)  # fmt: skip
def test_ends_are_measured_on_the_part(line: Line, box: tuple[float, ...], said: str) -> None:
    ends = mm(*line[0]), mm(*line[1])
    assert marking_text(ends, mm(*box), "mm") == f"mark {said}"  # type: ignore[arg-type]


def test_a_line_beside_the_part_is_only_drawn() -> None:
    line = ((0, 900 * MM), (10 * MM, 900 * MM))
    assert marking_text(line, (0, 0, 100 * MM, 100 * MM), "mm") == "cut along the line as drawn"
