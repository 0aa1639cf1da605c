"""Tables: read as they are written, refused by line and column."""

import pytest

from cutopt.documents import Document, Job, Request
from cutopt.errors import InvalidInput
from cutopt.exchange import Setup, read_table, read_tile
from cutopt.units import INCH, MM

SETUP = Setup([read_tile("600x300")])


def faults(text: str, setup: Setup = SETUP) -> list[str]:
    with pytest.raises(InvalidInput) as refused:
        read_table(text, setup)
    return [str(fault) for fault in refused.value.faults]


def request_of(text: str, setup: Setup = SETUP) -> Request:
    found: Document = read_table(text, setup)
    assert isinstance(found, Request)
    return found


def test_pieces_of_a_table() -> None:
    text = "piece,width,height,quantity,factory edges\nA1.1,250,300,2,left top\n,100.5 mm,12 cm,,\n"
    first, second = request_of(text).pieces
    assert (first.id, first.width, first.quantity) == ("A1.1", 250 * MM, 2)
    assert first.factory_edges == ("left", "top")
    assert (second.id, second.width, second.height) == ("line 3", 100 * MM + 4_000, 120 * MM)


@pytest.mark.parametrize(
    "text", ["id;width;height\na;250,5;300", "id\twidth\theight\na\t250,5\t300"]
)
def test_semicolons_tabs_and_decimal_commas(text: str) -> None:
    (piece,) = request_of(text).pieces
    assert piece.width == 250 * MM + 4_000


def test_bare_numbers_count_the_units_asked_for() -> None:
    setup = Setup([read_tile("24x12", "in")], units="in", kerf="1/16 in")
    found = request_of("id,width,height\na,10 1/2,6\n", setup)
    assert found.tiles[0].width == 24 * INCH
    assert found.pieces[0].width == 10 * INCH + INCH // 2
    assert found.saw.kerf == INCH // 16


def test_every_fault_names_its_line() -> None:
    text = 'id,width,height,quantity\na,12x,300,1\nb,100,,2\nc,100,100,two\nd,1\n"e,1",100,,1\n'
    found = faults(text)
    assert found[0].startswith("line 2, width: '12x': a length is")
    assert any(fault.startswith("line 4, quantity: 'two': a quantity") for fault in found)
    assert any(fault.startswith("line 5: 2 cells: every line") for fault in found)


def test_rules_of_the_request_name_the_line_too() -> None:
    found = faults("id,width,height\na,100,100\na,200,\n\nb,100,90\nc,100,0.1\n")
    assert [fault.split(":")[0] for fault in found] == ["line 3, height", "line 6, height"]
    found = faults("id,width,height\na,100,100\n\na,100,90\nc,100,0.1\n")
    assert [fault.split(":")[0] for fault in found] == [
        "line 2, id",
        "line 4, id",
        "line 5, height",
    ]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "line 1: nothing: a table has a line of column names"),
        ("id,width,height\n", "line 2: nothing"),
        ("id,width,hight\na,1,2\n", "line 1: 'hight': the columns are"),
        ("id,width\na,1\n", "line 1: no column 'height'"),
        ("id,id,width,height\na,a,1,2\n", "line 1: 'id': each column stands once"),
        ('id,width,height\na,"1,2\n', "this is no CSV"),
    ],
)
def test_tables_that_are_none(text: str, said: str) -> None:
    assert said in faults(text)[0]


def test_surfaces_of_a_table_make_a_job() -> None:
    text = (
        "room,surface,kind,width,height,joint\nbath,A,wall,2400,2500,\nbath,F,floor,2400,1800,3\n"
    )
    found = read_table(text, SETUP)
    assert isinstance(found, Job)
    (room,) = found.rooms
    assert [surface.id for surface in room.surfaces] == ["A", "F"]
    assert [surface.joint for surface in room.surfaces] == [2 * MM, 3 * MM]
    assert faults("room,surface,width,height\nbath,a1,2400,2500\n")[0].startswith("line 2, surface")


@pytest.mark.parametrize("text", ["600", "a=b=600x300", "x300", ""])
def test_a_tile_is_written_as_its_size(text: str) -> None:
    with pytest.raises(ValueError, match="a tile is written"):
        read_tile(text)


def test_faults_of_cells_and_of_the_request_come_together_line_by_line() -> None:
    text = (
        "piece,width,height,quantity,factory edges\n"
        "A,100,100,0,\n"
        "B,25x,300,2,left\n"
        "C,100,,1,\n"
        "D,100,100,1,middle\n"
        "E,100,100,x,\n"
        "F,100,100,1,left,more\n"
    )
    with pytest.raises(InvalidInput) as refused:
        read_table(text, SETUP)
    lines = [fault.place.partition(",")[0] for fault in refused.value.faults]
    assert lines == [f"line {number}" for number in (2, 3, 4, 5, 6, 7)]


def test_letters_of_surfaces_are_told_in_words() -> None:
    text = "surface,width,height\nA,2400,2500\nb1,2400,2500\n"
    with pytest.raises(InvalidInput, match=r"line 3, surface: 'b1': .*capital letters"):
        read_table(text, SETUP)
