"""Trim from the geometry and measured: corners, kerf, joins, bars, what is refused."""

from decimal import Decimal
from typing import Any

import pytest

from cutopt.documents.order import TrimOrder
from cutopt.errors import CannotBeMet, InvalidInput
from cutopt.units import MM
from tests.buying.orders import job_data, ordered, request_data, wall

WINDOW = {
    "kind": "window",
    "x": 700,
    "y": 800,
    "width": 900,
    "height": 600,
    "edges": {"all": {"meets": "profile", "set_back": 10}},
}


def trim(*runs: dict[str, Any], **profile: Any) -> TrimOrder:
    """Return the order of one profile with measured runs."""
    told = {"id": "steel", "runs": list(runs), **profile}
    (found,) = ordered(request_data((600, 300, 1), trim=[told])).trim
    return found


def run(length: float, **fields: Any) -> dict[str, Any]:
    return {"name": f"run {length:g}", "length": length, **fields}


def lengths(found: TrimOrder) -> list[float]:
    return [run.length / MM for run in found.runs]


def test_a_window_with_mitres_and_butted() -> None:
    """The profile lies outside the finished edge: mitred each end is longer by its face."""
    mitred = ordered(job_data([wall(openings=[WINDOW])]))
    assert lengths(mitred.trim[0]) == [920, 620, 920, 620]
    butted = ordered(job_data([wall(openings=[WINDOW])], trim=[{"id": "steel", "corners": "butt"}]))
    # Each runs on over the one after it and begins at the face of the one before it.
    assert lengths(butted.trim[0]) == [910, 610, 910, 610]
    assert sum(lengths(butted.trim[0])) == 2 * (900 + 600) + 4 * 10
    assert mitred.trim[0].runs[0].name == "A, window, bottom"


def test_two_runs_just_fit_a_bar_or_just_do_not() -> None:
    fits = trim(run(1249), run(1248.5), bars=[{"length": 2500}], kerf=2.5)
    assert (fits.bars_in_all, fits.proven) == (1, True)
    assert trim(run(1249), run(1249), bars=[{"length": 2500}], kerf=2.5).bars_in_all == 2


def test_a_mitre_takes_the_kerf_at_45_degrees() -> None:
    """A kerf of 2 mm takes 2.83 mm along the bar."""
    runs = run(500, quantity=2, mitres=2)
    assert trim(runs, face=10, kerf=2, bars=[{"length": 1042.9}]).bars_in_all == 1
    assert trim(runs, face=10, kerf=2, bars=[{"length": 1042.8}]).bars_in_all == 2


def test_no_joins_unless_allowed() -> None:
    with pytest.raises(CannotBeMet, match="run 2600, 2600 mm: a run is cut from one bar"):
        trim(run(2600), bars=[{"length": 2500}])
    joined = trim(run(2600), run(2380), bars=[{"length": 2500}], joins=True)
    assert lengths(joined) == [2500, 100, 2380]
    assert (joined.bars_in_all, joined.runs[0].ends) == (2, "square, join")
    assert trim(run(2500), bars=[{"length": 2500}]).bars_in_all == 1


def test_a_profile_that_nobody_named_never_makes_an_order_impossible() -> None:
    """A floor of 4 m with a profile along its front, bars of 2.5 m assumed: joined, and said."""
    floor = wall("F", kind="floor", width=4000, edges={"bottom": "profile"})
    order = ordered(job_data([floor]))
    assert lengths(order.trim[0]) == [2500, 1500]
    assert any("joined" in note for note in order.notes)
    with pytest.raises(CannotBeMet, match="a run is cut from one bar"):
        ordered(job_data([floor], trim=[{"id": "steel"}]))


def test_least_cost_when_every_bar_has_a_price() -> None:
    bars = [{"length": 3000, "price": 14}, {"length": 2500, "price": 10}]
    found = trim(run(1200, quantity=2), run(2900), bars=bars)
    assert found.aim == "least cost"
    assert (found.cost, found.lower_bound) == (Decimal(24), 24)
    unpriced = trim(run(1200, quantity=2), bars=[{"length": 3000, "price": 14}, {"length": 2500}])
    assert unpriced.aim == "fewest bars"


def test_runs_of_a_do_it_yourself_page() -> None:
    """Tile trim, 4.77 m in all from 3 m lengths; the two bars are our own exact solve."""
    runs = [run(length * 10) for length in (53, 25, 90, 25, 35, 168, 81)]
    found = trim(*runs, bars=[{"length": 3000}], kerf=0)
    assert (found.bars_in_all, found.lower_bound, found.proven) == (2, 2, True)
    assert sum(lengths(found)) == 4770


def test_the_cut_list_makes_every_run_once() -> None:
    found = trim(run(700, quantity=5), run(900, quantity=3), bars=[{"length": 2500}])
    made = [piece for cut in found.cuts for piece in cut.pieces for _ in range(cut.times)]
    assert sorted(made) == ["run 700"] * 5 + ["run 900"] * 3
    for cut in found.cuts:
        sizes = [900 if piece == "run 900" else 700 for piece in cut.pieces]
        assert cut.rest / MM == max(0, 2500 - sum(sizes) - 2 * len(sizes))


def test_profiles_by_surface() -> None:
    surfaces = [wall("A", openings=[WINDOW]), wall("B", openings=[WINDOW])]
    told = [{"id": "steel", "surfaces": ["A"]}, {"id": "brass"}]
    order = ordered(job_data(surfaces, trim=told))
    assert {one.profile: one.runs[0].name[0] for one in order.trim} == {"steel": "A", "brass": "B"}
    assert ordered(job_data(surfaces, trim=[])).trim == ()


def test_surfaces_that_are_not_there_or_named_twice() -> None:
    told = [{"id": "steel", "surfaces": ["A", "Z"]}, {"id": "brass", "surfaces": ["A"]}]
    with pytest.raises(InvalidInput) as refused:
        ordered(job_data([wall("A", openings=[WINDOW])], trim=told))
    assert [fault.place for fault in refused.value.faults] == [
        "/order/trim/0/surfaces/1",
        "/order/trim/1/surfaces/0",
    ]
