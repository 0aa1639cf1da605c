"""Every value that nobody gave, with where it was read, or that nothing was."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from cutopt.buying.breakage import ASSUMED
from cutopt.buying.grounds import Ground
from cutopt.buying.materials import notch_of
from cutopt.documents.base import Part
from cutopt.documents.buying import OrderSettings
from cutopt.documents.order import Assumption, MaterialOrder, TileOrder, TrimOrder
from cutopt.units import MM

PRACTICE = "common practice, no source"


class _Default(NamedTuple):
    field: str
    what: str
    unit: str
    source: str


_ADHESIVE = (
    _Default("angle", "angle of the trowel", "degrees", "own model; see docs/order.md"),
    _Default(
        "powder",
        "dry adhesive per m2 and mm of bed",
        "kg",
        "own model: within the coverage that trade pages print for three notches",
    ),
    _Default("extra", "adhesive left in bucket and on tools", "of the amount", PRACTICE),
    _Default("package", "bag of adhesive", "kg", PRACTICE),
)
_GROUT = (
    _Default("density", "dry grout", "kg per litre", "own: gives back a retailer's grout table"),
    _Default("extra", "grout washed off and left over", "of the amount", "trade pages: 10 to 15 %"),
    _Default("package", "bag of grout", "kg", PRACTICE),
)
_SEALANT = (
    _Default("extra", "sealant left in the cartridge", "of the amount", PRACTICE),
    _Default("package", "cartridge", "ml", "sealant yield tables"),
)
_WORK = (
    _Default("hours_per_day", "working day", "hours", PRACTICE),
    _Default("wall_pace", "setting a wall, one person", "m2 an hour", PRACTICE),
    _Default("floor_pace", "setting a floor, one person", "m2 an hour", PRACTICE),
    _Default("mosaic_pace", "setting mosaic, one person", "m2 an hour", PRACTICE),
    _Default("minutes_per_cut", "cutting one piece", "minutes", PRACTICE),
    _Default(
        "open_minutes",
        "open time of the adhesive",
        "minutes",
        "EN 12004 (read second-hand): at least 20, class E 30",
    ),
    _Default("grout_pace", "grouting, one person", "m2 an hour", PRACTICE),
    _Default("grout_minutes", "working time of the grout", "minutes", "information pages"),
    _Default(
        "hours_to_grout", "from setting to grouting", "hours", "information pages: at least 24"
    ),
    _Default("hours_to_seal", "from grouting to sealing", "hours", PRACTICE),
)


def assumptions_of(
    settings: OrderSettings,
    grounds: Sequence[Ground],
    tiles: Sequence[TileOrder],
    trim: Sequence[TrimOrder],
    materials: Sequence[MaterialOrder],
) -> Iterator[Assumption]:
    """Yield what was assumed for this order."""
    yield from _of_tiles(settings, tiles)
    if trim and settings.trim is None:
        yield Assumption(what="trim profile", value="bars of 2500 mm, mitred", source=PRACTICE)
    used = {material.material.partition(",")[0] for material in materials}
    yield from _left_out(settings.adhesive, _ADHESIVE)
    if settings.adhesive.notch is None:
        sizes = sorted({notch_of(ground, settings.adhesive).depth // MM for ground in grounds})
        value = ", ".join(f"{size} mm" for size in sizes)
        yield Assumption(what="notch, after the tile's size", value=value, source=PRACTICE)
    yield from _left_out(settings.grout, _GROUT)
    depths = sorted({ground.thickness for ground in grounds})
    if settings.grout.depth is None:
        value = ", ".join(f"{depth:g} mm" for depth in depths)
        yield Assumption(
            what="joints as deep as the tile is thick", value=value, source="grout tables"
        )
    if "sealant" in used:
        yield from _left_out(settings.sealant, _SEALANT)
        if settings.sealant.depth is None:
            yield Assumption(what="sealant", value="as deep as wide", source=PRACTICE)
    if "spacers" in used and "spacers" not in settings.model_fields_set:
        yield Assumption(what="spacers", value="4 a piece, packs of 200", source=PRACTICE)
    yield from _left_out(settings.work, _WORK)


def _of_tiles(settings: OrderSettings, tiles: Sequence[TileOrder]) -> Iterator[Assumption]:
    if "service_level" not in settings.model_fields_set:
        yield Assumption(
            what="service level", value=f"{settings.service_level:g}", source="own choice"
        )
    for order in tiles:
        buy = settings.of_tile(order.tile)
        if "material" not in buy.model_fields_set:
            yield Assumption(what=f"material of {order.tile}", value=buy.material, source=ASSUMED)
        chances = [f"{cut.kind} {cut.chance:g}" for cut in order.reserve.cuts if not cut.given]
        if chances:
            what = f"{order.tile}: chance that a cut breaks the piece"
            yield Assumption(what=what, value=", ".join(chances), source=ASSUMED)
        if "faulty" not in buy.model_fields_set:
            yield Assumption(
                what=f"{order.tile}: tiles out of the box with a visible fault",
                value=f"{buy.faulty:g}",
                source="assumption; ISO 13006 (read second-hand) allows up to 0.05",
            )
        if buy.faulty and "fault_hidden" not in buy.model_fields_set:
            what = f"{order.tile}: share of those that still serve to be cut up"
            yield Assumption(what=what, value=f"{buy.fault_hidden:g}", source=ASSUMED)
        if "keep" not in buy.model_fields_set:
            what = f"{order.tile}: tiles to keep for later repair"
            yield Assumption(what=what, value=str(buy.keep), source=PRACTICE)


def _left_out(part: Part, defaults: Sequence[_Default]) -> Iterator[Assumption]:
    for default in defaults:
        if default.field not in part.model_fields_set:
            value = f"{getattr(part, default.field):g} {default.unit}"
            yield Assumption(what=default.what, value=value, source=default.source)
