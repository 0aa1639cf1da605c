"""The JSON reader: decimals kept exact, and what is no JSON told as such."""

import re
from decimal import Decimal

import pytest

from cutopt.documents import Request, parse_json
from cutopt.documents.base import DEEPEST
from cutopt.errors import InvalidInput
from cutopt.units import INCH, MM
from tests.wrong_requests import NO_JSON, NO_OBJECT


def said(text: str | bytes) -> str:
    """Return what is said of a text that is no document."""
    with pytest.raises(InvalidInput) as caught:
        Request.read(text)
    (fault,) = caught.value.faults
    assert fault.place == ""
    return str(fault)


def test_decimals_stay_as_they_were_written() -> None:
    assert parse_json('{"a": 0.1, "b": 1e2, "c": 7}') == {"a": Decimal("0.1"), "b": 100, "c": 7}
    assert isinstance(parse_json("3"), int)


def test_a_length_takes_no_harm_from_binary_numbers() -> None:
    # Neither 254.001 nor 0.3 is a number in binary.
    text = """{"units": "in", "tiles": [{"id": "a", "width": "254.001 mm", "height": 0.328125}],
               "pieces": [{"id": "b", "width": 0.3, "height": 0.03125}]}"""
    request = Request.read(text.replace("0.3,", '"7.62 mm",'))
    assert request.tiles[0].width == 254_001 * 8
    assert request.tiles[0].height == 21 * INCH // 64
    assert request.pieces[0].width == Request.read(text).pieces[0].width == 7_620 * 8


def test_bytes_may_begin_with_a_byte_order_mark() -> None:
    assert parse_json(b'\xef\xbb\xbf{"a": "\xc3\xb6"}') == {"a": "ö"}


@pytest.mark.parametrize(("text", "rule"), NO_JSON, ids=lambda value: str(value)[:24])
def test_what_is_no_json(text: bytes, rule: str) -> None:
    assert re.search(rule, said(text))


@pytest.mark.parametrize("text", NO_OBJECT)
def test_what_is_no_object(text: bytes) -> None:
    assert "an object" in said(text)


def test_nothing_is_not_called_too_deep() -> None:
    assert said("null") == "/: null: input should be an object"


def test_the_place_of_a_slip_is_named_by_line_and_column() -> None:
    assert said('{\n  "tiles": [,]\n}').startswith("/: line 2, column 13: this is no JSON")


@pytest.mark.parametrize("text", ["NaN", "Infinity", "-Infinity", "[1, NaN]"])
def test_what_json_does_not_know_is_no_number(text: str) -> None:
    assert "is no number in JSON" in said(text)


def test_a_key_stands_once_in_an_object_at_any_depth() -> None:
    assert "the key 'id' stands twice in one object" in said('{"tiles": [{"id": 1, "id": 1}]}')
    assert parse_json('[{"id": 1}, {"id": 1}]') == [{"id": 1}, {"id": 1}]


@pytest.mark.parametrize(
    "number", ["9" * 4301, "-" + "9" * 5000, "1e99999999999999999999", "1.5E-99999999999999999999"]
)
def test_a_number_beyond_all_counting(number: str) -> None:
    assert "is beyond all counting" in said(f'{{"tiles": {number}}}')


@pytest.mark.parametrize(("opening", "closing"), [("[", "]"), ('{"a": ', "}")])
def test_depth(opening: str, closing: str) -> None:
    def nested(deep: int) -> str:
        return opening * deep + "1" + closing * deep

    parse_json(nested(DEEPEST))
    for deep in (DEEPEST + 1, 900, 100_000):
        with pytest.raises(InvalidInput, match=f"nests at most {DEEPEST} deep"):
            parse_json(nested(deep))


def test_a_very_long_decimal_is_read_to_its_end() -> None:
    request = """{"tiles": [{"id": "a", "width": 600.%s, "height": 300}],
                  "pieces": [{"id": "b", "width": 1, "height": 1}]}"""
    assert Request.read(request % ("0" * 5_000)).tiles[0].width == 600 * MM
    with pytest.raises(InvalidInput, match=r"multiple of 0\.001 mm"):
        Request.read(request % ("0001" + "0" * 5_000))
