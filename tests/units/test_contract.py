"""The two examples of exact arithmetic that the interface promises, as whole plans."""

from cutopt.documents import Request
from cutopt.pipeline import plan


def tiles_for(tile: str, piece: str, quantity: int, kerf: str) -> int:
    """Return the tiles that so many pieces take, all of the tile's height."""
    request = Request.of(
        {
            "units": "in",
            "tiles": [{"id": "field", "width": tile, "height": "4 in"}],
            "saw": {"kerf": kerf},
            "pieces": [{"id": "strip", "width": piece, "height": 4, "quantity": quantity}],
        }
    )
    total = plan(request).totals[0]
    assert total.proven_minimal
    return total.tiles_needed


def test_three_of_4_in_fit_12_in_without_kerf() -> None:
    assert tiles_for("12 in", "4 in", 3, "0 in") == 1
    assert tiles_for("1 ft", "4 in", 6, "0 in") == 2


def test_not_one_64th_less() -> None:
    assert tiles_for("11 63/64 in", "4 in", 3, "0 in") == 2


def test_four_of_3_15_16_in_fit_15_15_16_in_with_a_kerf_of_1_16_in() -> None:
    assert tiles_for("15 15/16 in", "3 15/16 in", 4, "1/16 in") == 1


def test_with_the_kerf_not_one_64th_less() -> None:
    assert tiles_for("15 59/64 in", "3 15/16 in", 4, "1/16 in") == 2
    assert tiles_for("15 15/16 in", "3 15/16 in", 4, "5/64 in") == 2


def test_a_thousandth_of_a_millimetre_decides_too() -> None:
    assert tiles_for("300 mm", "99.333 mm", 3, "1 mm") == 1
    assert tiles_for("299.999 mm", "99.333 mm", 3, "1 mm") == 1
    assert tiles_for("299.998 mm", "99.333 mm", 3, "1 mm") == 2
