"""Slanted cuts replayed, and looked for where a plan lists none."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from cutopt.check.lines import Line, Slant, convex_hull
from cutopt.plane import Point, cross, edges
from tests.check.nests import (
    CASES,
    Case,
    Corners,
    along,
    nest_beside_rectangles,
    slanted,
    trapezoids,
    triangles,
)
from tests.check.plans import Json, changed, places, rules, without_cuts

LEAST = 0.000125  # 1/8000 mm, the grid of all lengths
FIRST = "cut_tiles/0"
PLACED = "/cut_tiles/0/placements"

every_case = pytest.mark.parametrize("case", [case() for case in CASES], ids=lambda case: "")


@every_case
def test_right_plans_pass(case: Case) -> None:
    assert rules(*case) == []


@every_case
def test_right_plans_pass_without_their_cuts(case: Case) -> None:
    request, plan = case
    assert rules(request, without_cuts(plan)) == []


@every_case
@pytest.mark.parametrize("by", [-LEAST, LEAST])
@pytest.mark.parametrize("axis", ["x", "y"])
def test_the_least_shift_of_a_piece_is_refused(case: Case, by: float, axis: str) -> None:
    request, plan = case
    for number, placement in enumerate(plan["cut_tiles"][0]["placements"]):
        place = f"{FIRST}/placements/{number}/{axis}"
        found = places(request, changed(plan, **{place: placement[axis] + by}))
        assert any(fault.startswith(f"{PLACED}/{number}") for fault in found)


@every_case
@pytest.mark.parametrize("end", [0, 1])
@pytest.mark.parametrize("axis", [0, 1])
@pytest.mark.parametrize("by", [-LEAST, LEAST])
def test_the_least_shift_of_a_slanted_cut_is_refused(
    case: Case, end: int, axis: int, by: float
) -> None:
    request, plan = case
    for number, cut in enumerate(plan["cut_tiles"][0]["cuts"]):
        if cut["way"] == "slanted":
            place = f"{FIRST}/cuts/{number}/line/{end}/{axis}"
            assert places(request, changed(plan, **{place: cut["line"][end][axis] + by}))


@every_case
def test_a_slanted_cut_left_out_is_refused(case: Case) -> None:
    request, plan = case
    cuts = [cut for cut in plan["cut_tiles"][0]["cuts"] if cut["way"] != "slanted"]
    fewer = changed(plan, **{f"{FIRST}/cuts": cuts, "totals/0/cuts": len(cuts)})
    assert any(place.startswith(PLACED) for place in places(request, fewer))


def test_two_triangles_in_a_tile_a_hair_too_narrow() -> None:
    request, plan = triangles(302.5 - LEAST)
    assert rules(request, without_cuts(plan)) == [
        "/cut_tiles/0/placements/1: piece 'high' at 2.5 mm, 0 mm: "
        "it lies less than a kerf of 2 mm from piece 'low', /placements/0"
    ]
    assert set(places(request, plan)) == {"/cut_tiles/0/placements/1"}
    assert "part 2 does not reach there" in rules(request, plan)[1]


@pytest.mark.parametrize(("excess", "made"), [(0.025, True), (0.025 + LEAST, False)])
def test_across_the_kerf_the_thinnest_shaving_may_stay(excess: float, made: bool) -> None:
    """Drawn 0.025 further apart, the slants lie 0.025 x 400 / 500 = 0.02 further."""
    found = rules(*triangles(302.5 + excess))
    assert [fault.endswith("400 mm to 302.525 mm, 0 mm has not been cut") for fault in found] == (
        [] if made else [True]
    )


def test_a_further_slanted_cut_makes_the_edge() -> None:
    request, plan = triangles(310)
    assert places(request, plan) == [f"{PLACED}/1"]
    cuts = [*plan["cut_tiles"][0]["cuts"], along((10, 400), (310, 0), 2, 3, 4)]
    plan = changed(plan, **{f"{FIRST}/cuts": cuts, f"{FIRST}/placements/1/part": 3})
    assert rules(request, changed(plan, **{"totals/0/cuts": 2})) == []


def test_the_piece_lies_on_its_own_side_of_the_blade() -> None:
    request, plan = trapezoids()
    wrong = changed(plan, **{f"{FIRST}/placements/0/part": 2, f"{FIRST}/placements/1/part": 1})
    assert set(places(request, wrong)) == {f"{PLACED}/0", f"{PLACED}/1"}
    turned = changed(plan, **{f"{FIRST}/cuts/0/line": [[150, 400], [450, 0]]})
    assert set(places(request, turned)) == {f"{PLACED}/0", f"{PLACED}/1"}


@pytest.mark.parametrize(
    ("change", "found"),
    [
        ({"line": [[300, 0], [300, 0]]}, "/line"),
        ({"line": [[700, 0], [600.000125, 400]]}, "/line"),
        ({"line": [[-LEAST, 0], [-LEAST, 400]]}, "/line"),
        ({"line": ...}, "/line"),
        ({"at": 5}, "/at"),
        ({"corner": "top-left"}, "/corner"),
        ({"width": 5}, "/width"),
        ({"part": 3}, "/part"),
        ({"makes": [None, 2]}, "/makes/0"),
        ({"makes": [1, None]}, "/makes/1"),
        ({"makes": [1, 1]}, "/makes/1"),
        ({"makes": [0, 2]}, "/makes/0"),
        ({"way": "vertical"}, "/at"),
    ],
)
def test_one_wrong_field_of_a_slanted_cut(change: Json, found: str) -> None:
    request, plan = trapezoids()
    wrong = changed(plan, **{f"{FIRST}/cuts/0/{name}": value for name, value in change.items()})
    assert places(request, wrong) == [f"/cut_tiles/0/cuts/0{found}"]


def test_a_straight_cut_has_no_line() -> None:
    request, plan = nest_beside_rectangles()
    wrong = changed(plan, **{f"{FIRST}/cuts/0/line": [[0, 0], [1, 1]]})
    assert places(request, wrong) == ["/cut_tiles/0/cuts/0/line"]


@pytest.mark.parametrize(("x", "touches"), [(600.0, True), (600 + LEAST, False)])
def test_a_line_may_touch_its_part(x: float, touches: bool) -> None:
    """Beyond it nothing is left, and null says so; a number would do no harm."""
    for beyond in (None, 2):
        cuts = [along((x, 0), (x, 300), 0, 1, beyond)]
        whole = slanted({"whole": (1, [(0, 0), (600, 0), (600, 300), (0, 300)])}, cuts)
        whole[0]["pieces"][0]["holes"] = [{"x": 50, "y": 50, "diameter": 9}]
        assert places(*whole) == ([] if touches else ["/cut_tiles/0/cuts/0/line"])


@pytest.mark.parametrize(("kerf", "nothing"), [(10, True), (10 - LEAST, False)])
def test_null_where_the_blade_takes_the_corner(kerf: float, nothing: bool) -> None:
    """The corner 600, 300 lies 12.5 x 100 / 125 = 10 beyond the line."""
    cuts = [along((662.5, 200), (587.5, 300), 0, 1, None)]
    case = slanted({"piece": (1, [(0, 0), (500, 0), (500, 300), (0, 300)])}, cuts, kerf=kerf)
    assert ("/cut_tiles/0/cuts/0/makes/1" in places(*case)) is not nothing


def test_straight_cuts_after_a_slanted_one_keep_the_slant() -> None:
    case = slanted(
        {
            "low": (3, [(0, 0), (450, 0), (300, 200), (0, 200)]),
            "high": (4, [(0, 202), (298.5, 202), (150, 400), (0, 400)]),
        },
        [
            along((450, 0), (150, 400), 0, 1, 2),
            {"part": 1, "way": "horizontal", "at": 200, "makes": [3, 4]},
        ],
        height=400,
    )
    assert rules(*case) == []
    assert rules(case[0], without_cuts(case[1])) == []
    # The upper piece as a rectangle: it would reach over the slant.
    square = changed(case[0], **{"pieces/1/outline": ...})
    found = rules(square, case[1])
    assert "the corner 298.5 mm, 400 mm of piece 'high': part 4 does not reach there" in found[0]
    assert "from 298.5 mm, 202 mm to 298.5 mm, 400 mm has not been cut" in found[1]


def test_a_part_with_a_slant_takes_no_notch_and_one_with_a_notch_no_slant() -> None:
    request, plan = trapezoids()
    notch = {"way": "notch", "corner": "bottom-left", "width": 9, "height": 9}
    after = [*plan["cut_tiles"][0]["cuts"], {**notch, "part": 1, "makes": [3, 4]}]
    assert places(request, changed(plan, **{f"{FIRST}/cuts": after}))[0] == (
        "/cut_tiles/0/cuts/1/part"
    )
    slant = changed(plan["cut_tiles"][0]["cuts"][0], part=1, makes=[3, 4])
    before = [{**notch, "part": 0, "makes": [1, 2]}, slant]
    assert places(request, changed(plan, **{f"{FIRST}/cuts": before}))[0] == (
        "/cut_tiles/0/cuts/1/part"
    )


def test_a_part_with_a_slant_is_no_offcut() -> None:
    request, plan = trapezoids()
    request = changed(request, pieces=request["pieces"][:1])
    plan = changed(plan, **{f"{FIRST}/placements": plan["cut_tiles"][0]["placements"][:1]})
    plan = changed(
        plan, **{f"totals/0/{name}": 1 for name in ("pieces", "cut_pieces", "counted_naively")}
    )
    assert places(request, plan) == []
    leftover: Json = {"part": 2, "x": 0, "y": 0, "width": 600, "height": 400}
    leftover["factory_edges"] = ["left", "right", "top", "bottom"]
    kept = changed(plan, **{f"{FIRST}/leftovers": [leftover]})
    assert places(request, kept) == ["/cut_tiles/0/leftovers/0/part"]


def test_a_slanted_piece_cut_as_its_box_alone_is_refused() -> None:
    case = slanted({"roof": (1, [(0, 0), (598, 0), (299, 300)])}, [])
    cuts = [{"part": 0, "way": "vertical", "at": 598, "makes": [1, None]}]
    plan = changed(case[1], **{f"{FIRST}/cuts": cuts, "totals/0/cuts": 1})
    assert rules(case[0], plan) == [
        "/cut_tiles/0/placements/0: piece 'roof': "
        "the edge from 598 mm, 0 mm to 299 mm, 300 mm has not been cut",
        "/cut_tiles/0/placements/0: piece 'roof': "
        "the edge from 299 mm, 300 mm to 0 mm, 0 mm has not been cut",
    ]


@pytest.mark.parametrize(
    "outline",
    [
        [(0, 0), (598, 0), (598, 300), (0, 300), (100, 150)],  # a bite out of one side
        [(0, 0), (598, 0), (598, 150), (300, 150), (300, 300), (0, 300)],  # an L
    ],
)
def test_what_its_box_is_cut_for_is_shaped_at_the_end(outline: Corners) -> None:
    cuts = [{"part": 0, "way": "vertical", "at": 598, "makes": [1, None]}]
    assert rules(*slanted({"piece": (1, outline)}, cuts)) == []


def test_a_bite_out_of_a_slanted_piece_is_shaped_at_the_end() -> None:
    shape: Corners = [(0, 0), (200, 0), (450, 0), (150, 400), (140, 200), (0, 400)]
    cuts = [along((450, 0), (150, 400), 0, 1, 2)]
    assert rules(*slanted({"left": (1, shape)}, cuts, height=400)) == []


def test_slanted_pieces_turn_with_their_tile() -> None:
    request, plan = triangles()
    # The upper triangle hangs as the lower one does; it lies turned by 180 degrees.
    alike = changed(request, **{"pieces/1/outline": request["pieces"][0]["outline"]})
    alike = changed(alike, **{"tiles/0/turn": "half"})
    alike["pieces"][0]["factory_edges"] = alike["pieces"][1]["factory_edges"] = ["left", "bottom"]
    turned = changed(plan, **{f"{FIRST}/placements/1/turn": 180})
    assert rules(alike, turned) == []
    assert places(alike, plan) != []


def test_on_the_line_itself_no_shaving_may_stay() -> None:
    request, plan = slanted(
        {"low": (1, [(0, 0), (300, 0), (0, 400)])},
        [along((300 + LEAST, 0), (0, 400), 0, 1, 2)],
        height=400,
    )
    assert rules(request, plan) == [
        "/cut_tiles/0/placements/0: piece 'low': "
        "the edge from 300 mm, 0 mm to 0 mm, 400 mm has not been cut"
    ]


@pytest.mark.parametrize(
    ("way", "at", "found"),
    [
        ("vertical", 300, []),
        ("vertical", 200, ["the corner 300 mm, 0 mm of piece 'low': part 3 does not reach there"]),
        ("horizontal", 400, []),
        ("horizontal", 300, ["the corner 0 mm, 400 mm of piece 'low': part 3 does not reach"]),
    ],
)
def test_a_slanted_piece_lies_within_its_part(way: str, at: float, found: list[str]) -> None:
    cuts = [along((300, 0), (0, 400), 0, 1, 2)]
    cuts.append({"part": 1, "way": way, "at": at, "makes": [3, 4 if at < 500 else None]})
    case = slanted({"low": (3, [(0, 0), (300, 0), (0, 400)])}, cuts, height=500)
    faults = rules(*case)
    assert len(faults) == len(found)
    assert all(part in fault for part, fault in zip(found, faults, strict=True))


def test_an_edge_along_an_axis_is_made_as_well() -> None:
    shape: Corners = [(0, 0), (450, 0), (300, 200), (0, 200)]
    cuts = [along((450, 0), (300, 200), 0, 1, 2)]
    assert rules(*slanted({"low": (1, shape)}, cuts, height=200)) == []
    found = rules(*slanted({"low": (1, shape)}, cuts, height=200 + LEAST))
    assert [fault.partition(": ")[2] for fault in found] == [
        "piece 'low': the edge from 300 mm, 200 mm to 0 mm, 200 mm has not been cut"
    ]
    moved: Corners = [(x + LEAST, y) for x, y in shape]
    cuts = [along(moved[1], moved[2], 0, 1, 2)]
    found = rules(*slanted({"low": (1, moved)}, cuts, height=200))
    assert len(found) == 1
    assert "200 mm to 0 mm, 0 mm has not been cut" in found[0]


@pytest.mark.parametrize(("low", "fits"), [(100.0, True), (99.0, False)])
def test_a_slanted_cut_may_take_from_the_empty_corner_of_an_l(low: float, fits: bool) -> None:
    shape: Corners = [(0, 0), (600, 0), (600, 100), (300, 100), (300, 300), (0, 300)]
    found = rules(*slanted({"l": (1, shape)}, [along((600, low), (300, 300), 0, 1, 2)]))
    assert (found == []) is fits


@given(st.lists(st.tuples(st.integers(0, 9), st.integers(0, 9)), min_size=3))
def test_the_hull_holds_every_point_and_only_turns_left(points: list[Point]) -> None:
    hull = convex_hull(points)
    assume(len(hull) > 2)
    assert set(hull) <= set(points)
    assert all(cross(*edge, point) >= 0 for edge in edges(hull) for point in points)
    assert all(
        cross(a, b, c) > 0 for (a, b), (_, c) in zip(edges(hull), edges(hull)[1:], strict=False)
    )


def test_the_blade_belongs_to_neither_side() -> None:
    line = Line((0, 0), (40, 30))
    left, beyond = Slant(line, True), Slant(line, False)
    on_line, past, short = (8, 6), (14, -2), (14, -1)  # 0, 10 and 9.2 to the right
    assert left.holds(on_line, 10)
    assert not left.keeps(on_line, 10)
    assert beyond.holds(past, 10)
    assert not beyond.keeps(past, 10)
    assert not beyond.holds(short, 10)
    assert not left.holds(past, 10)
