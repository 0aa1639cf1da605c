"""Certificates of tiles that pieces may choose from: right ones hold, wrong ones are refused."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt.check import JointVerdict, check_together
from cutopt.documents import JointCertificate, Plan, Request
from cutopt.pipeline import plan
from cutopt.stop import MaxSeconds
from tests.planning.test_together import LARGE, SIZES, SMALL, choosing, piece, request
from tests.strategies import Json, requests


def verdict(wanted: Request, made: Plan, **changes: object) -> JointVerdict:
    """Return the verdict on a plan's certificate, some of its fields changed."""
    (claim,) = made.together or ()
    assert claim.certificate is not None
    certificate = claim.certificate.model_copy(update=changes)
    claim = claim.model_copy(update={"certificate": certificate})
    (found,) = check_together(wanted, made.model_copy(update={"together": (claim,)}))
    return found


STRIPS = request(piece("strip", 600, 300, 3))


def test_the_least_cost_is_certified() -> None:
    found = verdict(STRIPS, plan(STRIPS, MaxSeconds(5)))
    assert found == JointVerdict(("large", "small"), "cost", Decimal("12.6"), Decimal("12.6"), None)


@pytest.mark.parametrize(
    ("changes", "place"),
    [
        ({"pieces": {"strip": 10**6}}, "/together/0/certificate"),
        ({"tiles": {"large": 10**9, "small": 10**9}}, "/together/0/certificate/tiles"),
        ({"pieces": {}}, "/together/0/lower_bound"),
        ({"pieces": {"other": 1}}, "/together/0/certificate/pieces"),
        ({"offcuts": {"other": 1}}, "/together/0/certificate/offcuts"),
        ({"tiles": {"other": 1}}, "/together/0/certificate/tiles"),
    ],
)
def test_changed_prices_are_refused(changes: Json, place: str) -> None:
    fault = verdict(STRIPS, plan(STRIPS, MaxSeconds(5)), **changes).fault
    assert fault is not None
    assert fault.place == place


def test_few_tiles_may_be_worth_more_than_they_cost() -> None:
    few = request(piece("strip", 600, 300, 5), tiles=[LARGE, {**SMALL, "available": 1}])
    found = verdict(few, plan(few, MaxSeconds(5)))
    assert (found.fault, found.proven) == (None, Decimal("22.2"))


def test_without_prices_nothing_is_certain() -> None:
    made = plan(STRIPS, MaxSeconds(5))
    (claim,) = made.together or ()
    bare = made.model_copy(update={"together": (claim.model_copy(update={"certificate": None}),)})
    (found,) = check_together(STRIPS, bare)
    assert found.fault is not None
    assert "brings no prices" in found.fault.rule


def test_a_higher_bound_than_the_prices_prove_is_not_certified() -> None:
    made = plan(STRIPS, MaxSeconds(5))
    (claim,) = made.together or ()
    high = claim.model_copy(update={"lower_bound": Decimal("13")})
    (found,) = check_together(STRIPS, made.model_copy(update={"together": (high,)}))
    assert found.fault is not None
    assert found.fault.rule == "not certified: the prices prove 12.6"


@settings(max_examples=40, deadline=None)
@given(requests(), SIZES, st.tuples(st.integers(2, 9), st.integers(2, 9)))
def test_what_is_planned_together_is_certified_as_far_as_its_prices_go(
    document: Json, second: tuple[int, int], prices: tuple[int, int]
) -> None:
    wanted = Request.of(choosing(document, second, prices))
    made = plan(wanted, MaxSeconds(10))
    (claim,) = made.together or ()
    found = verdict(wanted, made)
    assert found.proven is not None, found.fault
    assert found.proven <= claim.needed
    assert found.fault is None or found.fault.rule.startswith("not certified: the prices prove")


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 10), st.integers(1, 4)), min_size=1, max_size=3),
    st.tuples(st.integers(0, 9), st.integers(0, 9), st.integers(0, 9)),
    st.tuples(st.integers(1, 20), st.integers(1, 20)),
)
def test_prices_are_certified_exactly_when_no_tile_holds_more(
    bars: list[tuple[int, int]], worths: tuple[int, int, int], tiles: tuple[int, int]
) -> None:
    """Full-height strips of two tiles, 10 and 17 wide: every choice of strips is tried."""
    wanted = Request.of(
        {
            "tiles": [
                {"id": "a", "width": 10, "height": 5, "price": 3, "available": 50},
                {"id": "b", "width": 17, "height": 5, "price": 4, "available": 50},
            ],
            "objective": "cost",
            "saw": {"kerf": 0},
            "pieces": [
                {"id": f"p{at}", "tiles": ["a", "b"], "width": width, "height": 5, "quantity": many}
                for at, (width, many) in enumerate(bars)
            ],
        }
    )
    made = plan(wanted, MaxSeconds(5))
    prices = {f"p{at}": worths[at] for at in range(len(bars))}
    certificate = JointCertificate(
        scale=5, tiles=dict(zip("ab", tiles, strict=True)), pieces=prices
    )
    fault = verdict(wanted, made, **dict(certificate)).fault
    holds = all(
        most(list(zip(bars, worths, strict=False)), Fraction(room)) <= limit
        for room, limit in zip((10, 17), tiles, strict=True)
    )
    assert (fault is not None and fault.place == "/together/0/certificate") == (not holds)


def most(bars: list[tuple[tuple[int, int], int]], room: Fraction) -> int:
    """Return the most that strips in so much room are worth."""
    if not bars:
        return 0
    ((width, many), worth), *rest = bars
    return max(
        times * worth + most(rest, room - times * width)
        for times in range(many + 1)
        if times * width <= room
    )
