"""`cutopt formats`: a job in several tile formats, the cheapest first."""

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from cutopt.comparing import MOST_COMBINATIONS, Comparison, Variant, compared
from cutopt.errors import InvalidInput
from tests.command.conftest import WALL, Run

LARGE = {"id": "large", "width": 600, "height": 600, "turn": "half", "price": 9}
SMALL = {"id": "small", "width": 600, "height": 300, "turn": "half", "price": 4}


def job(*tiles: dict[str, Any]) -> dict[str, Any]:
    (room,) = WALL["rooms"]
    (surface,) = room["surfaces"]
    surfaces = [{**surface, "tile": tiles[0]["id"]}, {**surface, "id": "B", "tile": "large"}]
    return {**WALL, "tiles": list(tiles), "rooms": [{**room, "surfaces": surfaces}]}


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "job.json"
    path.write_text(json.dumps(job(LARGE, SMALL)), encoding="utf-8")
    return path


def test_the_cheapest_comes_first(run: Run, file: Path) -> None:
    ended = run("formats", file, "--surface", "A=large,small")
    assert ended.status == 0
    first, _, small, large = ended.out.splitlines()
    assert first == "Least cost first; proven: no other is cheaper"
    assert (small.split()[:2], large.split()[:2]) == (["A", "small"], ["A", "large"])


def test_the_cheapest_job_is_written(run: Run, file: Path, tmp_path: Path) -> None:
    out = tmp_path / "cheapest.json"
    assert run("formats", file, "--surface", "A=large,small", "--out", out).status == 0
    plain = run("plan", out, "--json", "--quiet")
    totals = {total["tile"]: total["tiles_needed"] for total in json.loads(plain.out)["totals"]}
    assert totals["small"] > 0


def test_what_every_variant_costs_is_what_its_plan_costs() -> None:
    found = compared(job(LARGE, SMALL), {"A": ["large", "small"], "B": ["large", "small"]}, 20)
    assert (len(found.variants), found.by, found.is_proven) == (4, "cost", True)
    worths = [one.worth for one in found.variants]
    assert worths == sorted(worths, key=lambda worth: worth or Decimal(0))
    for one in found.variants:
        assert one.plan is not None
        assert one.worth == sum(total.cost or 0 for total in one.plan.totals)


def test_without_prices_tiles_are_counted() -> None:
    bare = [{key: tile[key] for key in tile if key != "price"} for tile in (LARGE, SMALL)]
    found = compared(job(*bare), {"A": ["large", "small"]}, 20)
    assert (found.by, found.variants[0].tile_of) == ("tiles", {"A": "large"})


def test_what_cannot_be_planned_comes_last_with_its_reason(run: Run, file: Path) -> None:
    few = job(LARGE, {**SMALL, "available": 1})
    file.write_text(json.dumps(few), encoding="utf-8")
    ended = run("formats", file, "--surface", "A=large,small")
    assert (ended.status, "A small" in ended.out.splitlines()[-1]) == (0, True)
    assert "cannot be planned: /tiles/1/available: 1 of tile 'small'" in ended.out
    assert run("formats", file, "--surface", "A=small").status == 3


@pytest.mark.parametrize(
    ("choices", "rule"),
    [
        ({"C": ["large"]}, "names a surface of the job"),
        ({"A": ["tiny"]}, "names a tile of the job"),
        ({"A": ["large"] * 9, "B": ["large"] * 9}, f"at most {MOST_COMBINATIONS} are compared"),
    ],
)
def test_choices_that_do_not_fit_are_refused(choices: dict[str, list[str]], rule: str) -> None:
    with pytest.raises(InvalidInput, match=rule):
        compared(job(LARGE, SMALL), choices, 20)


@pytest.mark.parametrize("text", ["A", "=large", "A="])
def test_a_choice_that_is_none(run: Run, file: Path, text: str) -> None:
    ended = run("formats", file, "--surface", text)
    assert (ended.status, "an equals sign" in ended.err) == (2, True)


def test_a_bound_below_the_best_is_no_proof() -> None:
    best = Variant({"A": "small"}, worth=Decimal(10), least=Decimal(9))
    other = Variant({"A": "large"}, worth=Decimal(12), least=Decimal(9))
    assert not Comparison((best, other), "cost").is_proven
    surely = Variant({"A": "large"}, worth=Decimal(12), least=Decimal(10))
    assert Comparison((best, surely), "cost").is_proven
