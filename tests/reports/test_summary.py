"""The summary: each number that a buyer acts on, what is proven, what to mind; 80 columns."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutopt.documents import Plan, Request
from cutopt.reports import CAUTIONS, write_summary
from cutopt.reports.words import columns_of
from tests.reports.samples import NAMES, one_request, one_tile, sample, squeezed

PIECE = {"id": "end", "width": 250, "height": 300}
LAID = [{"piece": "end", "x": 0, "y": 0, "turn": 0, "part": 1}]
CUTS = [{"part": 0, "way": "vertical", "at": 250, "makes": [1, 2]}]


def lines_of(name: str) -> list[str]:
    return write_summary(*sample(name)).splitlines()


def summary_with(**total: Any) -> str:
    plan = one_tile(CUTS, LAID)
    plan["totals"][0] |= total
    plan["stopped"] = "time"
    return write_summary(one_request(PIECE), Plan.of(plan))


@pytest.mark.parametrize("name", NAMES)
def test_fits_a_terminal(name: str) -> None:
    assert all(columns_of(line) <= 80 for line in lines_of(name))
    assert all(line.isprintable() and line == line.rstrip() for line in lines_of(name))


def test_what_to_buy() -> None:
    lines = lines_of("bathroom")
    assert "Cut plan: Haus Lindenhof 7, bathroom" in lines
    assert "Tile field, 600 x 300 mm" in lines
    assert "  buy       10 tiles: 5 laid whole, 5 cut" in lines
    assert "  boxes     2 boxes of 6, which leaves 2 tiles over" in lines
    assert "  cost      42.00 for 10 tiles" in lines
    assert "  shelf     1 offcut used, nothing to buy" in lines
    assert "  saved     11 tiles; a new tile for every cut piece would take 21" in lines
    assert "  work      16 cuts for 16 cut pieces; 2 leftovers large enough to keep" in lines


def test_boxes_that_are_used_up() -> None:
    request = one_request(PIECE).model_dump(mode="json", exclude_none=True)
    request["tiles"][0]["per_box"] = 1
    plan = one_tile(CUTS, LAID)
    plan["totals"][0]["boxes"] = 1
    text = write_summary(Request.of(request), Plan.of(plan))
    assert "  boxes     1 box of 1, used up exactly\n" in text


def test_nothing_is_said_of_boxes_and_cost_that_nobody_gave() -> None:
    text = summary_with()
    assert not [line for line in text.splitlines() if line.startswith(("  boxes", "  cost"))]


def test_what_is_proven() -> None:
    assert "  proof     proven: no plan under these rules needs fewer\n" in summary_with()
    text = summary_with(tiles_needed=7, lower_bound=5, proven_minimal=False)
    assert "  proof     not proven: at least 5 tiles, a gap of 2\n" in text
    assert "            the search ended when its time was up" in text


def test_nothing_is_said_of_the_search_when_the_answer_is_proven() -> None:
    assert "the search ended" not in summary_with()


def test_saved_nothing() -> None:
    assert (
        "  saved     nothing; a new tile for every cut piece would take 1 as well" in summary_with()
    )


def test_several_tiles_are_added_up() -> None:
    lines = lines_of("bathroom")
    assert lines[lines.index("All tiles together") + 1] == "  buy       13 tiles"
    assert not any(line.startswith("  cost") for line in lines[lines.index("All tiles together") :])
    assert "All tiles together" not in lines_of("splashback")


@pytest.mark.parametrize("name", NAMES)
def test_no_reserve_notes_and_cautions(name: str) -> None:
    text = write_summary(*sample(name))
    assert "Without any reserve for breakage" in text
    everything = squeezed(text)
    assert all(squeezed(caution.full) in everything for caution in CAUTIONS)
    assert all(f"- {caution.full[:20]}" in text for caution in CAUTIONS)
    assert text.count("Note: ") == len(sample(name)[1].notes)


def test_a_note_cannot_steer_the_terminal() -> None:
    assert "Note: somebody's own plan  [31m\n" in write_summary(*sample("awkward"))


@given(st.text(max_size=200))
def test_any_title_fits(title: str) -> None:
    plan = Plan.of(one_tile(CUTS, LAID, title=title))
    lines = write_summary(one_request(PIECE), plan).split("\n")
    assert all(columns_of(line) <= 80 for line in lines)
