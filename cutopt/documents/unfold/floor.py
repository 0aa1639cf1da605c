"""A floor that falls to a point, unfolded: one plane for each wall, cut on the fall lines."""

from collections.abc import Iterator

from cutopt.documents.job_tile import JobTile
from cutopt.documents.laying import Start
from cutopt.documents.shower import LARGE_ON_FALLS
from cutopt.documents.surface import Drain, Edge, Surface
from cutopt.documents.unfold.trade import Placed
from cutopt.plane import doubled_area

#: Each plane is named after the side of the floor at which it begins, seen from the front.
_PLANES = (("F", "front"), ("R", "right"), ("B", "back"), ("L", "left"))
SIDES = ("bottom", "right", "top", "left")


def can_be_cut(surface: Surface) -> bool:
    """Tell whether a floor has fall lines that run from its four corners to those of a drain."""
    if surface.kind != "floor" or len(surface.corners) != 4 or len(surface.drains) != 1:
        return False
    drain = surface.drains[0]
    nothing_else = len(surface.parts) == 1
    return nothing_else and drain.kind == "point" and drain.diameter is None


def is_cut(surface: Surface, tile: JobTile) -> bool:
    """Tell whether the field of a floor is cut on the fall lines."""
    if surface.fall is None or not can_be_cut(surface):
        return False
    if surface.fall.field is not None:
        return surface.fall.field == "cut"
    return tile.mosaic is None and min(tile.width, tile.height) >= LARGE_ON_FALLS


def planes_of(place: str, surface: Surface) -> Iterator[Placed]:
    """Return the four planes of a floor, in its own coordinates.

    All keep the start of the floor, so that joints run through; unless said, two joints cross in
    the middle of the drain, so that the pieces round it are alike.
    """
    (drain,) = surface.drains
    corners = surface.corners
    names = SIDES if surface.outline is None else ("1", "2", "3", "4")
    if doubled_area(corners) < 0:
        corners, names = corners[::-1], (*names[-2::-1], names[-1])
    start = surface.start or Start(
        x=(surface.joint + 1) // 2, y=(surface.joint + 1) // 2, point=(drain.x, drain.y)
    )
    for at, (letter, title) in enumerate(_PLANES):
        outer = surface.edges.get(names[at]) or surface.edges.get("all")
        after = (at + 1) % 4
        rim = drain.box.corners
        yield (
            f"{place}/fall/{title}",
            surface.model_copy(
                update={
                    "id": surface.id + letter,
                    "title": f"{surface.title or 'floor'}, {title} fall",
                    **dict.fromkeys(("width", "height", "bottom", "top", "left", "right")),
                    "outline": (corners[at], corners[after], rim[after], rim[at]),
                    "edges": {
                        "1": outer or Edge(meets="inside corner"),
                        "2": Edge(meets="fall line"),
                        "3": _at_drain(drain),
                        "4": Edge(meets="fall line"),
                    },
                    "drains": (),
                    "start": start,
                }
            ),
        )


def about_the_drain(surface: Surface) -> Surface:
    """Return a floor that falls to its drain, with two joints that cross in the drain's middle.

    So the pieces round it are alike. A start that was given stays, and so does a slanted bond.
    """
    level = surface.bond.kind == "stack" and surface.bond.angle == 0
    if surface.fall is None or surface.start is not None or len(surface.drains) != 1 or not level:
        return surface
    (drain,) = surface.drains
    half = (surface.joint + 1) // 2
    start = Start(x=half, y=half, point=(drain.x, drain.y))
    return surface.model_copy(update={"start": start})


def _at_drain(drain: Drain) -> Edge:
    return Edge(meets="drain", joint=drain.joint)
