"""Offcuts that travel: pieces of one surface that come out of tiles cut for another."""

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from cutopt.documents import Job, Plan
from cutopt.layout import LaidSurface, TakeOff
from cutopt.reports.words import plain


@dataclass(frozen=True, slots=True)
class Travel:
    """Pieces of one surface and the surface, with its courses, whose tiles they come out of."""

    guest: LaidSurface
    host: LaidSurface
    pieces: int
    courses: tuple[int, ...]


def travels(take_off: TakeOff, plan: Plan) -> list[Travel]:
    """Return which surfaces live on the offcuts of others, in the order of the surfaces.

    A tile is cut for the surface of its largest piece; every other surface is a guest.
    """
    surfaces = {laid.mark: laid for laid in take_off.surfaces}
    homes = {piece.entry: (laid.mark, piece) for laid in take_off.surfaces for piece in laid.cut}
    areas = {piece.id: piece.width * piece.height for piece in take_off.request.pieces}
    counts: Counter[tuple[str, str]] = Counter()
    courses: dict[tuple[str, str], set[int]] = defaultdict(set)
    for cut_tile in plan.cut_tiles:
        names = [placed.piece for placed in cut_tile.placements if placed.piece in homes]
        if not names:
            continue
        host, piece = homes[max(names, key=lambda name: areas[name])]
        for guest in (homes[name][0] for name in names):
            if guest != host:
                counts[guest, host] += cut_tile.count
                courses[guest, host].add(piece.course)
    order = list(surfaces)
    return [
        Travel(surfaces[guest], surfaces[host], count, tuple(sorted(courses[guest, host])))
        for (guest, host), count in sorted(
            counts.items(), key=lambda item: (order.index(item[0][0]), -item[1], item[0][1])
        )
    ]


def travel_lines(job: Job, take_off: TakeOff, plan: Plan) -> Iterator[tuple[str, str]]:
    """Yield for each surface that lives on offcuts its letters and a sentence."""
    titles = {surface.id: surface.title or surface.kind for _, surface in job.surfaces}
    found: dict[str, list[Travel]] = defaultdict(list)
    for travel in travels(take_off, plan):
        found[travel.guest.mark].append(travel)
    for mark, hosts in found.items():
        cut = sum(not piece.is_full for piece in hosts[0].guest.cut)
        moved = sum(travel.pieces for travel in hosts)
        which = f"{moved} of {cut} pieces" if cut > 1 else "its piece"
        origins = ", ".join(
            (f"{travel.pieces} " if len(hosts) > 1 else "") + f"from {_origin(travel, titles)}"
            for travel in hosts
        )
        between = ":" if len(hosts) > 1 else ""
        yield mark, f"{plain(titles[mark])}: {which}{between} {origins}"


def _origin(travel: Travel, titles: Mapping[str, str]) -> str:
    name = f"{plain(titles[travel.host.mark])} ({travel.host.mark}"
    courses = travel.courses
    top = max(piece.course for piece in travel.host.pieces())
    words = ""
    if courses == (top,) and top > 1:
        words = ", top course"
    elif top > 1:
        words = f", course{'s' * (len(courses) > 1)} {' '.join(map(str, courses))}"
    return f"{name}{words})"
