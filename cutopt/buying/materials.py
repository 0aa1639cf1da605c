"""Adhesive, grout, sealant and what is counted by the piece: amounts by surface, in packages."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Literal

from cutopt.buying.amounts import bed_of_notch, grout_per_m2, packed, sealant_per_m
from cutopt.buying.edges import Edges
from cutopt.buying.grounds import Ground
from cutopt.documents import Job
from cutopt.documents.buying import Adhesive, ByPiece, Grout, Notch, OrderSettings, Sealant
from cutopt.documents.order import MaterialOrder, Use
from cutopt.layout import SoftJoint, TakeOff
from cutopt.units import MM

#: Square notches by the longer side of the tile, in mm (common practice, no source).
NOTCHES = ((150.0, 6), (300.0, 8), (450.0, 10))
MOSAIC_NOTCH, LARGE_NOTCH = 4, 12
#: From this side on the back of the tile is buttered too (common practice, no source).
BACK_BUTTERED = 450.0


def materials_of(
    grounds: Sequence[Ground], settings: OrderSettings, found: TakeOff, job: Job | None
) -> Iterator[MaterialOrder]:
    """Yield every material that the grounds take."""
    yield _adhesive(grounds, settings.adhesive)
    yield from _grouts(grounds, settings.grout)
    if job is not None and found.soft_joints:
        yield _sealant(job, found.soft_joints, settings.sealant)
    counted = (
        ("spacers", settings.spacers),
        ("primer", settings.primer),
        ("clips", settings.clips),
    )
    for name, by_piece in counted:
        if by_piece is not None:
            yield _by_piece(name, grounds, by_piece)


def notch_of(ground: Ground, adhesive: Adhesive) -> Notch:
    """Return the notch for a surface: the one of the settings, or one for the size of its tile."""
    if adhesive.notch is not None:
        return adhesive.notch
    fitting = (size for most, size in NOTCHES if ground.longest <= most)
    size = MOSAIC_NOTCH if ground.is_mosaic else next(fitting, LARGE_NOTCH)
    return Notch(depth=size * MM, width=size * MM, spacing=size * MM)


def adhesive_per_m2(ground: Ground, adhesive: Adhesive) -> float:
    """Return kg of powder per m2 of a surface."""
    return _bed(ground, adhesive) * adhesive.powder


def _bed(ground: Ground, adhesive: Adhesive) -> float:
    notch = notch_of(ground, adhesive)
    sizes = notch.depth / MM, notch.width / MM, notch.spacing / MM
    back = adhesive.back_butter_bed if _is_buttered(ground, adhesive) else 0.0
    return bed_of_notch(*sizes, adhesive.angle) + back


def _is_buttered(ground: Ground, adhesive: Adhesive) -> bool:
    if adhesive.back_butter is not None:
        return adhesive.back_butter
    return not ground.is_mosaic and ground.longest >= BACK_BUTTERED


def _adhesive(grounds: Iterable[Ground], adhesive: Adhesive) -> MaterialOrder:
    def use(ground: Ground) -> Use:
        notch = notch_of(ground, adhesive)
        sizes = f"{notch.depth / MM:g} x {notch.width / MM:g} x {notch.spacing / MM:g} mm"
        back = " and back-buttered" if _is_buttered(ground, adhesive) else ""
        per_m2 = adhesive_per_m2(ground, adhesive)
        bed = _bed(ground, adhesive)
        rate = f"{per_m2:.2f} kg/m2: notch {sizes}{back}, bed {bed:.2f} mm"
        return _use(ground.name, (ground.covered, "m2"), rate, ground.covered * per_m2)

    return _ordered("adhesive", "kg", map(use, grounds), adhesive)


def _grouts(grounds: Iterable[Ground], grout: Grout) -> Iterator[MaterialOrder]:
    by_colour: dict[str, list[Use]] = {}
    for ground in grounds:
        depth = ground.thickness if grout.depth is None else grout.depth / MM
        per_m2 = grout_per_m2(ground.chip, ground.joint, depth, grout.density)
        rate = (
            f"{per_m2:.3f} kg/m2: {ground.chip[0]:g} x {ground.chip[1]:g} mm, "
            f"joint {ground.joint:g} mm, {depth:g} mm deep"
        )
        use = _use(ground.name, (ground.covered, "m2"), rate, ground.covered * per_m2)
        by_colour.setdefault(grout.colours.get(ground.mark, grout.colour), []).append(use)
    for colour, uses in by_colour.items():
        yield _ordered(f"grout, {colour}", "kg", uses, grout)


def _sealant(job: Job, joints: Iterable[SoftJoint], sealant: Sealant) -> MaterialOrder:
    edges = Edges(job)

    def use(joint: SoftJoint) -> Use:
        width = joint.width / MM
        depth = width if sealant.depth is None else sealant.depth / MM
        per_m = sealant_per_m(width, depth, fillet=sealant.fillet)
        metres = joint.length / (1_000 * MM)
        shape = "fillet " if sealant.fillet else ""
        rate = f"{per_m:.1f} ml/m: {shape}{width:g} x {depth:g} mm"
        where = f"{edges.name_of(joint)}: {joint.meets}"
        return _use(where, (metres, "m"), rate, metres * per_m)

    return _ordered("sealant", "ml", map(use, joints), sealant)


def _by_piece(name: str, grounds: Iterable[Ground], settings: ByPiece) -> MaterialOrder:
    def use(ground: Ground) -> Use:
        each, area = settings.per_tile or 0.0, settings.per_m2 or 0.0
        amount = ground.pieces * each + ground.covered * area
        if not each:
            return _use(ground.name, (ground.covered, "m2"), f"{area:g} per m2", amount)
        rate = f"{each:g} a piece" + (f" and {area:g} per m2" if area else "")
        return _use(ground.name, (ground.pieces, "pieces"), rate, amount)

    unit = "pieces" if settings.per_m2 is None else "units"
    return _ordered(name, unit, map(use, grounds), settings)


_Measure = Literal["m2", "m", "pieces"]


def _use(where: str, of: tuple[float, _Measure], rate: str, amount: float) -> Use:
    quantity, measure = round(of[0], 3), of[1]
    return Use(where=where, quantity=quantity, measure=measure, rate=rate, amount=round(amount, 3))


_Sold = Adhesive | Grout | Sealant | ByPiece


def _ordered(material: str, unit: str, uses: Iterable[Use], sold: _Sold) -> MaterialOrder:
    every = tuple(uses)
    extra = 0.0 if isinstance(sold, ByPiece) else sold.extra
    found = packed(sum(use.amount for use in every), extra, sold.package, sold.price)
    return MaterialOrder(
        material=material,
        unit=unit,
        uses=every,
        extra=extra,
        amount=round(found.amount, 3),
        package=sold.package,
        packages=found.packages,
        cost=found.cost,
    )
