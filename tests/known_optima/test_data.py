"""The published instances in tests/data against what is known of them (tests/data/README.md)."""

import pytest

from tests.building import total
from tests.known_optima.instances import gcut, instances, of_items

#: Fewest sheets for one of each piece of gcut1 to gcut8 (Beasley 1985), lower and upper, as in
#: tests/data/README.md: own, cuts not restricted. So the lower ones hold for cuts from edge to
#: edge too; the upper ones can be reached by such cuts as well, as this test shows.
ONCE = {
    "none": [(5, 5), (6, 6), (8, 8), (14, 14), (3, 3), (6, 7), (11, 11), (12, 14)],
    "quarter": [(4, 4), (5, 6), (7, 8), (13, 17), (3, 3), (6, 6), (10, 11), (12, 16)],
}
#: Not proven within seconds, only bounded.
SLOW = {("quarter", 8)}

#: Fewest sheets for the demands of Cintra et al. (EJOR 191, 2008), cuts from edge to edge: the
#: published method ends at its bound or one above; the numbers are own, as bound and found.
WITH_DEMANDS = {
    "none": {"gcut1d": (294, 294), "gcut5d": (197, 198), "gcut9d": (131, 132)},
    "quarter": {"gcut1d": (291, 291), "gcut5d": (174, 175), "gcut9d": (122, 123)},
}


@pytest.mark.parametrize("number", range(1, 9))
@pytest.mark.parametrize("turn", ["none", "quarter"])
def test_each_piece_of_gcut_once(turn: str, number: int) -> None:
    lower, upper = ONCE[turn][number - 1]
    slow = (turn, number) in SLOW
    only = total(gcut("gcut.json", f"gcut{number}", turn), seconds=4 if slow else 20)
    assert lower <= only.tiles_needed <= upper
    assert only.lower_bound <= upper
    assert only.proven_minimal or slow


@pytest.mark.parametrize("name", ["gcut1d", "gcut5d", "gcut9d"])
@pytest.mark.parametrize("turn", ["none", "quarter"])
def test_gcut_with_demands(turn: str, name: str) -> None:
    bound, found = WITH_DEMANDS[turn][name]
    only = total(gcut("gcut_demands.json", name, turn))
    assert bound <= only.tiles_needed <= found
    assert only.proven_minimal


@pytest.mark.parametrize(("name", "turn", "sheets"), [("a05", "none", 13), ("a20", "quarter", 24)])
def test_sheets_of_a_wood_workshop(name: str, turn: str, sheets: int) -> None:
    """Sheets of 2,470 x 2,080 and 2,550 x 2,100, pieces with demands; the numbers are own.

    Source of the data: Macedo, Alves, Valerio de Carvalho 2010, as in tests/data/README.md.
    """
    only = total(gcut("cutting2d_a01_a22.json", name, turn))
    assert (only.tiles_needed, only.proven_minimal) == (sheets, True)


@pytest.mark.parametrize(
    ("group", "turn", "bins"), [(9, "none", 143), (9, "quarter", 143), (7, "none", 55)]
)
def test_two_dimensional_bin_packing(group: int, turn: str, bins: int) -> None:
    """Ten instances of 20 items: lower bound and best known of the group are the same number.

    Source: Berkey and Wang 1987, Martello and Vigo 1998; bounds as in tests/data/README.md.
    """
    needed = 0
    for one in instances("bin2d_odd_classes.json"):
        if (one["class"], one["n"]) == (group, 20):
            only = total(of_items((one["W"], one["H"]), map(tuple, one["items"]), turn))
            assert only.proven_minimal
            needed += only.tiles_needed
    assert needed == bins


@pytest.mark.parametrize("name", ["u120_04", "u120_16", "u250_04"])
def test_one_dimensional_bin_packing(name: str) -> None:
    """120 and 250 lengths from bars of 150, as strips of one height.

    Source: Falkenauer 1996, OR-Library; the number stored there is the bound by length, too.
    """
    one = next(one for one in instances("bars1d_falkenauer_first.json") if one["name"] == name)
    only = total(of_items((one["C"], 10), ((length, 10) for length in one["items"]), "none"))
    assert -(-sum(one["items"]) // one["C"]) == one["best_in_file"]
    assert (only.tiles_needed, only.proven_minimal) == (one["best_in_file"], True)
