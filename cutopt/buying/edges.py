"""Names of edges for people: letters of the surface, what lies in it, side."""

from collections import Counter

from cutopt.documents import Job, Surface
from cutopt.layout import SoftJoint, TrimRun

#: What the lists of a surface hold, when a thing in them has no title of its own.
_KINDS = {"holes": "hole", "drains": "drain"}


class Edges:
    """The edges of a job, by the surface on which each lies."""

    def __init__(self, job: Job) -> None:
        self._surfaces = dict(job.surfaces)

    @property
    def marks(self) -> set[str]:
        """Return the letters of every surface."""
        return {surface.id for surface in self._surfaces.values()}

    def mark_of(self, edge: TrimRun | SoftJoint) -> str:
        """Return the letters of the surface on which an edge lies."""
        return self._home(edge)[1].id

    def name_of(self, edge: TrimRun | SoftJoint) -> str:
        """Return what an edge is called: `A, window, left`."""
        place, surface = self._home(edge)
        side = f"edge {edge.name}" if edge.name.isdigit() else edge.name
        within = edge.place.removeprefix(place).strip("/").split("/")
        if len(within) < 2:
            return f"{surface.id}, {side}"
        part = dict(surface.parts)[f"/{within[0]}/{within[1]}"]
        kind = getattr(part, "kind", _KINDS.get(within[0], within[0]))
        return f"{surface.id}, {getattr(part, 'title', None) or kind}, {side}"

    def _home(self, edge: TrimRun | SoftJoint) -> tuple[str, Surface]:
        # An edge of an opening has the opening's pointer, which begins with the surface's.
        place = edge.place
        while place not in self._surfaces:
            place = place.rpartition("/")[0]
        return place, self._surfaces[place]


def room_names(job: Job) -> list[str]:
    """Return the names of the rooms, told apart where several are called the same."""
    times = Counter(room.name for room in job.rooms)
    return [
        room.name if times[room.name] == 1 else f"{room.name} ({at + 1})"
        for at, room in enumerate(job.rooms)
    ]
