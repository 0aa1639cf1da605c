"""Worked examples whose answer is published, as whole plans."""

from collections.abc import Sequence

import pytest

from tests.building import Wanted, proven, request, total

#: J. E. Beasley, Journal of the Operational Research Society 36, 1985: gcut1, a square of 250.
GCUT1: list[Wanted] = [
    *((167, 184, 1), (114, 118, 1), (167, 152, 1), (83, 140, 1), (70, 86, 1)),
    *((143, 166, 1), (120, 160, 1), (66, 148, 1), (87, 141, 1), (69, 165, 1)),
]


@pytest.mark.parametrize(("turn", "sheets"), [("none", 5), ("quarter", 4)])
def test_gcut1_each_piece_once(turn: str, sheets: int) -> None:
    """Fewest squares for the ten pieces of gcut1, once each, cut edge to edge.

    Source: data as above. 5 fixed is the value of the bin packing literature (from memory);
    both were found independently by a program of our own that tries everything.
    """
    assert proven(request((250, 250), GCUT1, turn=turn)) == sheets


@pytest.mark.parametrize(("kerf", "tiles"), [("0 in", 184), ("1/16 in", 186), ("1/8 in", 186)])
def test_a_line_of_184_in_and_twelve_courses(kerf: str, tiles: int) -> None:
    """A field 184 in by 12 courses of 12 in tiles: 15 full ones a course and a strip of 4 in.

    Source: a consumer how-to that counts 16 x 12 = 192 and adds 10 % to 212. With the strips
    taken three to a tile it is 184; a kerf leaves room for two only and makes it 186
    (12 x 15 full tiles and 12 strips of 4 in: own arithmetic).
    """
    pieces: list[Wanted] = [(12, 12, 180), (4, 12, 12)]
    only = total(request((12, 12), pieces, kerf=kerf, units="in"))
    assert (only.tiles_needed, only.proven_minimal) == (tiles, True)
    assert (only.full_tiles, only.counted_naively) == (180, 192)


def test_a_floor_of_6_by_1_8_m() -> None:
    """A floor of 6 m x 1.8 m in tiles of 0.5 m takes 48, though 44 have its area.

    Source: a school text on mensuration (12 x 4 = 48). The strips are 0.3 m and leave 0.2 m.
    """
    pieces: list[Wanted] = [("0.5 m", "0.5 m", 36), ("0.5 m", "0.3 m", 12)]
    assert proven(request(("0.5 m", "0.5 m"), pieces)) == 48


@pytest.mark.parametrize(
    ("side", "across", "upwards", "tiles"), [("0.5 m", 6, 8, 48), ("0.15 m", 36, 27, 972)]
)
def test_floors_of_whole_tiles(side: str, across: int, upwards: int, tiles: int) -> None:
    """Floors of 3 m x 4 m and 5.4 m x 4.05 m that whole tiles fill.

    Source: a school text on mensuration for class 6, example 16.
    """
    only = total(request((side, side), [(side, side, across * upwards)]))
    assert (only.tiles_needed, only.full_tiles, only.cuts) == (tiles, tiles, 0)


def bars(length: float, cut: Sequence[tuple[float, int]], height: float = 10) -> int:
    """Return how many bars a list of lengths takes, as strips of one height without kerf."""
    pieces: list[Wanted] = [(width, height, quantity) for width, quantity in cut]
    return proven(request((length, height), pieces))


def test_bars_of_100() -> None:
    """Raws of 100 units.

    Source: V. Chvatal, Linear Programming, Freeman 1983, chapter 13; relaxation 452.25 as in the
    book, its integer optimum 453 confirmed by an exact solve of our own.
    """
    assert bars(100, [(45, 97), (36, 610), (31, 395), (14, 211)]) == 453


def test_master_rolls_of_5600_mm() -> None:
    """Paper rolls.

    Source: the encyclopaedia article on the cutting stock problem: 73 rolls, 308 patterns.
    """
    widths = [
        *((1380, 22), (1520, 25), (1560, 12), (1710, 14), (1820, 18), (1880, 18), (1930, 20)),
        *((2000, 10), (2050, 12), (2100, 14), (2140, 16), (2150, 18), (2200, 20)),
    ]
    assert sum(width * quantity for width, quantity in widths) == 407_160
    assert bars(5600, widths) == 73


def test_boards_of_17_units() -> None:
    """Boards.

    Source of the data: lecture notes after a textbook of operations research (Winston). The
    answer is own: relaxation 55/3, integer 19.
    """
    assert bars(17, [(3, 25), (5, 20), (9, 15)]) == 19


def test_logs_of_40_units() -> None:
    """Logs.

    Source of the data: the documentation of a numerical package. Published 89 (from memory);
    an exact solve of our own: relaxation 88.3, integer 89.
    """
    assert bars(40, [(8, 90), (12, 111), (16, 55), (20, 30)]) == 89


@pytest.mark.parametrize(("length", "lengths"), [(300, 2), (250, 2), (180, 3)])
def test_tile_trim_without_joins(length: float, lengths: int) -> None:
    """Runs of tile trim in centimetres, none joined.

    Source: a do-it-yourself page: total 4.77 m, and two lengths of 3 m leave over 1 m. The
    other two lengths: an exact solve of our own.
    """
    runs = [53, 25, 90, 25, 35, 168, 81]
    assert sum(runs) == 477
    assert bars(length, [(run, 1) for run in runs]) == lengths
