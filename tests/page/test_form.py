"""The form of a job measured by hand: to a document and back, faults where they stand."""

import json
from urllib.parse import urlencode

import pytest

from api.page.draft import draft_by_hand, draft_of_text
from api.page.form import form_again, form_kept, form_of, job_of, new_form, read_fields

WALL = {
    "title": "wall", "tile_width": "597", "tile_height": "297", "kerf": "2", "joint": "3",
    "bond": "third", "s0.kind": "wall", "s0.width": "2480", "s0.height": "2395",
    "s0.o0.kind": "window", "s0.o0.x": "790", "s0.o0.y": "1145", "s0.o0.width": "905",
    "s0.o0.height": "820",
}  # fmt: skip


def test_a_wall_becomes_a_job_and_is_drawn() -> None:
    draft = draft_by_hand(form_of(WALL), True)
    assert draft.is_good
    job = json.loads(draft.document)
    surface = job["rooms"][0]["surfaces"][0]
    assert (surface["width"], surface["openings"][0]["kind"]) == (2480, "window")
    assert surface["bond"]["offset"] == "1/3"
    assert draft.surfaces[0].drawing.startswith("<svg")
    assert draft_by_hand(form_of(WALL), False).surfaces == ()


def test_an_empty_form_says_what_is_missing_and_where() -> None:
    draft = draft_by_hand(new_form(), True)
    assert draft.faults["tile_width"] == ["this field is required"]
    assert "s0.width" in draft.faults


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("tile_width", "wide"),
        ("kerf", "30"),
        ("joint", "0"),
        ("s0.width", "-5"),
        ("s0.o0.height", "ten"),
        ("s0.start_x", "x"),
        ("per_box", "some"),
    ],
)
def test_a_fault_stands_at_its_field(field: str, value: str) -> None:
    faults = draft_by_hand(form_of({**WALL, field: value}), True).faults
    assert field in faults


def test_a_decimal_comma_is_a_point_and_units_may_be_written() -> None:
    form = form_of({**WALL, "s0.width": "2480,5", "s0.height": "2.4 m"})
    surface = job_of(form)["rooms"][0]["surfaces"][0]
    assert (surface["width"], surface["height"]) == ("2480.5 mm", "2.4 m")


def test_out_of_square_is_four_measures() -> None:
    surface = job_of(form_of({**WALL, "s0.top": "2486"}))["rooms"][0]["surfaces"][0]
    assert {side: surface[side] for side in ("bottom", "top", "left", "right")} == {
        "bottom": "2480 mm", "top": "2486 mm", "left": "2395 mm", "right": "2395 mm"
    }  # fmt: skip


def test_buttons_add_and_drop() -> None:
    form = form_of({**WALL, "do": "add surface"})
    assert len(form.surfaces) == 2
    assert len(form_of({**WALL, "do": "add opening 0"}).surfaces[0].openings) == 2
    assert form_of({**WALL, "do": "drop opening 0 0"}).surfaces[0].openings == []
    assert len(form_of({**WALL, "do": "add hole 0"}).surfaces[0].holes) == 1
    assert len(form_of({**WALL, "do": "drop surface 0"}).surfaces) == 1
    assert len(form_of({**WALL, "do": "drop surface 999"}).surfaces) == 1


def test_a_form_that_is_kept_comes_back() -> None:
    form = form_of(WALL)
    assert form_again(json.loads(json.dumps(form_kept(form)))) == form


def test_a_list_a_table_of_surfaces_and_a_document() -> None:
    tile = {"tile_width": "600", "tile_height": "300", "joint": "2"}
    pieces = draft_of_text(form_of({**tile, "list": "width;height;quantity\n290;300;4"}), True)
    assert pieces.summary == "4 pieces in 1 size"
    rooms = draft_of_text(form_of({**tile, "list": "surface,width,height\nA,2000,1000"}), True)
    assert [one.mark for one in rooms.surfaces] == ["A"]
    again = draft_of_text(form_of({"list": rooms.document}), False)
    assert again.document == rooms.document
    wrong = draft_of_text(form_of({**tile, "list": "width,height\n290,wide"}), True)
    assert "line 2, height" in wrong.faults["list"][0]
    assert "list" in draft_of_text(form_of({"list": "{"}), True).faults


def test_a_form_has_bounds() -> None:
    assert read_fields(urlencode(WALL).encode())["s0.width"] == "2480"
    with pytest.raises(ValueError, match="fields"):
        read_fields(b"&".join(b"a=1" for _ in range(6_001)))
    with pytest.raises(UnicodeDecodeError):
        read_fields(b"title=\xff")
