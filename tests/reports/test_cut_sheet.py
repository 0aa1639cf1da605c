"""The cut sheet: sound XML, each piece named and inside its tile, pages that hold it all."""

import re
from itertools import pairwise
from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutopt.documents import Plan, Request
from cutopt.reports import CAUTIONS, draw_cut_sheet, draw_cut_sheets
from cutopt.reports.svg import GREY, INK, PAPER
from cutopt.units import show_number
from tests.reports.samples import (
    NAMES,
    SVG,
    of_class,
    one_request,
    one_tile,
    parsed,
    sample,
    squeezed,
    words,
)

Drawn = ElementTree.Element


def sheet(name: str) -> Drawn:
    return parsed(draw_cut_sheet(*sample(name)))


def sheet_of(plan: dict[str, Any], *pieces: dict[str, Any]) -> Drawn:
    return parsed(draw_cut_sheet(one_request(*pieces), Plan.of(plan)))


def laid(piece: str, x: float = 0, y: float = 0, turn: int = 0) -> dict[str, Any]:
    return {"piece": piece, "x": x, "y": y, "turn": turn}


def frame_of(stock: Drawn) -> tuple[float, float, float, float]:
    x, y, width, height = (float(stock.get(key, "")) for key in ("x", "y", "width", "height"))
    return x, y, x + width, y + height


def points_of(piece: Drawn) -> list[tuple[float, float]]:
    numbers = [
        float(n)
        for n in re.findall(r"-?\d+(?:\.\d+)?", re.sub(r"A[^A-Z]*", "", piece.get("d", "")))
    ]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


@pytest.mark.parametrize("name", NAMES)
def test_every_piece_is_named_with_its_size(name: str) -> None:
    request, plan = sample(name)
    root = sheet(name)
    read, pieces = words(root), {piece.id: piece for piece in request.pieces}
    for placement in (item for cut_tile in plan.cut_tiles for item in cut_tile.placements):
        piece = pieces[placement.piece]
        sides = [show_number(side, plan.units) for side in (piece.width, piece.height)]
        size = " × ".join(sides[:: -1 if placement.turn % 180 else 1])
        assert squeezed(piece.id) in read
        assert squeezed(size) in read


@pytest.mark.parametrize("name", NAMES)
def test_every_cut_tile_is_drawn_with_number_stock_and_count(name: str) -> None:
    _, plan = sample(name)
    tiles = of_class(sheet(name), "cut-tile")
    assert len(tiles) == len(plan.cut_tiles)
    for cut_tile, drawn in zip(plan.cut_tiles, tiles, strict=True):
        texts = ["".join(item.itertext()) for item in drawn.iter(f"{SVG}text")]
        assert texts[0] == str(cut_tile.number)
        new = f"{cut_tile.count} new tile"
        assert texts[1].startswith(new if cut_tile.stock == "new" else f"offcut {cut_tile.stock}")
        assert len(of_class(drawn, "piece")) == len(cut_tile.placements)
        assert len(of_class(drawn, "leftover")) == len(cut_tile.leftovers)
        sides = 4 if cut_tile.stock == "new" else len(cut_tile.factory_edges)
        assert len(of_class(drawn, "factory-edge")) == sides


@pytest.mark.parametrize("name", NAMES)
def test_no_piece_lies_outside_its_tile(name: str) -> None:
    for drawn in of_class(sheet(name), "cut-tile"):
        (stock,) = of_class(drawn, "stock")
        left, top, right, bottom = frame_of(stock)
        for piece in of_class(drawn, "piece"):
            for x, y in points_of(piece):
                assert left - 0.01 <= x <= right + 0.01
                assert top - 0.01 <= y <= bottom + 0.01


def test_a_piece_is_drawn_to_scale_with_y_upwards() -> None:
    root = sheet_of(
        one_tile(None, [laid("end", 300, 150)]), {"id": "end", "width": 300, "height": 75}
    )
    left, top, right, bottom = frame_of(of_class(root, "stock")[0])
    xs, ys = zip(*points_of(of_class(root, "piece")[0]), strict=True)
    assert min(xs) == pytest.approx((left + right) / 2, abs=0.02)
    assert max(xs) == pytest.approx(right, abs=0.02)
    assert max(ys) == pytest.approx((top + bottom) / 2, abs=0.02)
    assert min(ys) == pytest.approx(top + (bottom - top) / 4, abs=0.02)


def test_one_scale_for_each_kind_of_tile() -> None:
    _, plan = sample("bathroom")
    scales: dict[str, set[float]] = {}
    for cut_tile, stock in zip(plan.cut_tiles, of_class(sheet("bathroom"), "stock"), strict=True):
        left, _, right, _ = frame_of(stock)
        scales.setdefault(cut_tile.tile, set()).add(round((right - left) / cut_tile.width * 1e6, 1))
    assert [len(found) for found in scales.values()] == [1, 1]


@pytest.mark.parametrize(
    ("width", "height", "across", "up"),
    [(300, 900, None, 105), (20, 30, 20, 30), (1200, 100, 173, None)],
)
def test_a_tile_is_at_most_life_size_and_fits_the_page(
    width: float, height: float, across: float | None, up: float | None
) -> None:
    plan = one_tile(None, [laid("end")])
    plan["cut_tiles"][0] |= {"width": width, "height": height}
    request = Request.of(
        {
            "tiles": [{"id": "field", "width": width, "height": height}],
            "pieces": [{"id": "end", "width": width / 2, "height": height}],
        }
    )
    root = parsed(draw_cut_sheet(request, Plan.of(plan)))
    left, top, right, bottom = frame_of(of_class(root, "stock")[0])
    assert across is None or right - left == pytest.approx(across)
    assert up is None or bottom - top == pytest.approx(up)


def test_an_outline_and_its_holes_are_drawn() -> None:
    pieces = of_class(sheet("bathroom"), "piece")
    ways = [piece.get("d", "") for piece in pieces]
    assert sum(way.count("A") for way in ways) == 2, "the round hole, in two arcs"
    assert sum(way.count("M") == 2 for way in ways) == 2, "one round hole and one square one"
    assert any(way.count("L") == 5 for way in ways), "the L-shaped piece"
    assert any(way.count("L") == 2 for way in ways), "the triangle"


def test_cuts_are_numbered_in_their_order() -> None:
    _, plan = sample("bathroom")
    for cut_tile, drawn in zip(
        plan.cut_tiles, of_class(sheet("bathroom"), "cut-tile"), strict=True
    ):
        numbers = {"".join(text.itertext()) for text in drawn.iter(f"{SVG}text")}
        assert {str(n) for n in range(1, len(cut_tile.cuts or ()) + 1)} <= numbers
        assert len(of_class(drawn, "cut")) == len(cut_tile.cuts or ())


def test_the_arrow_turns_with_the_piece() -> None:
    *_, last = of_class(sheet("splashback"), "cut-tile")
    (turned,) = (item for item in last.iter(f"{SVG}g") if "rotate" in item.get("transform", ""))
    assert turned.get("transform") == "rotate(-270)", "up when laid is to the right as it lies"


def test_no_arrow_where_nothing_may_turn() -> None:
    for drawn in of_class(sheet("awkward"), "cut-tile"):
        assert not of_class(drawn, "up")


def test_names_are_escaped() -> None:
    text = draw_cut_sheet(*sample("awkward"))
    assert "<b>" not in text
    assert "&lt;b&gt;&amp;" in text
    assert "\x1b" not in text


@pytest.mark.parametrize("name", NAMES)
def test_it_stands_alone_in_black_and_white(name: str) -> None:
    text = draw_cut_sheet(*sample(name))
    assert set(re.findall(r"#[0-9a-fA-F]{6}", text)) <= {INK, PAPER, GREY}
    assert re.findall(r'https?://[^"]*', text) == ["http://www.w3.org/2000/svg"]
    assert not re.search(r"<(image|script|foreignObject|use)|@import|font-face|href", text)


@pytest.mark.parametrize("name", NAMES)
def test_it_can_be_heard(name: str) -> None:
    request, _ = sample(name)
    root = sheet(name)
    assert root.get("role") == "img"
    title, about = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert title.text == f"Cut sheet: {request.title}"
    assert about is not None
    assert about.text
    for drawn in of_class(root, "cut-tile"):
        heard = drawn.find(f"{SVG}title")
        assert heard is not None
        assert (heard.text or "").startswith("Cut tile ")


@pytest.mark.parametrize("name", NAMES)
def test_each_page_has_cautions_and_the_word_on_reserve(name: str) -> None:
    for page in draw_cut_sheets(*sample(name)):
        read = words(parsed(page))
        assert squeezed("Without any reserve for breakage") in read
        assert all(squeezed(caution.brief) in read for caution in CAUTIONS)


@pytest.mark.parametrize("name", NAMES)
def test_the_tall_sheet_is_all_its_pages(name: str) -> None:
    pages = draw_cut_sheets(*sample(name))
    tall = sheet(name)
    assert len(of_class(tall, "page")) == len(pages)
    assert tall.get("height") == f"{297 * len(pages)}mm"
    assert words(tall) == "".join(words(parsed(page)) for page in pages)


def test_notes_are_printed() -> None:
    _, plan = sample("bathroom")
    assert squeezed(f"Note: {plan.notes[0]}") in words(sheet("bathroom"))


def test_what_is_proven_is_said() -> None:
    assert "proven:nofewerwilldo" in words(sheet("splashback"))
    assert "notproven:atleast2" in words(sheet("bathroom"))


@pytest.mark.parametrize(("count", "boxes", "line"), [(1, 1, ""), (10, 10, ""), (11, 0, "of11")])
def test_each_tile_can_be_ticked(count: int, boxes: int, line: str) -> None:
    plan = one_tile(None, [laid("end")])
    plan["cut_tiles"][0]["count"] = count
    root = sheet_of(plan, {"id": "end", "width": 250, "height": 300, "quantity": count})
    (drawn,) = of_class(root, "cut-tile")
    assert len([box for box in drawn.iter(f"{SVG}rect") if box.get("width") == "3.6"]) == boxes
    assert line in words(drawn)


def test_the_same_bytes_every_time() -> None:
    assert draw_cut_sheet(*sample("bathroom")) == draw_cut_sheet(*sample("bathroom"))


def many(count: int, pieces: int) -> tuple[Request, Plan]:
    """Return a plan of many cut tiles, each in strips side by side that no name fits."""
    wanted = [
        {"id": f"strip-{tile}-{strip}", "width": 8, "height": 300}
        for tile in range(count)
        for strip in range(pieces)
    ]
    plan = one_tile(None, [laid("any")])
    (pattern,) = plan["cut_tiles"]
    plan["cut_tiles"] = [
        {
            **pattern,
            "number": tile + 1,
            "placements": [laid(f"strip-{tile}-{strip}", 10 * strip) for strip in range(pieces)],
        }
        for tile in range(count)
    ]
    return one_request(*wanted), Plan.of(plan)


def test_many_cut_tiles_fill_pages_without_overlap() -> None:
    request, plan = many(60, 2)
    tall = parsed(draw_cut_sheet(request, plan))
    pages = of_class(tall, "page")
    assert 3 <= len(pages) <= 12
    for page in pages:
        rows = [item for item in page if item.find(".//*[@class='cut-tile']") is not None]
        tops = [float(row.get("transform", "").split()[1].rstrip(")")) for row in rows]
        assert all(b - a > 40 for a, b in pairwise(tops)), "a row is taller than its tiles"
        assert all(12 <= top <= 240 for top in tops)
    assert all(squeezed(piece.id) in words(tall) for piece in request.pieces)


def test_notes_longer_than_a_page_go_on_over_leaf() -> None:
    wanted, laying = [], []
    for at in range(290):
        wanted.append({"id": f"sliver {at}", "width": 600, "height": 0.6})
        laying.append(laid(f"sliver {at}", 0, at))
    request = one_request(*wanted, saw={"kerf": 0.4})
    pages = draw_cut_sheets(request, Plan.of(one_tile(None, laying)))
    assert len(pages) > 1
    read = "".join(words(parsed(page)) for page in pages)
    assert "1,continued" in read
    assert all(f"sliver{at}," in read for at in range(290))
    for page in pages:
        baselines = [float(text.get("y", "")) for text in parsed(page).iter(f"{SVG}text")]
        assert max(baselines) < 297


@settings(max_examples=40)
@given(
    st.lists(st.integers(1, 240), min_size=1, max_size=8),
    st.text(st.characters(exclude_categories=["Cc"]), min_size=1, max_size=80),
)
def test_any_name_and_any_strips(widths: list[int], name: str) -> None:
    pieces: list[dict[str, Any]] = []
    laying, x = [], 0
    for number, width in enumerate(widths):
        if x + width <= 600:
            called = f"{name}{number}"[-80:]
            pieces.append({"id": called, "width": width, "height": 300})
            laying.append(laid(called, x))
            x += width + 2
    request = one_request(*pieces)
    root = parsed(draw_cut_sheet(request, Plan.of(one_tile(None, laying))))
    (stock,) = of_class(root, "stock")
    left, _, right, _ = frame_of(stock)
    for piece, drawn in zip(pieces, of_class(root, "piece"), strict=True):
        xs = [x for x, _ in points_of(drawn)]
        assert left - 0.01 <= min(xs) <= max(xs) <= right + 0.01
        assert max(xs) - min(xs) == pytest.approx(piece["width"] / 600 * (right - left), abs=0.03)
