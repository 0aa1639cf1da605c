"""Labels: where on a piece there is room, what fits it, and marks beside the tile."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt.plane import Rect, is_inside
from cutopt.reports.lettering import Space, fitted, in_lines, width_of
from cutopt.reports.marks import RADIUS, Mark, beside
from cutopt.reports.rooms import overlap, rooms_within
from cutopt.reports.svg import INK

BOX = Rect(0, 0, 500, 300)
L_SHAPE = [(0, 0), (500, 0), (500, 150), (300, 150), (300, 300), (0, 300)]
TRIANGLE = [(0, 0), (500, 0), (0, 300)]
TRAPEZOID = [(0, 0), (500, 0), (400, 300), (100, 300)]

rects = st.builds(
    Rect, st.integers(0, 450), st.integers(0, 250), st.integers(1, 200), st.integers(1, 200)
)


def test_a_plain_piece_is_its_own_room() -> None:
    assert rooms_within(BOX.corners, BOX, []) == [BOX]


def test_an_l_has_two_rooms() -> None:
    assert rooms_within(L_SHAPE, BOX, [])[:2] == [Rect(0, 0, 300, 300), Rect(0, 0, 500, 150)]


def test_no_room_is_left() -> None:
    assert rooms_within(BOX.corners, BOX, [BOX]) == []


@given(st.sampled_from([BOX.corners, L_SHAPE, TRIANGLE, TRAPEZOID]), st.lists(rects, max_size=4))
def test_rooms_lie_inside_and_clear(outline: list[tuple[int, int]], taken: list[Rect]) -> None:
    outer = [(4 * x, 4 * y) for x, y in outline]
    for room in rooms_within(outline, BOX, taken):
        assert not any(overlap(room, rect) for rect in taken)
        shrunk = Rect(4 * room.x + 1, 4 * room.y + 1, 4 * room.width - 2, 4 * room.height - 2)
        assert all(is_inside(corner, outer) for corner in shrunk.corners)


def test_a_label_prefers_to_be_large_and_upright() -> None:
    label = fitted("A-1-2", "250 × 300", [Space(0, 0, 60, 30)])
    assert label is not None
    assert (label.size, label.upright, len(label.rows)) == (5.0, True, 2)
    assert label.centre == (30, 15)


@pytest.mark.parametrize(
    ("width", "height", "upright", "rows"),
    [(60, 5.5, True, 1), (5.5, 60, False, 1), (16, 60, False, 2), (24, 24, True, 2)],
)
def test_a_label_suits_its_space(width: float, height: float, upright: bool, rows: int) -> None:
    label = fitted("A-1-2", "250 × 300", [Space(0, 0, width, height)])
    assert label is not None
    assert (label.upright, len(label.rows)) == (upright, rows)


def test_a_long_name_takes_several_rows() -> None:
    label = fitted("behind-the-cupboard", "250 × 300", [Space(0, 0, 24, 24)])
    assert label is not None
    assert len(label.rows) > 2


def test_what_fits_nowhere_has_no_label() -> None:
    assert fitted("A-1-2", "250 × 300", [Space(0, 0, 60, 2), Space(0, 0, 8, 8)]) is None
    assert fitted("A-1-2", "250 × 300", []) is None


@given(
    st.text(st.characters(min_codepoint=32, max_codepoint=0x2FFF), max_size=60),
    st.floats(1, 90),
    st.floats(1, 90),
    st.booleans(),
)
def test_no_label_is_larger_than_its_space(
    name: str, width: float, height: float, arrow: bool
) -> None:
    label = fitted(name, "250 × 300", [Space(5, 7, width, height)], arrow)
    if label is not None:
        assert label.box[0] < width
        assert label.box[1] < height
        assert "".join(words for row in label.rows for words, bold in row if bold).split() or (
            not name.strip()
        )


def test_widths_grow_with_size_and_weight() -> None:
    assert width_of("A-1", 4) == 2 * width_of("A-1", 2)
    assert width_of("A-1", 4, bold=True) > width_of("A-1", 4)
    assert width_of("窓", 1) > width_of("a", 1)
    assert width_of("e\u0301", 1) == width_of("e", 1)


@settings(max_examples=50)
@given(st.text(max_size=80), st.floats(5, 60))
def test_lines_fit(text: str, room: float) -> None:
    assert all(width_of(line, 3) <= room for line in in_lines(text, room, 3))


FRAME = (0.0, 0.0, 80.0, 40.0)


def places(alongs: list[float], is_cut: bool = True) -> list[float]:
    """Return where marks stand along the bottom, read off their white circles."""
    words = [str(at) for at in range(len(alongs))]
    marks = [
        Mark(word, along, ((along, 40.0),), is_cut)
        for word, along in zip(words, alongs, strict=True)
    ]
    drawn = beside(marks, "bottom", FRAME)
    circles = [mark for mark in drawn if mark.startswith("<circle") and f'fill="{INK}"' not in mark]
    return [float(mark.split('cx="')[1].split('"')[0]) for mark in circles]


def test_marks_with_room_stand_where_they_belong() -> None:
    assert places([10, 40, 79]) == [10, 40, 79]


def test_marks_that_would_touch_move_apart_around_their_middle() -> None:
    assert places([20, 21]) == [20.5 - RADIUS - 0.1, 20.5 + RADIUS + 0.1]


@given(st.lists(st.floats(0, 80), max_size=40))
def test_marks_never_touch_nor_run_off(alongs: list[float]) -> None:
    found = places(alongs)
    assert found == sorted(found)
    assert all(b - a >= 2 * RADIUS for a, b in pairwise(found))
    assert all(-RADIUS - 0.01 <= place <= 80 + RADIUS + 0.01 for place in found)


def test_letters_that_are_alike_share_a_mark() -> None:
    marks = [Mark("a", along, ((along, 38.0),), is_cut=False) for along in (10.0, 14.0, 18.0)]
    drawn = beside(marks, "bottom", FRAME)
    assert len([mark for mark in drawn if mark.startswith("<text")]) == 1
    assert len([mark for mark in drawn if mark.startswith("<line")]) == 3
