"""The drawing vocabulary: sound XML whatever stands in it, the same figures everywhere."""

from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutopt.reports.svg import document, element, figure, group, text


@pytest.mark.parametrize(
    ("value", "expected"),
    [(1, "1"), (1.0, "1"), (0.1 + 0.2, "0.3"), (-0.001, "0"), (12.345, "12.35"), (-1.5, "-1.5")],
)
def test_figures(value: float, expected: str) -> None:
    assert figure(value) == expected


def test_attributes() -> None:
    assert element("g", "x", class_="a", stroke_width=0.25) == (
        '<g class="a" stroke-width="0.25">x</g>'
    )


@given(st.text())
def test_any_text_makes_sound_xml(words: str) -> None:
    marks = [group([text(words, (1, 2), 3)], words, class_=words)]
    drawing = document(marks, (210, 297), words, words)
    assert ElementTree.fromstring(drawing.encode()).tag.endswith("svg")


def test_paper_is_named_where_it_is_known() -> None:
    assert "@page{size:210mm 297mm;margin:0}" in document([], (210, 594), "", "", (210, 297))
    assert "@page" not in document([], (210, 594), "", "")
