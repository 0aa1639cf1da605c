"""How much adhesive, grout and sealant: the formulas, in mm, m2, kg, litres and ml.

Adhesive    bed = depth * width / (width + spacing) * sin(angle), in mm; kg of powder per m2 = bed
            times kg per m2 and mm. Own derivation: a trowel held at an angle leaves ribs of that
            height, and pressing the tile in spreads them over the gaps.
Grout       share of joint in one module = 1 - L * W / ((L + j) * (W + j)); times depth and
            density. Own derivation, exact for tiles in rows; the short form of tables,
            (L + W) / (L * W) * j * depth * density, overstates small chips.
Sealant     ml per m = width * depth in mm2; a fillet, a triangle, half of it.
"""

import math
from dataclasses import dataclass
from decimal import Decimal

SQUARE_FOOT = 0.09290304
POUND = 0.45359237


def bed_of_notch(depth: float, width: float, spacing: float, angle: float) -> float:
    """Return the bed in mm that a notched trowel leaves under a tile pressed in.

    >>> round(bed_of_notch(10, 10, 10, 45), 2)
    3.54
    """
    return depth * width / (width + spacing) * math.sin(math.radians(angle))


def joint_share(length: float, width: float, joint: float) -> float:
    """Return the share of a tiled surface that is joint.

    >>> round(joint_share(98, 98, 2), 4)
    0.0396
    """
    return 1.0 - length * width / ((length + joint) * (width + joint))


def grout_per_m2(size: tuple[float, float], joint: float, depth: float, density: float) -> float:
    """Return kg of grout per m2; sizes in mm, density in kg per litre."""
    return joint_share(*size, joint) * depth * density


def sealant_per_m(width: float, depth: float, *, fillet: bool = False) -> float:
    """Return ml of sealant per m; sizes in mm.

    >>> sealant_per_m(10, 5)
    50.0
    """
    return float(width * depth) / (2.0 if fillet else 1.0)


@dataclass(frozen=True, slots=True)
class Packed:
    """An amount in whole packages, and what they cost."""

    amount: float
    packages: int
    cost: Decimal | None


def packed(amount: float, extra: float, package: float, price: Decimal | None) -> Packed:
    """Return an amount with its extra, rounded up to packages."""
    whole = amount * (1.0 + extra)
    # What is a whole number of packages must not be one more by the last bit of a float.
    packages = math.ceil(round(whole / package, 9))
    return Packed(whole, packages, None if price is None else price * packages)
