"""The papers: the right pages on the right paper, every piece labelled, the same bytes twice."""

import re
import shutil
import subprocess
import zlib
from pathlib import Path

import pytest

from cutopt.buying import make_order
from cutopt.command import main
from cutopt.documents import Job, Request
from cutopt.errors import InvalidInput
from cutopt.formats import taken_off
from cutopt.layout import TakeOff
from cutopt.papers import Bundle, print_bundle
from cutopt.papers.codes import code_of
from cutopt.papers.labels import labels_of
from cutopt.reports.elevation import draw_elevation_pages
from cutopt.sequence import cut_order
from tests.building import planned, request

EXAMPLES = Path(__file__).resolve().parents[2] / "docs" / "examples"
ROOMS = Path(__file__).resolve().parents[2] / "benchmarks" / "instances" / "rooms"
PAPER = {"a4": (595.28, 841.89), "letter": (612, 792)}

needs_poppler = pytest.mark.skipif(
    shutil.which("pdftotext") is None, reason="pdftotext (poppler-utils) reads the PDF back"
)


def plain(pdf: bytes) -> bytes:
    """Return a PDF with what its streams of objects hold."""
    return pdf + b"".join(
        zlib.decompress(found)
        for found in re.findall(rb"/ObjStm.*?stream\r?\n(.*?)\r?\nendstream", pdf, re.DOTALL)
    )


def sizes(pdf: bytes) -> list[tuple[float, float]]:
    """Return the sizes of the pages in points."""
    boxes = re.findall(rb"/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)\s*\]", plain(pdf))
    return [(float(width), float(height)) for width, height in boxes]


def text_of(pdf: bytes, tmp_path: Path) -> str:
    """Return what can be read in a PDF."""
    file = tmp_path / "papers.pdf"
    file.write_bytes(pdf)
    done = subprocess.run(
        ["pdftotext", "-layout", str(file), "-"], capture_output=True, text=True, check=True
    )
    return done.stdout


def bundle(name: str, paper: str, link: str | None = None) -> bytes:
    data = Job.read((EXAMPLES / name).read_bytes())
    found = taken_off(data.model_dump(mode="json", exclude_none=True))
    plan = planned(found.request)
    pages = [
        page
        for surface in found.surfaces
        for page in draw_elevation_pages(data, found, surface, plan)
    ]
    order = cut_order(found.request, plan, "fence")
    return print_bundle(found.request, plan, order, pages, paper, link)  # type: ignore[arg-type]


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_every_page_is_of_the_paper_asked_for(paper: str) -> None:
    found = sizes(bundle("bathroom-wall.json", paper))
    assert len(found) > 5
    for size in found:
        assert sorted(size) == pytest.approx(sorted(PAPER[paper]), abs=0.1)


def test_the_same_bytes_twice_in_letters_that_come_along() -> None:
    link = "http://saw.local/p/"
    printed = bundle("bathroom-wall.json", "a4", link)
    assert printed == bundle("bathroom-wall.json", "a4", link)
    fonts = set(re.findall(rb"/BaseFont\s*/[A-Z]{6}\+([A-Za-z-]+)", plain(printed)))
    assert {font.removesuffix(b"-Identity-H") for font in fonts} == {
        b"PapersSans-Regular",
        b"PapersSans-Bold",
    }


@needs_poppler
def test_every_piece_has_its_step_its_drawing_and_its_label(tmp_path: Path) -> None:
    wanted = request((600, 300), [(250, 300, 2), (100, 120, 1), (600, 300, 1)], kerf=2)
    plan = planned(wanted)
    order = cut_order(wanted, plan, "fence")
    text = text_of(print_bundle(wanted, plan, order), tmp_path)
    cut = sum(one.count * len(one.placements) for one in plan.cut_tiles)
    assert len(labels_of(wanted, plan)) == cut == 3
    for name, times in (("p0", 4), ("p1", 3)):
        assert len(re.findall(rf"\b{name}\b", text)) >= times
    assert re.search(r"\b250 mm\s+\d+\s+\d+\s", text), "the fence, the step and its tile"
    assert "write on the piece" in text
    assert "no fewer will do" in text
    assert "Without any reserve" in text


def test_drawings_and_codes_are_named_for_those_who_hear_them() -> None:
    read = plain(bundle("bathroom-wall.json", "a4", "http://saw.local/p/"))
    said = {found.decode("latin-1") for found in re.findall(rb"/Alt\s*\(([^)]*)\)", read)}
    assert "code of A2.3" in said
    assert any("page 2" in words for words in said)


@needs_poppler
def test_text_is_never_taken_for_markup(tmp_path: Path) -> None:
    nasty = '#panic("x") *b* $x$ <l> @r \\'
    wanted = request((600, 300), [{"id": nasty, "width": 100, "height": 100}])
    plan = planned(wanted)
    printed = print_bundle(wanted, plan, cut_order(wanted, plan), link="http://saw.local/")
    assert '#panic("x")' in text_of(printed, tmp_path)


def test_a_code_says_where_the_piece_is_found() -> None:
    assert code_of("http://saw.local/p/", "A1.1") != code_of("http://saw.local/p/", "A1.2")
    assert b"<svg" in code_of("http://saw.local/p/", "Ä/1 #2")


def test_too_many_labels_are_refused() -> None:
    wanted = request((600, 300), [(290, 300, 6_000)], kerf=2)
    with pytest.raises(InvalidInput, match="at most 5000"):
        labels_of(wanted, planned(wanted))


def test_a_bundle_of_300_pieces_is_printed() -> None:
    name = "shower-150x150-factory"
    wanted = Request.read((ROOMS / f"{name}.json").read_text(encoding="utf-8"))
    assert sum(piece.quantity for piece in wanted.pieces) >= 300
    plan = planned(wanted)
    printed = print_bundle(
        wanted, plan, cut_order(wanted, plan, "fence"), link="http://saw.local/p/"
    )
    assert printed.startswith(b"%PDF")


def test_the_command_writes_a_pdf(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "papers.pdf"
    job = str(EXAMPLES / "kitchen-splashback-inch.json")
    arguments = [job, "--out", str(out), "--paper", "letter", "--link", "http://saw.local/p/"]
    assert main(["papers", *arguments]) == 0
    assert out.read_bytes().startswith(b"%PDF")
    assert main(["papers", *arguments[:-1], "ftp://saw.local"]) == 2
    assert "http://" in capsys.readouterr().err


@needs_poppler
def test_the_first_page_says_what_to_buy_with_its_reserve(tmp_path: Path) -> None:
    wanted = Request.of(
        {
            "tiles": [{"id": "field", "width": 600, "height": 300, "per_box": 5, "price": 2}],
            "saw": {"kerf": 2},
            "pieces": [{"id": "end", "width": 400, "height": 300, "quantity": 8}],
        }
    )
    plan = planned(wanted)
    bought = make_order(TakeOff(wanted, (), ()), plan)
    (tile,) = bought.tiles
    order = cut_order(wanted, plan)
    with_reserve = text_of(Bundle(wanted, plan, order, bought=bought).printed(), tmp_path)
    assert tile.boxes is not None
    assert tile.boxes * 5 >= plan.totals[0].tiles_needed + tile.reserve.spares
    assert re.search(rf"\b{tile.boxes}\s+boxes\b", with_reserve)
    assert "8 tiles; no fewer will do" in with_reserve
    assert "by the plan" in with_reserve
    assert "Without any reserve for breakage, and without spares" in text_of(
        print_bundle(wanted, plan, order), tmp_path
    )


def test_two_halves_share_a_page() -> None:
    wanted = request((600, 300), [(250, 300, 1)], kerf=2)
    plan = planned(wanted)
    order = cut_order(wanted, plan)
    half = ('<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 210 148.5"/>', (210.0, 148.5))
    whole = (half[0], (210.0, 297.0))
    pages = {
        number: len(sizes(print_bundle(wanted, plan, order, drawings)))
        for number, drawings in enumerate(
            ((), (half,), (half, half), (half, half, half), (half, whole, half))
        )
    }
    assert [pages[number] - pages[0] for number in range(5)] == [0, 1, 1, 2, 3]
