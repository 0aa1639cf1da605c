"""What to mind about a bond and its joints, whatever the pieces."""

from collections.abc import Iterator
from fractions import Fraction

from cutopt.documents.surface import Drain
from cutopt.layout import sources
from cutopt.layout.bonds import shifts_of
from cutopt.layout.ground import Ground
from cutopt.layout.model import Finding, Level
from cutopt.plane import box_of
from cutopt.units import INCH, show_length

#: Never a joint below 1/16 in; at least three times the tiles' own spread (A108.02).
LEAST_JOINT = INCH // 16
TIMES_SPREAD = 3
#: With any side above 15 in, offset bonds have wider joints and offsets of a third at the most
#: (A108.02; older editions say 18 in).
LARGE_SIDE = 15 * INCH
LARGEST_OFFSET = Fraction(1, 3)
JOINT_OF_LARGE = {"rectified": INCH // 8, "calibrated": 3 * INCH // 16, "natural": 3 * INCH // 16}
#: Movement joints in a field at the latest after 25 ft (EJ171).
LONGEST_FIELD = 25 * 12 * INCH
#: Lippage is expected on a floor with falls from tiles of this side on.
LIPPING_SIDE = 6 * INCH


def findings_of_bond(ground: Ground) -> Iterator[Finding]:
    """Return what to mind about joint, offset, closing of the pattern, falls and field size."""
    yield from _joint(ground)
    yield from _offset(ground)
    yield from _modularity(ground)
    yield from _falls(ground)
    yield from _field_size(ground)


def _finding(
    ground: Ground, kind: str, value: str, rule: str, source: str, level: Level = "warning"
) -> Finding:
    return Finding(kind, ground.place, (), value, rule, source, level)


def _joint(ground: Ground) -> Iterator[Finding]:
    joint, tile, units = ground.surface.joint, ground.tile, ground.units
    shown = show_length(joint, units)
    if joint < LEAST_JOINT:
        rule = "a joint is never less than 1/16 in (1.6 mm)"
        yield _finding(ground, "thin joint", shown, rule, sources.WORKMANSHIP)
    if tile.spread is not None and joint < TIMES_SPREAD * tile.spread:
        wanted = show_length(TIMES_SPREAD * tile.spread, units)
        rule = f"a joint is at least three times the spread of the tiles, {wanted}"
        yield _finding(ground, "thin joint", shown, rule, sources.WORKMANSHIP)
    if not _is_large_and_offset(ground):
        return
    least: int = JOINT_OF_LARGE[tile.edge or "rectified"] + (tile.warp or 0)
    if joint < least:
        rule = (
            "offset tiles with a side above 15 in have joints of 1/8 in (rectified) or 3/16 in "
            f"(calibrated) and the warp of the edge: {show_length(least, units)}"
        )
        yield _finding(ground, "thin joint", shown, rule, sources.WORKMANSHIP)


def _is_large_and_offset(ground: Ground) -> bool:
    tile, kind = ground.tile, ground.surface.bond.kind
    return kind in ("running", "planks") and max(tile.width, tile.height) > LARGE_SIDE


def _offset(ground: Ground) -> Iterator[Finding]:
    bond = ground.surface.bond
    if not _is_large_and_offset(ground):
        return
    upright = bond.along == "columns"
    side = ground.tile.height if upright else ground.tile.width
    if side <= LARGE_SIDE:
        return
    pitch = side + ground.surface.joint
    shifts = shifts_of(bond, pitch, ground.step)
    following = [*shifts[1:], shifts[0]]
    apart = [(b - a) % pitch for a, b in zip(shifts, following, strict=True)]
    largest = max(min(gap, pitch - gap) for gap in apart)
    # A share is rounded to the step, so a third may lie one step above.
    if largest > LARGEST_OFFSET * pitch + ground.step:
        rule = "a side above 15 in is offset by at most a third, unless the tile maker allows more"
        value = f"{round(100 * largest / pitch)} % of the tile"
        yield _finding(ground, "large offset", value, rule, sources.WORKMANSHIP)


def _modularity(ground: Ground) -> Iterator[Finding]:
    if ground.surface.bond.kind != "herringbone":
        return
    joint = ground.surface.joint
    longer, shorter = sorted((ground.tile.width, ground.tile.height), reverse=True)
    if (longer + joint) % (shorter + joint):
        rule = "joints line up when L = k W + (k - 1) joint; this herringbone closes without that"
        value = f"joint {show_length(joint, ground.units)}"
        yield _finding(ground, "not modular", value, rule, sources.MODULARITY, "note")


def _falls(ground: Ground) -> Iterator[Finding]:
    tile = ground.tile
    drains = [part for _, part in ground.surface.parts if isinstance(part, Drain)]
    sides: tuple[int, int] = (tile.width, tile.height)
    if tile.mosaic is not None:
        sides = (tile.mosaic.chip_width, tile.mosaic.chip_height)
    if any(d.kind == "point" for d in drains) and max(sides) >= LIPPING_SIDE:
        value = " x ".join(show_length(side, ground.units) for side in sides)
        rule = "lippage is expected with tiles from 6 x 6 in on a floor falling to a point drain"
        yield _finding(ground, "lippage", value, rule, sources.SHOWER_FLOOR)


def _field_size(ground: Ground) -> Iterator[Finding]:
    box = box_of(ground.outline)
    longest = max(box.width, box.height)
    if longest > LONGEST_FIELD:
        rule = "fields indoors have movement joints at the latest after 25 ft (7.6 m)"
        value = show_length(longest, ground.units)
        yield _finding(ground, "movement joint", value, rule, sources.MOVEMENT_JOINTS)
