"""Elevations for print: little paper, nothing left out, no page with lists alone if it can be."""

from pathlib import Path

import pytest

from cutopt.documents import Job
from cutopt.layout import take_off
from cutopt.reports.elevation import draw_elevation, draw_elevation_pages
from tests.layout.jobs import job, surface
from tests.reports.samples import parsed, words

EXAMPLES = Path(__file__).resolve().parents[2] / "docs" / "examples"
Size = tuple[float, float]


def pages_of(made: Job) -> list[list[tuple[str, Size]]]:
    found = take_off(made)
    return [draw_elevation_pages(made, found, one) for one in found.surfaces]


@pytest.mark.parametrize(
    ("width", "height", "size"),
    [(590, 75, (210, 148.5)), (300, 150, (210, 148.5)), (2400, 2500, (210, 297))],
)
def test_a_small_surface_takes_half_a_page(width: int, height: int, size: Size) -> None:
    ((page, *_),) = pages_of(job(surface(width=width, height=height)))
    assert page[1] == size


@pytest.mark.parametrize("name", ["bathroom-wall", "kitchen-splashback", "hall-floor"])
def test_pages_say_what_the_whole_drawing_says(name: str) -> None:
    made = Job.read((EXAMPLES / f"{name}.json").read_bytes())
    found = take_off(made)
    for one in found.surfaces:
        whole = words(parsed(draw_elevation(made, found, one)))
        said = "".join(words(parsed(svg)) for svg, _ in draw_elevation_pages(made, found, one))
        for piece in one.cut:
            assert piece.label in said
        for finding in found.findings:
            text = "".join(finding.value.split())
            assert (text in said) == (text in whole)


def test_lists_need_no_page_of_their_own_where_the_drawing_may_be_a_little_smaller() -> None:
    wall = surface(
        width=900,
        height=2100,
        edges={"left": "profile", "top": "open"},
        holes=[{"kind": "pipe", "x": 450, "y": 1050, "diameter": 40}],
    )
    (pages,) = pages_of(job(wall))
    assert len(pages) == 1
    assert pages[0][1] == (210, 297)
