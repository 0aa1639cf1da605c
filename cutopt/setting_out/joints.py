"""Joint width as a freedom: a joint with which full tiles come out, proposed and never imposed."""

from collections.abc import Iterator

from cutopt.documents import Job, Surface
from cutopt.documents.laying import WIDEST_JOINT
from cutopt.documents.set_out import JointChange
from cutopt.layout.ground import Narrow, ground_of
from cutopt.plane import Rect, box_of
from cutopt.setting_out.space import AXES, rules_of
from cutopt.units import MM, show_length

#: A proposed joint is a multiple of 0.01 mm; what that leaves goes into the joints at the ends.
STEP = MM // 100
#: A joint is at least three times the spread of the tiles: ANSI A108.02, workmanship section 4.3
#: (read second-hand).
SPREADS = 3


def joint_changes(job: Job) -> tuple[JointChange, ...]:
    """Return the joints, within what the job allows, with which a field is full tiles only."""
    rules = rules_of(job)
    return tuple(
        change
        for _, surface in job.measured
        if (within := rules[surface.id].joint_within)
        for axis in AXES
        if (change := _change(job, surface, axis, within)) is not None
    )


def _change(job: Job, surface: Surface, axis: int, within: int) -> JointChange | None:
    """Return the smallest change of the joint with which full tiles come out along an axis."""
    if surface.bond.angle != 0 or surface.bond.kind not in ("stack", "running"):
        return None
    if surface.bond.kind == "running" and (surface.bond.along == "columns") == (axis == 1):
        return None  # every other course ends in a part of a tile, whatever the joint
    found = [
        (abs(joint - surface.joint), joint, number, begin)
        for joint, number, begin in _fitting(job, surface, axis, within)
    ]
    if not found or min(found)[0] == 0:
        return None
    _, joint, number, begin = min(found)
    units, way = job.units, ("sideways", "up and down")[axis]
    size = show_length(_length(_field(job, surface, joint), axis), units)
    sentence = (
        f"With joints of {show_length(joint, units)} instead of {show_length(surface.joint, units)}"
        f", {number} full tiles fill the {size} {way}: no cut at either end."
    )
    return JointChange(
        surface=surface.id,
        direction="up and down" if axis else "sideways",
        joint=joint,
        instead_of=surface.joint,
        tiles=number,
        start=begin,
        sentence=sentence,
    )


def _fitting(job: Job, surface: Surface, axis: int, within: int) -> Iterator[tuple[int, int, int]]:
    """Yield joints that fit so many tiles between the edges, with where the first one begins."""
    tile = job.tile_of(surface)
    side = (tile.width, tile.height)[axis]
    least = max(surface.joint - within, SPREADS * (tile.spread or 0), STEP)
    most = min(surface.joint + within, WIDEST_JOINT)
    about = _length(_field(job, surface, surface.joint), axis) // side
    for number in range(max(2, about - 2), about + 3):
        joint = surface.joint
        for _ in range(3):  # the joints at the ends may follow the one between the tiles
            length = _length(_field(job, surface, joint), axis)
            joint = (length - number * side) // (number - 1) // STEP * STEP
            if not least <= joint <= most:
                break
        else:
            field = _field(job, surface, joint)
            spare = _length(field, axis) - number * side - (number - 1) * joint
            if 0 <= spare < (number - 1) * STEP:
                yield joint, number, field[axis] + spare // 2


def _field(job: Job, surface: Surface, joint: int) -> Rect:
    changed = surface.model_copy(update={"joint": joint})
    try:
        return box_of(ground_of("", changed, job.tile_of(surface), job.units).field)
    except Narrow:
        return Rect(0, 0, 0, 0)


def _length(field: Rect, axis: int) -> int:
    return field[2 + axis]
