"""The steps as a table: one row each, exact numbers, nothing that a spreadsheet reckons with."""

import csv
import io

from cutopt.reports.step_list import COLUMNS, write_step_list
from cutopt.sequence import cut_order
from cutopt.units import INCH
from tests.building import planned, request


def rows_of(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_one_row_for_each_step() -> None:
    wanted = request((600, 300), [(290, 300, 4), (123.456, 300, 1)], kerf=2)
    order = cut_order(wanted, planned(wanted), "fence")
    text = write_step_list(order)
    assert text.startswith(",".join(COLUMNS) + "\r\n")
    rows = rows_of(text)
    assert [int(row["step"]) for row in rows] == [step.number for step in order.steps]
    assert sum(row["set the fence"] == "yes" for row in rows) == order.workload.settings
    assert {row["fence"] for row in rows} >= {"290", "123.456"}
    assert {row["units"] for row in rows} == {"mm"}
    named = [name for row in rows for name in row["pieces"].split("; ") if name]
    assert sorted(set(named)) == ["p0", "p1"]


def test_inches_and_names_that_look_like_formulas() -> None:
    wanted = request(
        ("24 in", "12 in"),
        [{"id": "=1+1", "width": "100 mm", "height": "12 in"}],
        kerf="2 mm",
        units="in",
    )
    (row,) = rows_of(write_step_list(cut_order(wanted, planned(wanted))))
    assert (row["fence"], row["units"]) == ("100", "mm")
    assert row["pieces"] == "'=1+1"
    assert wanted.tiles[0].width == 24 * INCH


def test_what_needs_no_fence() -> None:
    piece = {"width": 600, "height": 300, "holes": [{"x": 100, "y": 100, "diameter": 30}]}
    wanted = request((600, 300), [piece])
    (row,) = rows_of(write_step_list(cut_order(wanted, planned(wanted))))
    assert (row["fence"], row["set the fence"], row["edge"]) == ("", "", "")
    assert row["do"] == "hole diameter 30, centre 100 from left, 100 from bottom"
