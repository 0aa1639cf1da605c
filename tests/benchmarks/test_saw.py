"""Straight cuts of the greedy baselines: sizes, kerf, factory edges, turns."""

from typing import Any

import pytest

from benchmarks.saw import ALL, Part, Wanted, cut, leftovers
from cutopt.documents import Side

TILE = Part(600, 300)


def sides(*names: Any) -> frozenset[Side]:
    return frozenset(names)


def test_a_cut_takes_the_kerf_from_the_rest_and_leaves_sawn_edges() -> None:
    kept, rest = cut(TILE, "left", 250, 2)
    assert kept == Part(250, 300, ALL - {"right"})
    assert rest == Part(348, 300, ALL - {"left"})


def test_a_cut_from_above_leaves_the_upper_part_its_upper_edge() -> None:
    kept, rest = cut(TILE, "top", 100, 2)
    assert kept == Part(600, 100, ALL - {"bottom"})
    assert rest == Part(600, 198, ALL - {"top"})


@pytest.mark.parametrize(("length", "left"), [(597, 1), (598, None), (599, None)])
def test_what_the_blade_uses_up_is_no_part(length: int, left: int | None) -> None:
    kept, rest = cut(TILE, "left", length, 2)
    assert kept.factory == ALL - {"right"}
    assert (rest and rest.width) == left


def test_no_cut_where_the_part_is_just_so_long() -> None:
    assert cut(TILE, "left", 600, 2) == (TILE, None)


def test_the_cut_that_leaves_the_largest_part_is_taken() -> None:
    # 500 x 100 from 600 x 300: first along the length, so that 600 x 198 is left in one part.
    left = leftovers(TILE, Wanted(500, 100), 2)
    assert left is not None
    assert [(part.width, part.height) for part in left] == [(600, 198), (98, 100)]


@pytest.mark.parametrize(
    ("wanted", "fits"),
    [
        (Wanted(300, 300, sides("left", "top", "bottom")), True),
        (Wanted(600, 100, sides("left", "right")), True),
        (Wanted(599, 100, sides("left", "right")), False),
        (Wanted(300, 299, sides("top", "bottom")), False),
        (Wanted(301, 300), True),
        (Wanted(601, 300), False),
    ],
)
def test_a_piece_keeps_the_factory_edges_it_wants(wanted: Wanted, fits: bool) -> None:
    assert (leftovers(TILE, wanted, 2) is not None) == fits


@pytest.mark.parametrize(("turn", "fits"), [("none", False), ("half", True), ("quarter", True)])
def test_half_a_turn_brings_the_right_edge_to_the_left(turn: str, fits: bool) -> None:
    offcut = Part(300, 300, sides("left"))
    assert (leftovers(offcut, Wanted(200, 300, sides("right"), turn), 2) is not None) == fits


@pytest.mark.parametrize(("turn", "fits"), [("none", False), ("half", False), ("quarter", True)])
def test_a_quarter_turn_lays_a_tall_piece_down(turn: str, fits: bool) -> None:
    assert (leftovers(TILE, Wanted(100, 600, turn=turn), 2) is not None) == fits


def test_after_a_quarter_turn_anticlockwise_the_right_side_is_on_top() -> None:
    turned = Wanted(100, 50, sides("right", "bottom"), "quarter").turned(90)
    assert turned == Wanted(50, 100, sides("top", "right"), "quarter")


def test_after_two_cuts_the_leftovers_know_their_factory_edges() -> None:
    left = leftovers(TILE, Wanted(250, 300, sides("right", "top", "bottom")), 2)
    assert left == (Part(348, 300, ALL - {"right"}),)
