"""The pictures of the pages in docs: `python -m benchmarks.gallery` draws them anew, to look at.

Papers become PNG with `pdftoppm` and `convert`, which are needed for nothing else.
"""

import subprocess
import tempfile
from collections.abc import Sequence
from pathlib import Path

from cutopt import pipeline
from cutopt.buying import make_order
from cutopt.documents import Job
from cutopt.formats import taken_off
from cutopt.papers import Bundle, print_order
from cutopt.reports import draw_cut_sheets
from cutopt.reports.corner import draw_corners
from cutopt.reports.elevation import draw_elevation, draw_elevation_pages
from cutopt.reports.spares_plot import draw_spares
from cutopt.sequence import cut_order

DOCS = Path(__file__).resolve().parents[1] / "docs"
GALLERY = DOCS / "gallery"
LINK = "http://192.168.1.20:8000/pieces/"


def main() -> None:
    """Draw every picture."""
    job = Job.read((DOCS / "examples" / "bathroom-wall.json").read_bytes())
    found = taken_off(job.model_dump(mode="json", exclude_none=True))
    plan = pipeline.plan(found.request)
    (surface,) = found.surfaces
    _write("elevation.svg", draw_elevation(job, found, surface, plan))
    sheet, elevation, corner = _shower()
    _write("cut-sheet.svg", sheet)
    _write("shower.svg", elevation)
    _write("corner.svg", corner)
    order = cut_order(found.request, plan, "fence")
    elevations = draw_elevation_pages(job, found, surface, plan)
    bought = make_order(found, plan, job)
    bundle = Bundle(found.request, plan, order, tuple(elevations), "a4", LINK, bought)
    printed = bundle.printed()
    sheets = len(draw_cut_sheets(found.request, plan))
    first = 1 + len(elevations) + sheets + 1
    last = _pages(printed)
    _paged("papers.png", printed, [1, 1 + len(elevations) + 1, last - 1])
    _paged("cut-order.png", printed, [first, first + 1])
    _order()


def _order() -> None:
    """Draw the order of a shower: its first pages, and the plot of the spares."""
    job = Job.read((DOCS / "examples" / "shower-order.json").read_bytes())
    found = taken_off(job.model_dump(mode="json", exclude_none=True))
    bought = make_order(found, pipeline.plan(found.request), job)
    _write("spares.svg", draw_spares(bought)[0])
    _paged("order.png", print_order(bought), [1, 2, 3])


def _shower() -> tuple[str, str, str]:
    """Return the shower's page of cut sheets where most is re-used, its back wall, a corner."""
    job = Job.read((DOCS / "examples" / "shower.json").read_bytes())
    found = taken_off(job.model_dump(mode="json", exclude_none=True))
    plan = pipeline.plan(found.request)
    surface = next(laid for laid in found.surfaces if laid.mark == "B")
    sheet = draw_cut_sheets(found.request, plan)[3]
    elevation, _ = draw_elevation_pages(job, found, surface, plan)[0]
    return sheet, elevation, draw_corners(job, found, plan)["A-B"]


def _write(name: str, text: str) -> None:
    (GALLERY / name).write_text(text, encoding="utf-8")


def _pages(printed: bytes) -> int:
    done = subprocess.run(["pdfinfo", "-"], input=printed, capture_output=True, check=True)
    lines = done.stdout.decode().splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith("Pages:"))


def _paged(name: str, printed: bytes, pages: Sequence[int]) -> None:
    """Draw some pages side by side."""
    with tempfile.TemporaryDirectory() as folder:
        drawn = []
        for page in pages:
            out = Path(folder) / f"page-{page}"
            number = str(page)
            render = ["pdftoppm", "-r", "75", "-f", number, "-l", number, "-singlefile", "-gray"]
            subprocess.run([*render, "-png", "-", str(out)], input=printed, check=True)
            drawn.append(f"{out}.png")
        frame = ["-bordercolor", "#888888", "-border", "1", "+append", "+dither", "-colors", "16"]
        subprocess.run(["convert", *drawn, *frame, str(GALLERY / name)], check=True)


if __name__ == "__main__":
    main()
