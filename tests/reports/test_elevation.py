"""Elevations: to scale, nothing outside the surface, every cut piece named, every finding told."""

import os
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest
import shapely
from hypothesis import HealthCheck, given, settings

from cutopt import pipeline
from cutopt.documents import Job
from cutopt.errors import InvalidInput
from cutopt.layout import take_off
from cutopt.reports.elevation import draw_elevation, draw_elevations
from cutopt.reports.surface.drawing import drawn as drawing_of
from cutopt.reports.surface.drawing import matter_of
from cutopt.reports.surface.findings import Found, found_on, own_findings
from cutopt.reports.surface.view import A4, touch, view_of
from cutopt.version import VERSION
from tests.layout.jobs import job, job_data, jobs, surface
from tests.reports.elevations import SVG, Elevation, drawn, labels_said

EXAMPLES = sorted((Path(__file__).parents[2] / "docs" / "examples").glob("*.json"))
SAMPLE = Path(__file__).parent / "golden" / "elevation.svg"
#: On paper, in mm: coordinates are rounded to 0.01 mm.
CLOSE = 0.03

SMALL: dict[str, Any] = {
    "title": "alcove",
    "width": 1300,
    "height": 905,
    "edges": {"right": "open", "top": {"meets": "profile"}},
    "holes": [{"kind": "pipe", "x": 900, "y": 450, "diameter": 32, "plate": {"diameter": 70}}],
}


def small(**fields: Any) -> Elevation:
    return drawn(job(surface(**{**SMALL, **fields}), title="Haus Lindenhof 7"))


def check(found: Elevation) -> None:
    """Hold what every elevation must hold."""
    ground = found.outline.buffer(CLOSE)
    pieces = [piece for piece in found.surface.cut if not piece.is_full]
    assert len(found.cut) == len(pieces)
    assert len(found.whole) == found.surface.full_tiles
    assert all(shapely.contains(ground, [*found.cut, *found.whole]))
    assert {piece.label for piece in pieces} <= labels_said(found.said)
    squeezed = "".join(found.said.split())
    for finding in own_findings(found.surface, found.found):
        for text in (finding.value, finding.rule, finding.source):
            assert "".join(text.split()) in squeezed


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_the_examples(path: Path) -> None:
    example = Job.read(path.read_bytes())
    found = drawn(example)
    check(found)
    owners = [own_findings(laid, found.found) for laid in found.found.surfaces]
    for finding in found.found.findings:
        assert sum(finding in own for own in owners) == 1, "on one drawing, and on no other"
    for _, part in next(example.surfaces)[1].parts:
        assert part.title is None or part.title in found.said


@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=jobs())
def test_any_surface(data: dict[str, Any]) -> None:
    try:
        found = drawn(Job.of(data))
    except InvalidInput:
        return
    check(found)


def test_tiles_do_not_overlap_and_are_to_scale() -> None:
    found = small()
    tiles = [*found.cut, *found.whole]
    assert shapely.union_all(tiles).area == pytest.approx(sum(t.area for t in tiles), rel=1e-9)
    sizes = [(right - left, low - top) for left, top, right, low in (t.bounds for t in found.whole)]
    for width, height in sizes:
        # Joints thinner than can be printed are drawn a little wider.
        assert width == pytest.approx(600 / found.ratio, abs=0.15)
        assert height == pytest.approx(300 / found.ratio, abs=0.15)


def test_the_scale_bar_is_as_long_as_it_says() -> None:
    found = small()
    (bar,) = found.of_class("scale")
    boxes = [box for box in bar if box.tag.endswith("rect")]
    length = sum(float(box.get("width", "")) for box in boxes)
    assert "500 mm" in found.words
    assert length * found.ratio == pytest.approx(500, rel=0.005)
    assert any(words.startswith(f"scale 1 : {found.ratio:g} on A4") for words in found.words)


def test_measures_and_cuts_at_the_borders() -> None:
    found = small()
    assert {"1300 · open", "905 · open"} & set(found.words) == {"905 · open"}
    assert {"1300 · floor", "1300 · profile", "905 · inside corner"} <= set(found.words)
    # 3 mm sealant, two tiles, two joints of 2 mm; the right edge is open: 1300 - 3 - 2 * 602 = 93.
    assert "93" in found.words
    # 905 - 3 - 2 * 302 less 2 mm of grout under the profile: 296 of 300.
    assert "296" in found.words


def test_measures_in_inches() -> None:
    tile = {"width": "23 5/8 in", "height": "11 3/4 in"}
    wall = {"width": "50 1/2 in", "height": "36 in", "joint": "1/8 in"}
    found = drawn(job(surface(**wall), tile=tile, units="in"))
    assert {"50 1/2 · floor", "36 · inside corner", "1 ft"} & set(found.words) >= {
        "50 1/2 · floor",
        "36 · inside corner",
    }
    assert any(words.endswith("measures in inches") for words in found.words)


def test_out_of_square_edges_bear_the_measures_that_were_taken() -> None:
    wall = {"id": "A", "joint": 2, "bottom": 2000, "top": 2010, "left": 1500, "right": 1520}
    found = drawn(job(wall))
    measures = {"2000 · floor", "2010 · ceiling", "1500 · inside corner", "1520 · inside corner"}
    assert measures <= set(found.words)


def test_a_slanted_edge_of_an_outline_is_told_as_rounded() -> None:
    corners = [[0, 0], [1500, 0], [1500, 700], [800, 1300], [0, 1300]]
    found = drawn(job(surface(outline=corners)))
    assert "≈ 922 · inside corner" in found.words


def test_signs_of_the_joints() -> None:
    found = small()
    in_key = 1
    assert len(found.of_class("sealant")) == 2 + in_key
    assert len(found.of_class("grout")) == 1 + in_key
    assert len(found.of_class("factory-edge")) == 1 + in_key


def test_no_sign_is_explained_that_does_not_occur() -> None:
    found = small(edges={}, holes=[])
    assert not found.of_class("grout")
    assert "factory edge in sight" not in found.words
    assert "opening, hole, obstacle" not in found.words


def test_a_hole_bears_a_letter_and_is_described() -> None:
    found = small()
    assert "a" in found.words
    assert "pipe: diameter 32, cut 3 wider all round, plate diameter 70" in found.said
    assert "centre 900 from left, 450 from bottom" in found.said


def test_a_piece_without_room_for_its_name_bears_a_number() -> None:
    found = small(width=1215)
    assert "Pieces by number" in found.words
    sliver = next(piece for piece in found.surface.cut if piece.label == "A2.3")
    assert sliver.label in found.said
    assert any(words.startswith("A2.3, 8 × 300") for words in found.words)


def test_a_finding_is_numbered_where_it_is_and_below() -> None:
    found = small(width=1215)
    slivers = next(item for item in found.found.findings if item.kind == "sliver")
    row = next(words for words in found.words if "not safely sawn" in words or "A1.3" in words)
    assert row
    numbers = [words for words in found.words if words == "1"]
    # Once on each piece, once in the list, and once in the key; piece 1 has a number too.
    assert len(numbers) >= len(slivers.labels) + 2


def test_a_strip_too_thin_to_be_cut_is_flagged() -> None:
    """605 = 3 + 300 + 2 + 299.6 + 0.4 of the next course, under 0.5 mm."""
    found = small(holes=[], height=607.4, edges={"top": {"meets": "profile", "joint": 0}})
    (gap,) = (item for item in found_on(found.surface, found.found.findings) if _is_gap(item))
    assert len(gap.finding.labels) == 3
    flags = [tag for tag in found.of_class("tag") if tag.find(f"{SVG}circle") is not None]
    numbers = [words.text for tag in flags for words in tag.iter(f"{SVG}text")]
    assert numbers.count(str(gap.flag.number)) == 3


def _is_gap(item: Found) -> bool:
    return item.finding.kind == "gap"


def test_foreign_text_stays_text() -> None:
    nasty = '<script>&"\u202e\u0007'.replace("\u0007", "")
    hall = job_data(surface(**{**SMALL, "title": nasty}), title=f"{nasty} hall")
    hall["tiles"][0]["id"] = "<tile>&amp;"
    found = drawn(Job.of(hall))
    assert "<script" not in found.svg
    assert "\u202e" not in found.svg
    assert any("<script>&" in words for words in found.words)
    assert any("<tile>&amp;" in words for words in found.words)


def test_with_a_plan_pieces_say_which_tile_they_come_from() -> None:
    wall = job(surface(**SMALL))
    found = take_off(wall)
    plan = pipeline.plan(found.request)
    svg = draw_elevation(wall, found, found.surfaces[0], plan)
    numbers = {cut_tile.number for cut_tile in plan.cut_tiles}
    assert any(f"from tile {number}<" in svg for number in numbers)
    assert "from tile" not in draw_elevation(wall, found, found.surfaces[0])


def test_every_surface_is_drawn_under_its_letters() -> None:
    wall = job(surface(), surface(id="BC", width=900))
    drawings = draw_elevations(wall, take_off(wall))
    assert list(drawings) == ["A", "BC"]
    assert "BC · wall" in drawings["BC"]


@pytest.mark.parametrize(("angle", "length"), [(0, 30_000), (45, 6_000)])
def test_a_hall_of_a_hundred_thousand_tiles_is_a_small_file(angle: int, length: int) -> None:
    bond = {"kind": "stack", "angle": angle}
    hall = surface(kind="floor", width=length, height=20_000, bond=bond)
    laid = job(hall, tile={"width": 78, "height": 78})
    found = take_off(laid)
    svg = draw_elevation(laid, found, found.surfaces[0])
    assert len(svg) < 500_000
    check(Elevation(found.surfaces[0], found, svg))


def test_names_neither_overlap_nor_leave_the_surface() -> None:
    example = Job.read(EXAMPLES[1].read_bytes())
    found = take_off(example)
    matter = matter_of(example, found, found.surfaces[0], None)
    view = view_of(found.surfaces[0], "mm", A4)
    names = drawing_of(matter, view).names
    boxes = names.occupied[len(names.occupied) - names.inside - names.led :]
    assert names.inside + names.led > 30
    for one, other in combinations(boxes, 2):
        assert not touch(one, other)
    assert all(view.holds(box) for box in boxes)


def test_the_sample() -> None:
    """Compare byte for byte; with `CUTOPT_RENEW=1` it is stored anew: look at it first."""
    svg = small().svg.replace(f"cutopt {VERSION}", "cutopt").encode()
    if os.environ.get("CUTOPT_RENEW") == "1":
        SAMPLE.write_bytes(svg)
    assert svg == SAMPLE.read_bytes()
