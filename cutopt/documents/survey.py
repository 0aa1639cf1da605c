"""What can be wrong with a job beyond single fields: every fault at once, decided exactly."""

from collections import Counter
from collections.abc import Iterator
from itertools import combinations, pairwise

from cutopt.documents.faults_of_parts import faults_of_parts
from cutopt.documents.faults_of_setting_out import faults_of_setting_out
from cutopt.documents.job import MOST_CELLS, MOST_SURFACES, Job, JobTile, cells_of
from cutopt.documents.request import LONGEST_SIDE, SHORTEST_SIDE, WIDEST_KERF, Offcut
from cutopt.documents.surface import (
    WIDEST_JOINT,
    Area,
    Bond,
    Drain,
    Opening,
    Surface,
    Through,
)
from cutopt.errors import Fault, shown
from cutopt.plane import Outline, Point, Rect, box_of, cross, edges, is_inside, is_simple
from cutopt.units import MM, Units, show_length

_SIDES = ("left", "right", "top", "bottom")
#: A surface's side: above it numbers stop fitting a drawing, a request and a floor alike.
LONGEST_SURFACE = 200_000 * MM


def faults_of_job(job: Job) -> Iterator[Fault]:
    """Return everything that is wrong across the fields of a job.

    Parts are unfolded once they and the surfaces around them are right.
    """
    found = [*_faults_of_measured(job), *faults_of_parts(job), *faults_of_setting_out(job)]
    yield from found or _faults_of_unfolded(job)


def _faults_of_measured(job: Job) -> Iterator[Fault]:
    yield from _faults_of_saw_and_tiles(job)
    yield from _faults_of_offcuts(job)
    tiles = {tile.id: tile for tile in job.tiles}
    marks = Counter(surface.id for _, surface in job.measured)
    if marks.total() > MOST_SURFACES:
        yield Fault("/rooms", f"{marks.total()} surfaces", f"a job has at most {MOST_SURFACES}")
    for place, surface in job.measured:
        if marks[surface.id] > 1:
            rule = "each surface of a job has its own letters, as every label begins with them"
            yield Fault(f"{place}/id", shown(surface.id), rule)
        yield from _faults_of_surface(place, surface, job.units)
        tile = _tile_named(surface.tile, tiles)
        if isinstance(tile, str):
            yield Fault(f"{place}/tile", shown(surface.tile or "nothing"), tile)
            continue
        yield from _faults_of_laying(place, surface, tile, job.units)
        yield from _faults_of_start(place, surface, job.units)


def _faults_of_unfolded(job: Job) -> Iterator[Fault]:
    """Return what is wrong with the surfaces that parts are unfolded into, and with their sum."""
    surfaces = list(job.surfaces)
    measured = {place for place, _ in job.measured}
    times = Counter(surface.id for _, surface in surfaces)
    for place, surface in surfaces:
        if place in measured:
            continue
        if times[surface.id] > 1:
            rule = "each surface of a job has its own letters; those of its parts are added to them"
            yield Fault(place, shown(surface.id), rule)
        yield from _faults_of_surface(place, surface, job.units)
        yield from _faults_of_laying(place, surface, job.tile_of(surface), job.units)
    if len(surfaces) > MOST_SURFACES:
        yield Fault("/rooms", f"{len(surfaces)} surfaces", f"a job has at most {MOST_SURFACES}")
    cells = sum(cells_of(surface, job.tile_of(surface)) for _, surface in surfaces)
    if cells > MOST_CELLS:
        yield Fault("/rooms", f"about {cells} cells", f"a job has at most {MOST_CELLS} cells")


def _tile_named(name: str | None, tiles: dict[str, JobTile]) -> JobTile | str:
    if name is None:
        if len(tiles) == 1:
            return next(iter(tiles.values()))
        return "with several tiles each surface and offcut names its tile"
    return tiles.get(name) or f"this names a tile of the job: {', '.join(list(tiles)[:8])}"


def _faults_of_saw_and_tiles(job: Job) -> Iterator[Fault]:
    if job.saw.kerf > WIDEST_KERF:
        yield Fault("/saw/kerf", show_length(job.saw.kerf, job.units), "a kerf is at most 20 mm")
    times = Counter(tile.id for tile in job.tiles)
    for number, tile in enumerate(job.tiles):
        if times[tile.id] > 1:
            rule = "ids are unique within their list"
            yield Fault(f"/tiles/{number}/id", shown(tile.id), rule)
        for side, length in (("width", tile.width), ("height", tile.height)):
            if not SHORTEST_SIDE <= length <= LONGEST_SIDE:
                rule = "a tile's side lies between 0.5 mm and 10 m"
                yield Fault(f"/tiles/{number}/{side}", show_length(length, job.units), rule)


def _faults_of_offcuts(job: Job) -> Iterator[Fault]:
    tiles = {tile.id: tile for tile in job.tiles}
    times = Counter(offcut.id for offcut in job.offcuts)
    for number, offcut in enumerate(job.offcuts):
        place = f"/offcuts/{number}"
        if times[offcut.id] > 1:
            yield Fault(f"{place}/id", shown(offcut.id), "ids are unique within their list")
        tile = _tile_named(offcut.tile, tiles)
        if isinstance(tile, str):
            yield Fault(f"{place}/tile", shown(offcut.tile or "nothing"), tile)
        elif not _fits(offcut, tile):
            size = (
                f"{show_length(offcut.width, job.units)} x {show_length(offcut.height, job.units)}"
            )
            yield Fault(place, size, f"an offcut is no larger than its tile '{tile.id}'")


def _fits(offcut: Offcut, tile: JobTile) -> bool:
    upright = offcut.width <= tile.width and offcut.height <= tile.height
    lying = offcut.width <= tile.height and offcut.height <= tile.width
    return upright or (tile.turn == "quarter" and lying)


def _faults_of_surface(place: str, surface: Surface, units: Units) -> Iterator[Fault]:
    outline = surface.corners
    box = box_of(outline)
    if max(box.width, box.height) > LONGEST_SURFACE:
        longest = show_length(max(box.width, box.height), units)
        yield Fault(place, longest, "a surface is at most 200 m long")
    yield from _faults_of_edges(place, surface)
    if not is_simple(outline):
        yield Fault(
            f"{place}/outline" if surface.outline else place,
            f"{len(outline)} corners",
            "the outline of a surface neither crosses nor touches itself",
        )
        return
    sound: list[tuple[str, tuple[Point, ...]]] = []
    for at, part in surface.parts:
        corners = part.corners if isinstance(part, Area) else part.box.corners
        if isinstance(part, Area):
            yield from _faults_of_edges(f"{place}{at}", part)
        if not is_simple(corners):
            rule = "an outline neither crosses nor touches itself"
            yield Fault(f"{place}{at}/outline", f"{len(corners)} corners", rule)
        elif not lies_within(corners, outline):
            rule = _within(part, surface.id)
            yield Fault(f"{place}{at}", _shown_box(box_of(corners), units), rule)
        else:
            sound.append((at, corners))
    for (_, first), (at, second) in combinations(sound, 2):
        if overlap(first, second):
            other = next(name for name, corners in sound if corners is first)
            rule = f"this does not overlap {place}{other}"
            yield Fault(f"{place}{at}", _shown_box(box_of(second), units), rule)


def _within(part: Area | Through | Drain, mark: str) -> str:
    if isinstance(part, Drain):
        return f"a drain lies within its floor {mark}"
    if isinstance(part, Opening) and part.kind == "niche":
        return f"a niche lies within its wall {mark}: it does not go across a corner"
    return f"this lies within its surface {mark}"


def _shown_box(box: Rect, units: Units) -> str:
    x, y, right, top = (show_length(n, units) for n in (box.x, box.y, box.right, box.top))
    return f"from {x}, {y} to {right}, {top}"


def _faults_of_edges(place: str, item: Surface | Area) -> Iterator[Fault]:
    known: tuple[str, ...] = (*_SIDES, "all")
    if item.outline is None:
        rule = "an edge is named left, right, top, bottom or all"
    else:
        known = (*(str(number + 1) for number in range(len(item.outline))), "all")
        rule = f"an edge is named by its number, 1 to {len(item.outline)}, or all"
    for name in item.edges:
        if name not in known:
            yield Fault(f"{place}/edges", shown(name), rule)


def _faults_of_laying(place: str, surface: Surface, tile: JobTile, units: Units) -> Iterator[Fault]:
    bond = surface.bond
    if bond.kind == "basket weave":
        yield from _faults_of_weave(place, surface, tile, units)
    if bond.kind == "planks" and bond.stagger is not None:
        length = (tile.width if bond.along == "rows" else tile.height) + surface.joint
        if 2 * bond.stagger > length:
            rule = f"a stagger is at most half a tile and joint, {show_length(length // 2, units)}"
            yield Fault(f"{place}/bond/stagger", show_length(bond.stagger, units), rule)
    start = surface.start
    if start is None:
        return
    shifts = zip("xy", (start.x, start.y), repeats(bond, surface, tile), strict=True)
    for axis, shift, repeat in shifts:
        if abs(shift) >= repeat:
            rule = f"a start lies within one repeat of the bond, below {show_length(repeat, units)}"
            yield Fault(f"{place}/start/{axis}", show_length(shift, units), rule)


def _faults_of_start(place: str, surface: Surface, units: Units) -> Iterator[Fault]:
    start, box = surface.start, box_of(surface.corners)
    if (
        start
        and start.point
        and not (box.x <= start.point[0] <= box.right and box.y <= start.point[1] <= box.top)
    ):
        value = ", ".join(show_length(n, units) for n in start.point)
        yield Fault(
            f"{place}/start/point", value, "a start is measured from a point of the surface"
        )


def repeats(bond: Bond, surface: Surface, tile: JobTile) -> tuple[int, int]:
    """Return after how much, along and across the courses, the bond looks the same again.

    For herringbone and basket weave twice the tile's longer side and joint stand for it.
    """
    if bond.kind in ("herringbone", "basket weave"):
        longer = 2 * (max(tile.width, tile.height) + surface.joint)
        return longer, longer
    return tile.width + surface.joint, tile.height + surface.joint


def _faults_of_weave(place: str, surface: Surface, tile: JobTile, units: Units) -> Iterator[Fault]:
    """Tiles side by side and their joints make the length of one tile, or the weave gapes.

    L = k W + (k - 1) joint: system modularity, TCNA Handbook (read second-hand).
    """
    longer, shorter = sorted((tile.width, tile.height), reverse=True)
    count = round((longer + surface.joint) / (shorter + surface.joint))
    if count >= 2 and longer == count * shorter + (count - 1) * surface.joint:
        return
    rule = "in basket weave some tiles side by side with their joints are as long as one tile"
    joints = (
        show_length((longer - k * shorter) // (k - 1), units)
        for k in range(max(2, count - 1), count + 2)
        if 0 < longer - k * shorter <= (k - 1) * WIDEST_JOINT
    )
    if hint := ", ".join(joints):
        rule += f"; this bond closes at a joint of {hint}"
    yield Fault(f"{place}/bond", f"joint {show_length(surface.joint, units)}", rule)


# Areas on a surface: exact, touching allowed. Corners are doubled, so that midpoints are whole.


def lies_within(inner: Outline, outer: Outline) -> bool:
    """Tell whether one outline lies inside another; it may touch it from within."""
    inner, outer = _doubled(inner), _doubled(outer)
    return (
        not _cross(inner, outer)
        and all(_is_on(point, outer) or is_inside(point, outer) for point in _samples(inner, outer))
        and not any(is_inside(corner, inner) for corner in outer)
    )


def overlap(first: Outline, second: Outline) -> bool:
    """Tell whether two outlines share more than points and edges."""
    a, b = box_of(first), box_of(second)
    if a.x >= b.right or b.x >= a.right or a.y >= b.top or b.y >= a.top:
        return False
    if lies_within(first, second) or lies_within(second, first):
        return True
    first, second = _doubled(first), _doubled(second)
    return (
        _cross(first, second)
        or any(is_inside(point, second) for point in _samples(first, second))
        or any(is_inside(point, first) for point in _samples(second, first))
    )


def _doubled(outline: Outline) -> list[Point]:
    return [(2 * x, 2 * y) for x, y in outline]


def _cross(first: Outline, second: Outline) -> bool:
    """Tell whether an edge of one passes through an edge of the other."""
    return any(
        _apart(cross(a, b, c), cross(a, b, d)) and _apart(cross(c, d, a), cross(c, d, b))
        for a, b in edges(first)
        for c, d in edges(second)
    )


def _apart(one: int, other: int) -> bool:
    return (one > 0 > other) or (one < 0 < other)


def _is_on(point: Point, outline: Outline) -> bool:
    return any(_between(point, a, b) for a, b in edges(outline))


def _between(point: Point, a: Point, b: Point) -> bool:
    return (
        cross(a, b, point) == 0
        and min(a[0], b[0]) <= point[0] <= max(a[0], b[0])
        and min(a[1], b[1]) <= point[1] <= max(a[1], b[1])
    )


def _samples(outline: Outline, other: Outline) -> Iterator[Point]:
    """Return the corners, and a point of every stretch between the places that touch the other."""
    for a, b in edges(outline):
        touched = {a, b, *(corner for corner in other if _between(corner, a, b))}
        stretch = sorted(touched)
        yield a
        for (ax, ay), (bx, by) in pairwise(stretch):
            yield (ax + bx) // 2, (ay + by) // 2
