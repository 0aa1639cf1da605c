"""A right plan passes; each rule, broken at one place, is refused at that place."""

from typing import Any

import pytest

from cutopt.check.known import Known
from cutopt.check.replay import Bench
from cutopt.documents import Plan, Request
from cutopt.plane import Rect
from cutopt.units import MM
from tests.check.plans import changed, places, plan, request, rules, without_cuts

FIRST, SECOND, THIRD = "cut_tiles/0", "cut_tiles/1", "cut_tiles/2"


def test_right_plan_passes() -> None:
    assert rules(request(), plan()) == []


def test_right_plan_passes_without_its_cuts() -> None:
    assert rules(request(), without_cuts(plan())) == []


def test_right_plan_passes_in_other_units() -> None:
    inches = changed(request(), units="in", **{"saw/kerf": "2 mm", "tiles/0/width": "600 mm"})
    inches = changed(inches, **{"tiles/0/height": "300 mm"})
    for name in ("pieces", "offcuts"):
        for item in inches[name]:
            item.update(width=f"{item['width']} mm", height=f"{item['height']} mm")
            if "outline" in item:
                item["outline"] = [[f"{x} mm", f"{y} mm"] for x, y in item["outline"]]
    assert rules(inches, plan()) == []


def refused(found: list[str], **changes: Any) -> Any:
    return pytest.param(changes, found, id=", ".join(changes))


@pytest.mark.parametrize(
    ("changes", "found"),
    [
        # The stock
        refused(["/cut_tiles/1/number"], **{f"{SECOND}/number": 1}),
        refused(["/cut_tiles/0/width"], **{f"{FIRST}/width": 600.000125}),
        refused(["/cut_tiles/2/height"], **{f"{THIRD}/height": 299}),
        refused(["/cut_tiles/0/factory_edges"], **{f"{FIRST}/factory_edges": ["left", "right"]}),
        refused(
            ["/cut_tiles/2/factory_edges"],
            **{f"{THIRD}/factory_edges": ["left", "right", "top", "bottom"]},
        ),
        refused(
            ["/cut_tiles/2/stock", "/totals/0/offcuts_used"],
            **{f"{THIRD}/stock": "shelf", f"{THIRD}/count": 2, "totals/0/cuts": 11},
        ),
        refused(["/cut_tiles/2/stock"], **{f"{THIRD}/stock": "attic"}),
        # Straight cuts
        refused(["/cut_tiles/0/cuts/0/at"], **{f"{FIRST}/cuts/0/at": 600}),
        refused(["/cut_tiles/0/cuts/0/at"], **{f"{FIRST}/cuts/0/at": -2}),
        refused(["/cut_tiles/0/cuts/0/at"], **{f"{FIRST}/cuts/0/at": ...}),
        refused(["/cut_tiles/0/cuts/1/makes/0"], **{f"{FIRST}/cuts/1/makes": [9, 3]}),
        refused(["/cut_tiles/0/cuts/0/makes/1"], **{f"{FIRST}/cuts/0/makes": [1, None]}),
        refused(["/cut_tiles/0/cuts/0/makes/1"], **{f"{FIRST}/cuts/0/makes": [1, 1]}),
        refused(["/cut_tiles/0/cuts/0/makes/0"], **{f"{FIRST}/cuts/0/makes": [0, 2]}),
        refused(["/cut_tiles/0/cuts/2/makes/0"], **{f"{FIRST}/cuts/2/makes": [2, 5]}),
        refused(["/cut_tiles/0/cuts/2/part"], **{f"{FIRST}/cuts/2/part": 2}),
        refused(["/cut_tiles/0/cuts/2/part"], **{f"{FIRST}/cuts/2/part": 7}),
        refused(["/cut_tiles/0/cuts/0/corner"], **{f"{FIRST}/cuts/0/corner": "top-left"}),
        refused(["/cut_tiles/0/cuts/0/width"], **{f"{FIRST}/cuts/0/width": 5}),
        # Notches
        refused(["/cut_tiles/1/cuts/1/at"], **{f"{SECOND}/cuts/1/at": 5}),
        refused(["/cut_tiles/1/cuts/1/corner"], **{f"{SECOND}/cuts/1/corner": ...}),
        refused(["/cut_tiles/1/cuts/1/width"], **{f"{SECOND}/cuts/1/width": 500}),
        refused(["/cut_tiles/1/cuts/1/height"], **{f"{SECOND}/cuts/1/height": 300}),
        refused(["/cut_tiles/1/cuts/1/makes/1"], **{f"{SECOND}/cuts/1/width": 2}),
        refused(["/cut_tiles/1/cuts/2/part"], **{f"{SECOND}/cuts/2/part": 3}),
        # Placements
        refused(
            ["/cut_tiles/0/placements/0/part", "/cut_tiles/0/placements/1/part"],
            **{f"{FIRST}/placements/0/part": ..., f"{FIRST}/placements/1/part": 2},
        ),
        refused(["/cut_tiles/0/placements/1/part"], **{f"{FIRST}/placements/1/part": 8}),
        refused(["/cut_tiles/0/placements/0/turn"], **{f"{FIRST}/placements/0/turn": 90}),
        refused(["/cut_tiles/0/placements/0"], **{f"{FIRST}/placements/0/turn": 0}),
        refused(["/cut_tiles/1/placements/1/piece"], **{f"{SECOND}/placements/1/piece": "shim"}),
        # Leftovers
        refused(["/cut_tiles/0/leftovers/0/x"], **{f"{FIRST}/leftovers/0/x": 252}),
        refused(["/cut_tiles/0/leftovers/0/y"], **{f"{FIRST}/leftovers/0/y": 200}),
        refused(["/cut_tiles/0/leftovers/0"], **{f"{FIRST}/leftovers/0/height": 98.5}),
        refused(["/cut_tiles/0/leftovers/0/part"], **{f"{FIRST}/leftovers/0/part": 4}),
        refused(["/cut_tiles/0/leftovers/0/part"], **{f"{FIRST}/leftovers/0/part": 3}),
        refused(
            ["/cut_tiles/0/leftovers/0/factory_edges"],
            **{f"{FIRST}/leftovers/0/factory_edges": ["top"]},
        ),
        # Totals
        refused(["/totals/0/tiles_needed"], **{"totals/0/tiles_needed": 4}),
        refused(["/totals/0/full_tiles"], **{"totals/0/full_tiles": 3}),
        refused(["/totals/0/cut_tiles"], **{"totals/0/cut_tiles": 5}),
        refused(["/totals/0/pieces"], **{"totals/0/pieces": 8}),
        refused(["/totals/0/cut_pieces"], **{"totals/0/cut_pieces": 11}),
        refused(["/totals/0/offcuts_used"], **{"totals/0/offcuts_used": 0}),
        refused(["/totals/0/counted_naively"], **{"totals/0/counted_naively": 10}),
        refused(["/totals/0/cuts"], **{"totals/0/cuts": 7}),
        refused(["/totals/0/boxes"], **{"totals/0/boxes": 1}),
        refused(["/totals/0/cost"], **{"totals/0/cost": 20.99}),
        refused(["/totals/0/lower_bound"], **{"totals/0/lower_bound": 6}),
        refused(["/totals/0/proven_minimal"], **{"totals/0/lower_bound": 4}),
        refused(["/totals/0/proven_minimal"], **{"totals/0/proven_minimal": False}),
        refused(["/totals/0/tile", "/totals"], **{"totals/0/tile": "border"}),
    ],
)
def test_one_wrong_field_is_refused_at_its_place(changes: dict[str, Any], found: list[str]) -> None:
    assert set(found) <= set(places(request(), changed(plan(), **changes)))


@pytest.mark.parametrize("axis", ["x", "y"])
@pytest.mark.parametrize("by", [-0.000125, 0.000125])
@pytest.mark.parametrize(
    "place",
    [
        "cut_tiles/0/placements/0",
        "cut_tiles/0/placements/1",
        "cut_tiles/1/placements/0",
        "cut_tiles/1/placements/1",
        "cut_tiles/1/placements/2",
        "cut_tiles/2/placements/0",
    ],
)
def test_the_least_shift_of_a_piece_is_refused(place: str, by: float, axis: str) -> None:
    right = plan()
    tile, piece = int(place.split("/")[1]), int(place.split("/")[3])
    start = right["cut_tiles"][tile]["placements"][piece][axis]
    wrong = changed(right, **{f"{place}/{axis}": start + by})
    assert f"/{place}/{axis}" in places(request(), wrong)


@pytest.mark.parametrize(
    "cut",
    [
        "cut_tiles/0/cuts/0",
        "cut_tiles/0/cuts/1",
        "cut_tiles/0/cuts/2",
        "cut_tiles/1/cuts/0",
        "cut_tiles/1/cuts/2",
        "cut_tiles/2/cuts/0",
    ],
)
@pytest.mark.parametrize("by", [-0.000125, 0.000125])
def test_the_least_shift_of_a_cut_is_refused(cut: str, by: float) -> None:
    right = plan()
    _, tile, _, number = cut.split("/")
    at = right["cut_tiles"][int(tile)]["cuts"][int(number)]["at"]
    assert places(request(), changed(right, **{f"{cut}/at": at + by}))


@pytest.mark.parametrize("side", ["width", "height"])
def test_a_notch_may_be_smaller_than_the_empty_corner_but_not_larger(side: str) -> None:
    bare = changed(plan(), **{"cut_tiles/1/placements": plan()["cut_tiles"][1]["placements"][:1]})
    bare = changed(bare, **{"cut_tiles/1/cuts": bare["cut_tiles"][1]["cuts"][:2]})
    missing = {"/cut_tiles", "/totals/0/cuts"}
    for length, wrong in ((-1, False), (0, False), (0.000125, True)):
        size = bare["cut_tiles"][1]["cuts"][1][side] + length
        found = places(request(), changed(bare, **{f"cut_tiles/1/cuts/1/{side}": size}))
        assert ("/cut_tiles/1/cuts/1" in found) is wrong
        assert set(found) - {"/cut_tiles/1/cuts/1"} == missing


def test_each_piece_is_placed_as_often_as_it_is_wanted() -> None:
    too_few = rules(request(), changed(plan(), **{"cut_tiles/0/count": 1}))
    assert any("piece 'jamb', placed once" in fault for fault in too_few)
    too_many = places(request(), changed(plan(), **{"cut_tiles/0/count": 3}))
    assert "/cut_tiles/0/placements/0/piece" in too_many
    assert "/cut_tiles/0/placements/1/piece" in too_many


def test_full_tiles_are_placed_at_most_as_often_as_they_are_wanted() -> None:
    none = changed(request(), **{"pieces/0/quantity": 1})
    left: dict[str, float] = {
        "full_tiles": 0,
        "tiles_needed": 3,
        "lower_bound": 3,
        "pieces": 9,
        "boxes": 1,
    }
    left |= {"counted_naively": 9, "cost": 12.6}
    fitting = changed(plan(), **{f"totals/0/{name}": value for name, value in left.items()})
    assert places(none, fitting) == []
    twice = changed(none, **{"offcuts/1/quantity": 2})
    fitting = changed(fitting, **{"cut_tiles/3/count": 2, "totals/0/offcuts_used": 3})
    assert places(twice, fitting) == ["/cut_tiles/3/placements/0/piece"]


def test_counts_run_over_all_cut_tiles() -> None:
    right = plan()
    last, first = right["cut_tiles"][3], right["cut_tiles"][2]
    full = {"id": "full too", "width": 600, "height": 300, "quantity": 4}
    wanted = changed(request(), pieces=[*request()["pieces"], full])
    wanted = changed(wanted, **{"offcuts/1/quantity": 3})
    tiles = [*right["cut_tiles"], {**last, "number": 5}, {**last, "number": 6}]
    sums = {"full_tiles": 4, "tiles_needed": 7, "lower_bound": 7, "pieces": 15, "cost": 29.4}
    sums |= {"offcuts_used": 4, "counted_naively": 15}
    made = changed(right, cut_tiles=tiles, **{f"totals/0/{name}": sums[name] for name in sums})
    assert places(wanted, made) == []
    again = [*tiles, {**last, "number": 7}, {**first, "number": 8}]
    found = places(wanted, changed(made, cut_tiles=again))
    assert found[:4] == [
        "/cut_tiles/6/stock",
        "/cut_tiles/7/stock",
        "/cut_tiles/6/placements/0/piece",
        "/cut_tiles/7/placements/0/piece",
    ]


def test_a_full_tile_may_be_placed_alone_on_a_new_tile() -> None:
    new = changed(plan(), **{"cut_tiles/3/stock": "new"})
    new = changed(new, **{"totals/0/offcuts_used": 1, "totals/0/cut_tiles": 4})
    assert places(request(), new) == [
        "/totals/0/tiles_needed",
        "/totals/0/cost",
        "/totals/0/proven_minimal",
    ]
    more = {"tiles_needed": 6, "lower_bound": 6, "cost": 25.2}
    right = changed(new, **{f"totals/0/{name}": value for name, value in more.items()})
    assert places(request(), right) == []


def test_a_notch_in_a_part_that_becomes_no_piece_is_refused() -> None:
    cuts = plan()["cut_tiles"][2]["cuts"]
    notch = {"part": 0, "way": "notch", "corner": "top-right", "width": 9, "height": 9}
    no_piece = [{"part": 0, "way": "vertical", "at": 300, "makes": [1, 2]}]
    no_piece.append({**notch, "part": 2, "makes": [3, 4]})
    assert "/cut_tiles/2/cuts/1" in places(
        request(), changed(plan(), **{"cut_tiles/2/cuts": no_piece})
    )
    leftover = {"part": 3, "x": 302, "y": 0, "width": 38, "height": 300, "factory_edges": []}
    assert "/cut_tiles/2/leftovers/0/part" in places(
        request(),
        changed(plan(), **{"cut_tiles/2/cuts": no_piece, "cut_tiles/2/leftovers": [leftover]}),
    )
    into_piece = [*cuts, {**notch, "part": 1, "makes": [2, 3]}]
    wrong = changed(plan(), **{"cut_tiles/2/cuts": into_piece, "cut_tiles/2/placements/0/part": 2})
    assert "/cut_tiles/2/cuts/1" in places(request(), wrong)


@pytest.mark.parametrize("at", [252, 250.000125])
def test_a_blade_that_begins_at_or_before_the_side_leaves_nothing_there(at: float) -> None:
    # Part 2 begins at 252.
    wrong = changed(
        plan(), **{"cut_tiles/0/cuts/1": {**plan()["cut_tiles"][0]["cuts"][1], "at": at}}
    )
    assert not [place for place in places(request(), wrong) if "/cuts" in place[12:]]
    wrong = changed(wrong, **{"cut_tiles/0/cuts/1/makes": [9, 3]})
    assert places(request(), wrong) == ["/cut_tiles/0/cuts/1/makes/0"]


def test_a_fault_names_what_was_found() -> None:
    wrong = changed(plan(), **{"cut_tiles/0/cuts/0/at": ..., "cut_tiles/1/cuts/1/at": 3})
    wrong = changed(wrong, **{"cut_tiles/2/factory_edges": ["left", "right"]})
    assert rules(request(), wrong) == [
        "/cut_tiles/0/cuts/0/at: nothing: a vertical cut has this field",
        "/cut_tiles/1/cuts/1/at: given: a notch cut has no such field",
        "/cut_tiles/2/factory_edges: left, right: "
        "the factory edges of this stock are left, top, bottom",
    ]
    wrong = changed(plan(), **{"cut_tiles/0/leftovers/0/factory_edges": ["left", "top"]})
    assert rules(request(), wrong) == [
        "/cut_tiles/0/leftovers/0/factory_edges: left, top: its factory edges are right, top"
    ]


def test_a_part_with_a_notch_is_not_parted_again() -> None:
    cuts = plan()["cut_tiles"][1]["cuts"]
    cuts[2] = {"part": 3, "way": "horizontal", "at": 200, "makes": [5, 6]}
    assert "/cut_tiles/1/cuts/2/part" in places(
        request(), changed(plan(), **{"cut_tiles/1/cuts": cuts})
    )


def test_each_tile_with_pieces_has_one_total() -> None:
    totals = plan()["totals"]
    assert places(request(), changed(plan(), totals=totals * 2)) == ["/totals/1/tile"]
    more = changed(request(), tiles=[*request()["tiles"], {"id": "b", "width": 9, "height": 9}])
    for item in [*more["pieces"], *more["offcuts"]]:
        item["tile"] = "field"
    assert places(more, plan()) == []
    of_b = {"id": "chip", "tile": "b", "width": 9, "height": 9}
    more["pieces"].append(of_b)
    assert places(more, plan()) == ["/totals"]


def test_pieces_and_offcuts_are_of_the_tile_that_is_cut() -> None:
    more = changed(request(), tiles=[*request()["tiles"], {**request()["tiles"][0], "id": "b"}])
    for item in [*more["pieces"], *more["offcuts"]]:
        item["tile"] = "field"
    elsewhere = changed(more, **{"pieces/6/tile": "b"})
    assert "/cut_tiles/2/placements/0/piece" in places(elsewhere, plan())
    elsewhere = changed(more, **{"offcuts/0/tile": "b"})
    assert places(elsewhere, plan()) == ["/cut_tiles/2/tile"]
    assert "/cut_tiles/2/tile" in places(more, changed(plan(), **{"cut_tiles/2/tile": "c"}))


def test_boxes_and_cost_are_counted_only_when_the_request_says_how() -> None:
    plain = changed(request(), **{"tiles/0/per_box": ..., "tiles/0/price": ...})
    assert places(plain, plan()) == ["/totals/0/boxes", "/totals/0/cost"]
    binary = changed(plan(), **{"totals/0/cost": 21 + 4e-15})
    assert places(request(), binary) == []
    silent = changed(plan(), **{"totals/0/boxes": ..., "totals/0/cost": ...})
    assert places(plain, silent) == []


def test_parts_and_leftovers_need_cuts() -> None:
    no_cuts = changed(plan(), **{"cut_tiles/2/cuts": ..., "cut_tiles/0/cuts": ...})
    assert places(request(), no_cuts) == [
        "/cut_tiles/0/placements/0/part",
        "/cut_tiles/0/placements/1/part",
        "/cut_tiles/0/leftovers/0/part",
        "/cut_tiles/2/placements/0/part",
    ]


@pytest.mark.parametrize(("height", "overlaps"), [(150, False), (150.000125, True)])
def test_notches_in_one_part_may_touch_but_not_overlap(height: float, overlaps: bool) -> None:
    first = {"part": 0, "way": "notch", "corner": "top-left", "width": 9, "height": 150}
    second = {**first, "part": 1, "corner": "bottom-left", "height": height}
    cuts = [{**first, "makes": [1, 2]}, {**second, "makes": [3, 4]}]
    made = Plan.of(changed(plan(), **{"cut_tiles/0/cuts": cuts}))
    bench = Bench(Rect(0, 0, 600 * MM, 300 * MM), Known(Request.of(request())))
    fault = bench.replay(made.cut_tiles[0].cuts or ())
    assert (fault is not None and fault.place == "/cuts/1") is overlaps
    assert sorted(bench.parts) == ([1, 2] if overlaps else [2, 3, 4])
