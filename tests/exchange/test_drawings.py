"""Drawings: what is written can be read again; what is odd is refused by the line of the file."""

import io
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from hypothesis import given, settings

from cutopt.command import main
from cutopt.documents import Job, Request
from cutopt.errors import InvalidInput
from cutopt.exchange import Setup, read_outlines, read_tile, write_dxf
from cutopt.reports.laid import lay
from cutopt.units import INCH, MM
from tests.building import planned, request
from tests.strategies import requests

SETUP = Setup([read_tile("600x300")])
SQUARE = [(0, 0), (100, 0), (100, 80), (0, 80)]


def drawing(units: int = 4) -> Any:
    return ezdxf.new("R2010", units=units)  # type: ignore[attr-defined]


def text_of(document: Any) -> str:
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue()


def pieces(document: Any) -> Request:
    found, _ = read_outlines(text_of(document), SETUP)
    assert isinstance(found, Request)
    return found


def test_outlines_holes_and_names() -> None:
    one = drawing()
    space = one.modelspace()
    space.add_lwpolyline([(10, 10), (110, 10), (110, 60), (60, 90), (10, 90)], close=True)
    space.add_lwpolyline([(20, 20), (20, 30), (30, 30), (30, 20)], close=True)
    space.add_circle((80, 40), 10)
    space.add_text("B7", dxfattribs={"insert": (50, 50)})
    space.add_lwpolyline([(200, 0), (300, 0), (300, 80), (200, 80), (200, 0)])
    first, second = pieces(one).pieces
    assert (first.id, first.width, first.height) == ("B7", 100 * MM, 80 * MM)
    assert first.outline is not None
    assert len(first.outline) == 5
    assert [hole.diameter for hole in first.holes] == [None, 20 * MM]
    assert (first.holes[1].x, first.holes[1].y) == (70 * MM, 30 * MM)
    assert (second.id, second.is_plain) == ("piece 2", True)


def test_the_units_of_the_drawing_count() -> None:
    for units, unit in ((4, MM), (5, 10 * MM), (1, INCH)):
        one = drawing(units)
        one.modelspace().add_lwpolyline([(0, 0), (5, 0), (5, 4), (0, 4)], close=True)
        assert pieces(one).pieces[0].width == 5 * unit


def test_coordinates_off_the_grid_are_moved_and_counted() -> None:
    one = drawing()
    one.modelspace().add_lwpolyline([(0, 0), (100 / 3, 0), (100 / 3, 80), (0, 80)], close=True)
    found, moved = read_outlines(text_of(one), SETUP)
    assert isinstance(found, Request)
    assert (found.pieces[0].width, moved) == (33_333 * 8, 2)


def test_surfaces_make_a_job() -> None:
    one = drawing()
    space = one.modelspace()
    space.add_lwpolyline([(0, 0), (2400, 0), (2400, 2500), (0, 2500)], close=True)
    space.add_lwpolyline([(500, 500), (900, 500), (900, 900), (500, 900)], close=True)
    space.add_circle((1500, 1000), 20)
    found, _ = read_outlines(text_of(one), SETUP, surfaces=True)
    assert isinstance(found, Job)
    (surface,) = found.rooms[0].surfaces
    assert (surface.id, len(surface.obstacles), len(surface.holes)) == ("A", 1, 1)


@pytest.mark.parametrize(
    ("points", "close", "said"),
    [
        (SQUARE, False, "a polyline is closed"),
        ([(0, 0), (100, 80), (100, 0), (0, 80)], True, "neither crosses nor touches itself"),
        ([(0, 0, 0.5), (100, 0, 0), (100, 80, 0)], True, "straight edges only"),
    ],
)
def test_odd_polylines_are_refused_by_line(points: Any, close: bool, said: str) -> None:
    one = drawing()
    form = "xyb" if len(points[0]) == 3 else "xy"
    one.modelspace().add_lwpolyline(points, format=form, close=close)
    text = text_of(one)
    with pytest.raises(InvalidInput) as refused:
        read_outlines(text, SETUP)
    (fault,) = refused.value.faults
    assert said in fault.rule
    line = int(fault.place.removeprefix("line "))
    assert text.splitlines()[line] == "LWPOLYLINE"


def test_rules_of_the_request_name_the_line_too() -> None:
    one = drawing()
    one.modelspace().add_lwpolyline([(0, 0), (0.1, 0), (0.1, 80), (0, 80)], close=True)
    with pytest.raises(InvalidInput, match=r"line \d+, width: 0.1 mm"):
        read_outlines(text_of(one), SETUP)


@pytest.mark.parametrize("text", ["", "id,width\n", "0\nSECTION\n2\nENT"])
def test_what_is_no_drawing_is_refused(text: str) -> None:
    with pytest.raises(InvalidInput, match=r"line 1"):
        read_outlines(text, SETUP)


def test_a_circle_outside_is_refused() -> None:
    one = drawing()
    one.modelspace().add_lwpolyline(SQUARE, close=True)
    one.modelspace().add_circle((500, 500), 10)
    with pytest.raises(InvalidInput, match="a circle lies inside an outline"):
        read_outlines(text_of(one), SETUP)


def shaped() -> Request:
    outline = [[0, 0], [200, 0], [200, 300], [50, 300], [50, 200], [0, 200]]
    holes = [{"x": 100, "y": 100, "diameter": 30}]
    piece = {"width": 200, "height": 300, "outline": outline, "holes": holes, "quantity": 3}
    return request((600, 300), [piece, (250, 120, 2)], kerf=2)


def test_a_drawing_of_a_plan_holds_every_piece_to_size() -> None:
    wanted = shaped()
    plan = planned(wanted)
    text = write_dxf(wanted, plan)
    assert text == write_dxf(wanted, plan)
    read = ezdxf.read(io.StringIO(text))  # type: ignore[attr-defined]
    assert not read.audit().errors
    assert read.header["$INSUNITS"] == 4
    space = read.modelspace()
    outlines: Any = space.query('LWPOLYLINE[layer=="PIECES"]')
    assert len(outlines) == sum(len(one.placements) for one in plan.cut_tiles)
    assert all(one.closed for one in outlines)
    widths = set()
    for one in outlines:
        xs = [x for x, _ in one.get_points("xy")]
        widths.add(round(max(xs) - min(xs), 6))
    assert widths == {200, 250}
    assert {circle.dxf.radius for circle in space.query("CIRCLE")} == {15}
    assert space.query('LINE[layer=="CUTS"]')


def test_one_tile_lies_on_the_origin() -> None:
    wanted = shaped()
    plan = planned(wanted)
    number = plan.cut_tiles[-1].number
    read = ezdxf.read(io.StringIO(write_dxf(wanted, plan, number)))  # type: ignore[attr-defined]
    stocks: Any = read.modelspace().query('LWPOLYLINE[layer=="STOCK"]')
    (stock,) = stocks
    assert min(stock.get_points("xy")) == (0, 0)
    with pytest.raises(InvalidInput, match="no such cut tile"):
        write_dxf(wanted, plan, 99)


def test_the_commands(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table = tmp_path / "pieces.csv"
    table.write_text("id,width,height,quantity\nend,290,300,4\n", encoding="utf-8")
    wanted, out = tmp_path / "request.json", tmp_path / "tiles.dxf"
    arguments = ["import", str(table), "--tile", "field=600x300", "--out", str(wanted)]
    assert main(arguments) == 0
    assert Request.read(wanted.read_bytes()).pieces[0].quantity == 4
    assert main(["dxf", str(wanted), "--out", str(out), "--quiet"]) == 0
    assert "cut tiles drawn" in capsys.readouterr().out
    back = ["import", str(out), "--tile", "600x300", "--quiet", "--layer", "PIECES"]
    assert main(back) == 0
    found = Request.read(capsys.readouterr().out).pieces
    assert {(piece.width, piece.height) for piece in found} == {(290 * MM, 300 * MM)}
    assert [piece.id for piece in found][:2] == ["end", "end (2)"]
    assert main(["import", str(table), "--tile", "huge"]) == 2
    assert "a tile is written" in capsys.readouterr().err
    table.write_text("id,width,height\nend,290 kg,300\n", encoding="utf-8")
    assert main(["import", str(table), "--tile", "600x300"]) == 2
    assert f"{table}: line 2, width: '290 kg'" in capsys.readouterr().err


def at_home(corners: Any) -> tuple[tuple[int, int], ...]:
    """Return corners from the lower left of their box, in thousandths of a millimetre, sorted."""
    points = [(round(x * 1000 / MM), round(y * 1000 / MM)) for x, y in corners]
    left, low = min(x for x, _ in points), min(y for _, y in points)
    return tuple(sorted((x - left, y - low) for x, y in points))


@settings(max_examples=20)
@given(requests(slanted=True))
def test_outlines_come_back_as_they_went(document: Any) -> None:
    wanted = Request.of(document)
    plan = planned(wanted)
    text = write_dxf(wanted, plan)
    assert not ezdxf.read(io.StringIO(text)).audit().errors  # type: ignore[attr-defined]
    by_name = {piece.id: piece for piece in wanted.pieces}
    went = Counter(
        at_home(lay(placed, by_name[placed.piece]).outline)
        for one in plan.cut_tiles
        for placed in one.placements
    )
    if not went:
        return
    found, _ = read_outlines(text, replace(SETUP, layer="PIECES", units=wanted.units))
    assert isinstance(found, Request)
    came = Counter(at_home(piece.shape) for piece in found.pieces)
    assert sum(came.values()) == sum(went.values())
    for outline, other in zip(sorted(went.elements()), sorted(came.elements()), strict=True):
        assert len(outline) == len(other)
        for (x, y), (a, b) in zip(outline, other, strict=True):
            assert abs(x - a) <= 1
            assert abs(y - b) <= 1
