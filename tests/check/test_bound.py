"""The certificate of a bound: right prices are certified, wrong ones are shown to be wrong."""

import operator
from collections.abc import Iterator
from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from cutopt.check import Verdict, check_bound
from cutopt.documents import Certificate, Plan, Request, Total
from cutopt.errors import InvalidInput
from cutopt.solver import BOTTOM, LEFT, RIGHT, TOP, Problem, Stand
from tests.building import Json, Wanted, planned, request
from tests.solver.brute import all_counts
from tests.solver.problems import problems

SIDES = {"left": LEFT, "right": RIGHT, "bottom": BOTTOM, "top": TOP}
TURN = {1: "none", 2: "half", 4: "quarter"}
CORNERS = (LEFT | BOTTOM, RIGHT | BOTTOM, RIGHT | TOP, LEFT | TOP)


def claim(
    wanted: Request, scale: int, prices: dict[str, int], offcuts: dict[str, int], proves: int
) -> Verdict:
    """Return the verdict on prices that are said to prove so much."""
    certificate = Certificate(scale=scale, proves=proves, pieces=prices, offcuts=offcuts)
    only = Total(
        tile=wanted.tiles[0].id,
        tiles_needed=proves,
        lower_bound=proves,
        proven_minimal=True,
        full_tiles=0,
        cut_tiles=proves,
        certificate=certificate,
    )
    (verdict,) = check_bound(wanted, Plan(totals=(only,), cut_tiles=()))
    return verdict


HALVES = request((600, 300), [(299, 300, 4)], kerf=2)


def test_two_to_a_tile() -> None:
    assert claim(HALVES, 2, {"p0": 1}, {}, 2) == Verdict("field", 2, 2, None)


def test_a_price_too_high_is_refused_with_the_pieces_that_show_it() -> None:
    verdict = claim(HALVES, 3, {"p0": 2}, {}, 3)
    assert verdict.proven is None
    assert str(verdict.fault) == (
        "/totals/0/certificate: 2 x 'p0': these can be cut from a tile of 600 mm x 300 mm and are "
        "worth 4 together, more than its price of 3"
    )


def test_half_a_millimetre_wider_and_the_price_is_right() -> None:
    wider = request((600, 300), [(299.5, 300, 4)], kerf=2)
    assert claim(wider, 1, {"p0": 1}, {}, 4).fault is None


def test_prices_that_prove_less_than_is_claimed() -> None:
    verdict = claim(HALVES, 2, {"p0": 1}, {}, 3)
    assert (verdict.proven, str(verdict.fault)) == (
        2,
        "/totals/0/certificate/proves: 3: these prices prove 2",
    )


def test_a_plan_whose_bound_the_prices_do_not_reach() -> None:
    plan = planned(HALVES)
    total = plan.totals[0].model_copy(update={"lower_bound": 3})
    (verdict,) = check_bound(HALVES, plan.model_copy(update={"totals": (total,)}))
    assert str(verdict.fault) == "/totals/0/lower_bound: 3: not certified: the prices prove 2"


def test_a_plan_without_prices() -> None:
    plan = planned(HALVES)
    total = plan.totals[0].model_copy(update={"certificate": None})
    (verdict,) = check_bound(HALVES, plan.model_copy(update={"totals": (total,)}))
    assert "not certified" in str(verdict.fault)


def test_no_more_of_a_piece_than_is_wanted() -> None:
    """Three thirds fill a tile; with two wanted each may be worth half a tile."""
    thirds: list[Wanted] = [(200, 300, 2), (400, 300, 1)]
    assert claim(request((600, 300), thirds), 2, {"p0": 1, "p1": 1}, {}, 2).fault is None
    verdict = claim(request((600, 300), [(200, 300, 3)]), 2, {"p0": 1}, {}, 2)
    assert "3 x 'p0'" in str(verdict.fault)


def test_an_offcut_is_worth_no_more_than_its_price() -> None:
    wanted = request((600, 300), [(250, 300, 3)], offcuts=[{"width": 260, "height": 300}])
    assert claim(wanted, 2, {"p0": 1}, {"o0": 1}, 1).fault is None
    verdict = claim(wanted, 2, {"p0": 1}, {}, 2)
    assert "an offcut of 260 mm x 300 mm" in str(verdict.fault)


def test_a_full_tile_is_one_tile_unless_an_offcut_is_as_large() -> None:
    full: list[Wanted] = [(600, 300, 5)]
    assert claim(request((600, 300), full), 1, {}, {}, 5).fault is None
    shelf = request((600, 300), full, offcuts=[{"width": 600, "height": 300}])
    assert claim(shelf, 1, {}, {}, 5).fault is not None
    assert claim(shelf, 1, {"p0": 1}, {"o0": 1}, 4).fault is None


def test_names_that_the_request_does_not_know() -> None:
    assert "no such piece" in str(claim(HALVES, 2, {"p9": 1}, {}, 0).fault)
    assert "no such offcut" in str(claim(HALVES, 2, {}, {"o9": 1}, 0).fault)


def test_factory_edges_pin_a_piece_to_a_side() -> None:
    """Two ends that want the same side cannot share a tile, though half of it would do."""
    end = {"width": 250, "height": 300, "quantity": 2, "factory_edges": ["left"]}
    assert claim(request((600, 300), [end]), 1, {"p0": 1}, {}, 2).fault is None
    turned = request((600, 300), [end], turn="half")
    assert "2 x 'p0'" in str(claim(turned, 1, {"p0": 1}, {}, 2).fault)
    for sides, fit in ((("left", "right"), True), (("left", "left"), False)):
        for widths in ((350, 200), (200, 350)):
            ends = [
                {"width": width, "height": 300, "factory_edges": [side]}
                for width, side in zip(widths, sides, strict=True)
            ]
            verdict = claim(request((600, 300), ends), 1, {"p0": 1, "p1": 1}, {}, 2)
            assert (verdict.fault is not None) == fit


def test_a_piece_that_may_come_from_another_tile_bears_no_price() -> None:
    pieces: list[Wanted | Json] = [(590, 290, 1), {"width": 590, "height": 290}]
    plain = request((600, 300), pieces).model_dump(mode="json", exclude_none=True)
    plain["tiles"].append({"id": "other", "width": 600, "height": 300})
    plain["pieces"][0]["tile"] = "field"
    plain["pieces"][1]["tiles"] = ["field", "other"]
    wanted = Request.of(plain)
    assert claim(wanted, 1, {"p0": 1}, {}, 1).fault is None
    assert "no such piece" in str(claim(wanted, 1, {"p0": 1, "p1": 1}, {}, 2).fault)


def test_every_notch_that_a_corner_has_room_for() -> None:
    """Steps in a corner leave a long flat piece or a short tall one: both are looked at."""
    steps = [[0, 0], [600, 0], [600, 100], [400, 100], [400, 200], [200, 200], [200, 300], [0, 300]]
    host: Json = {"width": 600, "height": 300, "outline": steps}
    for width, height in ((398, 198), (198, 198), (398, 98)):
        fits = (width, height) != (398, 198)
        wanted = request((600, 300), [host, {"width": width, "height": height}], kerf=2)
        assert ("1 x 'p1'" in str(claim(wanted, 1, {"p0": 1, "p1": 1}, {}, 2).fault)) == fits
        larger = request((600, 300), [host, {"width": width + 1, "height": height}], kerf=2)
        assert claim(larger, 1, {"p0": 1, "p1": 1}, {}, 2).fault is None


def test_what_takes_too_long_is_not_certified(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("cutopt.check.bound.table.MOST_LOOKS", 0)
    assert "too many ways" in str(claim(HALVES, 3, {"p0": 2}, {}, 3).fault)


def test_where_there_is_too_much_to_look_at_sizes_are_rounded_down_to_steps(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("cutopt.check.bound.table.exact_axis", lambda *_: None)
    low = request((600, 300), [(310, 140, 4)], kerf=2)
    assert claim(low, 2, {"p0": 1}, {}, 2).fault is None
    # Rounded down, a step that is missing to the second one is no longer seen.
    wider = request((600, 300), [(301, 140, 4)], kerf=2)
    assert "too many ways" in str(claim(wider, 2, {"p0": 1}, {}, 2).fault)


def outline_of(stand: Stand) -> list[list[int]]:
    """Return the outline of a piece with notches in its corners."""
    notches = {p.sides: (p.notch_width, p.notch_height) for p in stand.pockets}
    corners: list[list[int]] = []
    for sides in CORNERS:
        x = stand.width if sides & RIGHT else 0
        y = stand.height if sides & TOP else 0
        across, up = notches.get(sides, (0, 0))
        inner = [x - across if x else across, y - up if y else up]
        if sides not in notches:
            corners.append([x, y])
        elif sides in (LEFT | BOTTOM, RIGHT | TOP):
            corners += [[x, inner[1]], inner, [inner[0], y]]
        else:
            corners += [[inner[0], y], inner, [x, inner[1]]]
    return corners


def request_of(problem: Problem) -> Request:
    """Return the request, in millimetres, that a solver's problem is about."""
    try:
        return request(
            (problem.new.width, problem.new.height),
            list(_pieces(problem)),
            turn=TURN[len(problem.kinds[0].stands)],
            kerf=problem.kerf,
            offcuts=[
                {
                    "width": sheet.width,
                    "height": sheet.height,
                    "quantity": sheet.limit,
                    "factory_edges": [side for side, bit in SIDES.items() if sheet.edges & bit],
                }
                for sheet in problem.sheets[1:]
            ],
        )
    except InvalidInput:
        assume(False)  # two notches that meet: no outline
        raise


def _pieces(problem: Problem) -> Iterator[Json]:
    for kind in problem.kinds:
        stand = kind.stands[0]
        yield {
            "width": stand.width,
            "height": stand.height,
            "quantity": kind.demand,
            "factory_edges": [side for side, bit in SIDES.items() if stand.wants & bit],
            "outline": outline_of(stand) if stand.pockets else None,
        }


@settings(max_examples=240)
@given(
    problems(kinds=4, copies=3),
    st.lists(st.integers(0, 9), min_size=4, max_size=4),
    st.booleans(),
    st.integers(-1, 0),
    st.integers(0, 9),
    st.sampled_from(["MOST_SUMS", "MOST_FROM_BOTH_ENDS", "FEW"]),
)
def test_prices_are_certified_exactly_when_no_cutting_is_worth_more(
    problem: Problem, prices: list[int], by_area: bool, off: int, offcut: int, none_of: str
) -> None:
    """The best that a tile is worth, by trying every cut, and one less."""
    wanted = request_of(problem)
    if by_area:
        stands = [kind.stands[0] for kind in problem.kinds]
        prices = [
            stand.width * stand.height + price - 4
            for stand, price in zip(stands, prices, strict=False)
        ]
        prices = [max(0, price) for price in prices]
    most = [
        max(sum(map(operator.mul, counts, prices)) for counts in all_counts(problem, sheet))
        for sheet in problem.sheets
    ]
    scale = max(1, most[0] + off)
    offcuts = {"o0": offcut} if len(most) > 1 else {}
    worth = sum(map(operator.mul, prices, problem.demands))
    worth -= offcut * sum(sheet.limit or 0 for sheet in problem.sheets)
    named = {f"p{number}": prices[number] for number in range(len(problem.kinds))}
    with pytest.MonkeyPatch.context() as patch:
        # With none of one kind of sums there is only the other, or whichever are fewer.
        patch.setattr(f"cutopt.check.bound.sums.{none_of}", 0)
        verdict = claim(wanted, scale, named, offcuts, max(0, -(-worth // scale)))
    holds = most[0] <= scale and all(one <= offcut for one in most[1:])
    assert (verdict.fault is None) == holds


@settings(max_examples=40, deadline=None)
@given(problems(kinds=4, copies=3))
def test_what_cutopt_plans_is_certified_as_far_as_its_prices_go(problem: Problem) -> None:
    wanted = request_of(problem)
    (verdict,) = check_bound(wanted, planned(wanted))
    assert verdict.proven is not None
    assert verdict.fault is None or "not certified: the prices prove" in verdict.fault.rule


def test_a_certificate_can_be_read_and_written() -> None:
    plan = planned(HALVES)
    assert Plan.read(plan.text()) == plan
    assert check_bound(HALVES, plan)[0] == replace(check_bound(HALVES, plan)[0], fault=None)
