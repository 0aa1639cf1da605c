"""The cut list, parsed back, is the plan; and no cell is a formula."""

import csv
import io
from fractions import Fraction

import pytest

from cutopt.documents import Plan
from cutopt.reports import write_cut_list
from cutopt.reports.cut_list import COLUMNS, GUARD
from cutopt.units import parse_length
from tests.reports.samples import NAMES, one_request, one_tile, sample

Row = dict[str, str]


def rows_of(text: str) -> list[Row]:
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


def read(cell: str) -> str:
    return cell.removeprefix(GUARD)


def one_row(**piece: object) -> Row:
    piece = {"id": "end", "width": 250, "height": 300, **piece}
    plan = Plan.of(one_tile(None, [{"piece": piece["id"], "x": 0, "y": 0, "turn": 0}]))
    (row,) = rows_of(write_cut_list(one_request(piece), plan))
    return row


@pytest.mark.parametrize("name", NAMES)
def test_parsed_back_it_is_the_plan(name: str) -> None:
    request, plan = sample(name)
    pieces = {piece.id: piece for piece in request.pieces}
    rows = iter(rows_of(write_cut_list(request, plan)))
    for cut_tile in plan.cut_tiles:
        for placement in cut_tile.placements:
            row, piece = next(rows), pieces[placement.piece]
            assert row["cut tile"] == str(cut_tile.number)
            assert row["times"] == str(cut_tile.count)
            assert (read(row["tile"]), read(row["stock"])) == (cut_tile.tile, cut_tile.stock)
            assert read(row["piece"]) == piece.id
            assert row["turn"] == str(placement.turn)
            assert tuple(row["factory edges"].split()) == piece.factory_edges
            for side in ("width", "height"):
                length = parse_length(f"{row[side]} {row['units']}")
                assert length == getattr(piece, side)
    assert next(rows, None) is None


def test_lines_end_as_rfc_4180_says() -> None:
    text = write_cut_list(*sample("awkward"))
    lines = text.split("\r\n")
    assert lines[0] == ",".join(COLUMNS)
    assert lines[-1] == ""
    assert not any("\n" in line or "\r" in line for line in lines)


@pytest.mark.parametrize("name", ["=1+1", "+1", "-1", "@sum(A1)", " =1", "'=1", "\uff1d1", "'end"])
def test_no_cell_is_a_formula(name: str) -> None:
    cell = one_row(id=name)["piece"]
    assert cell == GUARD + name


@pytest.mark.parametrize("name", ["end", "A-1", "1=1", "x'"])
def test_other_names_stay_as_they_are(name: str) -> None:
    assert one_row(id=name)["piece"] == name


def test_inches_are_exact_decimals() -> None:
    request, plan = sample("splashback")
    first = rows_of(write_cut_list(request, plan))[0]
    assert Fraction(first["width"]) == Fraction(47, 16)
    assert first["units"] == "in"


def test_what_is_no_decimal_in_inches_is_in_mm() -> None:
    plan = one_tile(None, [{"piece": "end", "x": 0, "y": 0, "turn": 0}], units="in")
    plan["cut_tiles"][0] |= {"width": "600 mm", "height": "300 mm"}
    request = one_request({"id": "end", "width": "250.125 mm", "height": "10 in"})
    (row,) = rows_of(write_cut_list(request, Plan.of(plan)))
    assert (row["width"], row["height"], row["units"]) == ("250.125", "254", "mm")


def test_remarks_are_those_of_the_piece_as_it_hangs() -> None:
    request, plan = sample("bathroom")
    rows = {row["piece"]: row for row in rows_of(write_cut_list(request, plan))}
    assert rows["A-3-2"]["turn"] == "180"
    assert rows["A-3-2"]["remarks"] == "notch 200 x 150, upper right"
    assert rows["A-1-1"]["remarks"] == ""
