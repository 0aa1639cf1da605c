"""Materials against the geometry: areas, joints between real tiles, sealant by length."""

from decimal import Decimal

import pytest

from cutopt.documents.order import MaterialOrder, Order
from cutopt.plane import doubled_area
from cutopt.units import MM
from tests.buying.orders import job_data, ordered, planned, request_data, wall


def material(order: Order, name: str) -> MaterialOrder:
    return next(one for one in order.materials if one.material == name)


def test_grout_is_what_the_laid_tiles_leave_of_the_wall() -> None:
    """The joints of a tiled wall, measured on its pieces, within 5 %: no joint at the border."""
    data = job_data([wall(width=6000, height=4000, joint=4)])
    found, _, _ = planned(data)
    (surface,) = found.surfaces
    field = abs(doubled_area(surface.field)) / 2
    tiles = sum(piece.shape.doubled_area for piece in surface.pieces()) / 2
    kg = (field - tiles) / MM**2 * 9 * 1.65e-6
    (use,) = material(ordered(data), "grout, one colour").uses
    assert use.amount == pytest.approx(kg, rel=0.05)


def test_grout_by_colour() -> None:
    surfaces = [wall("A"), wall("B"), wall("F", kind="floor")]
    order = ordered(job_data(surfaces, grout={"colours": {"F": "dark"}, "colour": "white"}))
    assert [use.where for use in material(order, "grout, dark").uses] == ["F"]
    assert [use.where for use in material(order, "grout, white").uses] == ["A", "B"]


def test_a_large_tile_is_buttered_on_its_back_and_a_small_one_is_not() -> None:
    def adhesive(longest: int) -> str:
        data = request_data((100, 100, 4))
        data["tiles"] = [{"id": "t", "width": longest, "height": 300}]
        return material(ordered(data), "adhesive").uses[0].rate

    assert "back-buttered" in adhesive(450)
    assert "back-buttered" not in adhesive(449)
    assert "notch 10 x 10 x 10" in adhesive(449)
    assert "notch 8 x 8 x 8" in adhesive(300)


def test_adhesive_of_a_wall_by_hand() -> None:
    """1 m2 of 100 mm tiles: notch 6 mm, bed 2.12 mm, 2.55 kg/m2; joints of 2 mm are covered too."""
    data = request_data((100, 100, 100), tiles=[{"joint": 2}], adhesive={"package": 5, "price": 7})
    data["tiles"] = [{"id": "t", "width": 100, "height": 100}]
    found = material(ordered(data), "adhesive")
    covered = (102 / 100) ** 2
    per_m2 = 6 * 6 / 12 * 0.5**0.5 * 1.2
    assert found.amount == pytest.approx(covered * per_m2 * 1.05, rel=1e-3)
    assert (found.packages, found.cost) == (1, Decimal(7))


def test_sealant_runs_along_changes_of_plane() -> None:
    """A wall 2400 x 2100 between two corners, floor and ceiling: 9 m of 3 x 3 mm, 81 ml."""
    found = material(ordered(job_data([wall("A")])), "sealant")
    assert sum(use.amount for use in found.uses) == pytest.approx(81, rel=0.01)
    assert found.packages == 1
    fillet = ordered(job_data([wall("A")], sealant={"fillet": True, "extra": 0}))
    assert material(fillet, "sealant").amount == pytest.approx(40.5, rel=0.01)


def test_only_what_is_asked_for() -> None:
    names = {one.material for one in ordered(request_data((600, 300, 5))).materials}
    assert names == {"adhesive", "grout, one colour", "spacers"}
    told = {"spacers": None, "primer": {"per_m2": 0.2}, "clips": {"per_tile": 2, "package": 50}}
    order = ordered(request_data((600, 300, 30), **told))
    assert {one.material for one in order.materials} >= {"primer", "clips"}
    assert material(order, "clips").packages == 2
