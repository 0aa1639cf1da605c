"""The order as text, plot and pages: what must stand there, and nothing that steers a terminal."""

import re
import shutil
import subprocess
from pathlib import Path
from xml.etree import ElementTree

import pytest

from cutopt.command import main
from cutopt.documents.order import Order
from cutopt.papers import print_order
from cutopt.reports.order_text import clock, percent, write_order
from cutopt.reports.spares_plot import draw_spares
from tests.buying.orders import job_data, ordered, wall
from tests.buying.test_trim import WINDOW

SVG = "{http://www.w3.org/2000/svg}"
LEVEL = 0.9


@pytest.fixture(scope="module")
def order() -> Order:
    surfaces = [wall("A", openings=[WINDOW]), wall("F", kind="floor", width=1200)]
    return ordered(
        job_data(
            surfaces,
            [wall("B", title="a\u202eb")],
            service_level=LEVEL,
            delivery="room",
            cost_of_running_short=120,
            trim=[{"id": "steel", "bars": [{"length": 2500, "price": 14}]}],
        )
    )


def test_the_text_fits_a_terminal_and_says_what_to_buy(order: Order) -> None:
    text = write_order(order)
    assert max(map(len, text.splitlines())) <= 80
    assert "\u202e" not in text
    (tile,) = order.tiles
    for words in (
        f"{tile.tiles_needed} tiles by the plan",
        f"{tile.boxes} boxes of 6: {tile.tiles_bought} tiles",
        "asked 90 %",
        "Deliveries",
        "Trim steel",
        "proven: nothing costs less",
        "adhesive:",
        "Plan of work",
        "no guarantee",
        "no source",
    ):
        assert words in text.replace("\n            ", " ")


def test_the_reserve_is_the_first_row_below_the_limit(order: Order) -> None:
    rows = re.findall(r"^    ([> ]) +(\d+) +([\d.]+) %", write_order(order), re.MULTILINE)
    (chosen,) = [number for number, (mark, _, _) in enumerate(rows) if mark == ">"]
    limit = 100 * (1 - LEVEL)
    assert float(rows[chosen][2]) <= limit < float(rows[chosen - 1][2])


def test_the_plot_has_a_bar_for_each_row_and_the_reserve_is_black(order: Order) -> None:
    svg, size = draw_spares(order)
    drawn = ElementTree.fromstring(svg)
    bars = [mark for mark in drawn.iter(f"{SVG}rect") if mark.get("stroke")]
    table = order.tiles[0].reserve.table
    assert len(bars) == len(table)
    black = [number for number, bar in enumerate(bars) if bar.get("fill") == "#000000"]
    assert [table[number].spares for number in black] == [order.tiles[0].reserve.spares]
    widths = [float(bar.get("width") or 0) for bar in bars]
    assert widths == sorted(widths, reverse=True)
    assert size[0] == 180


def test_the_pages_are_the_same_bytes_twice(order: Order) -> None:
    assert print_order(order) == print_order(order)
    assert print_order(order, "letter") != print_order(order)


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext reads the PDF back")
def test_what_stands_on_the_pages(order: Order, tmp_path: Path) -> None:
    file = tmp_path / "order.pdf"
    file.write_bytes(print_order(order))
    done = subprocess.run(
        ["pdftotext", "-layout", str(file), "-"], capture_output=True, text=True, check=True
    )
    for words in (
        "Trim steel",
        "Materials",
        "Plan of work",
        "How many spare tiles",
        "room 2",
        "kg/m2",
    ):
        assert words in done.stdout


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (0, "0 %"),
        (0.00001, "below 0.01 %"),
        (0.0004, "0.04 %"),
        (0.0384, "3.8 %"),
        (0.5, "50 %"),
        (0.99999, "over 99.99 %"),
        (1, "100 %"),
    ],
)
def test_percent(share: float, words: str) -> None:
    assert percent(share) == words


def test_clock() -> None:
    assert (clock(0), clock(1.65), clock(24)) == ("0:00", "1:39", "24:00")


def test_the_command_writes_what_it_is_asked_for(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job = tmp_path / "job.json"
    job.write_text(
        '{"format": "cutopt.job/1", "tiles": [{"id": "t", "width": 600, "height": 300}],'
        '"rooms": [{"name": "r", "surfaces": [{"id": "A", "width": 900, "height": 700, "joint": 2}]'
        "}]}"
    )
    files = [tmp_path / name for name in ("order.json", "spares.svg", "order.pdf")]
    options = ["--out", str(files[0]), "--plot", str(files[1]), "--print", str(files[2])]
    assert main(["order", str(job), "--quiet", "--json", *options]) == 0
    told = capsys.readouterr()
    assert (told.out, told.err) == (files[0].read_text(), "")
    assert files[1].read_text().startswith("<?xml")
    assert files[2].read_bytes().startswith(b"%PDF")
    assert Order.read(told.out).tiles[0].tile == "t"


def test_the_command_refuses_in_one_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    request = tmp_path / "request.json"
    request.write_text(
        '{"format": "cutopt.request/1", "tiles": [{"id": "t", "width": 600, "height": 300}],'
        '"pieces": [{"id": "p", "width": 100, "height": 100}], "order": {"trim": ['
        '{"id": "steel", "runs": [{"name": "sill", "length": 3000}]}]}}'
    )
    assert main(["order", str(request), "--quiet"]) == 3
    (line,) = capsys.readouterr().err.splitlines()
    assert line.startswith(f"{request}: /order/trim/0: sill, 3000 mm: a run is cut from one bar")
