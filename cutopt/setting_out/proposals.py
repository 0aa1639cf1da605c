"""What was found, as a document: proposals with a plain sentence for what each gains and costs."""

from collections.abc import Iterator
from typing import Any

from cutopt.documents import Job
from cutopt.documents.set_out import Count, Eased, JointChange, Proposal, SetOut, SurfaceStart
from cutopt.setting_out.find import Chosen, Found
from cutopt.setting_out.measures import Measures
from cutopt.units import Units, show_length


def set_out_of(found: Found, seed: int, joints: tuple[JointChange, ...] = ()) -> SetOut:
    """Return what was found, to be read by people and programs."""
    job = found.space.job
    return SetOut(
        units=job.units,
        title=job.title,
        seed=seed,
        stopped=found.stopped,
        free=tuple(variable.name for variable in found.space.variables),
        tiles_needed=found.best.tiles,
        lower_bound=found.bound,
        proven_best=found.bound == found.best.tiles,
        proposals=tuple(_proposal(chosen, found) for chosen in found.chosen),
        customs=tuple(
            Count(keeps_rules=keeps, **_count(name, found.space.job_at(s.values), s.tiles, m))
            for name, s, m, keeps in found.customs
        ),
        tried=tuple(
            found.options.sights.ground(place).surface.id
            for place in found.options.sights.places
            if place in found.options.sampled
        ),
        eased=tuple(
            Eased(surface=found.options.sights.ground(place).surface.id, floor=float(share))
            for place, share in found.options.eased.items()
        ),
        joints=joints,
    )


def _proposal(chosen: Chosen, found: Found) -> Proposal:
    plan = chosen.plan
    return Proposal(
        lower_bound=chosen.lower_bound,
        proven_minimal=chosen.lower_bound == chosen.start.tiles,
        cuts=sum(total.cuts or 0 for total in plan.totals),
        sentence=" ".join(_sentences(chosen, found)),
        **_count(chosen.name, chosen.job, chosen.start.tiles, chosen.measures),
    )


def _count(name: str, job: Job, tiles: int, measures: Measures) -> dict[str, Any]:
    return {
        "name": name,
        "starts": tuple(_starts(job)),
        "tiles_needed": tiles,
        "smallest_cut": measures.smallest,
        "smallest_share": None if measures.smallest is None else round(float(measures.share), 4),
        "notched": measures.notched,
        "aligned": measures.aligned,
        "opening_edges": measures.edges,
    }


def _starts(job: Job) -> Iterator[SurfaceStart]:
    for _, surface in job.measured:
        if surface.start is not None and surface.start.point is None:
            yield SurfaceStart(surface=surface.id, x=surface.start.x, y=surface.start.y)


def _sentences(chosen: Chosen, found: Found) -> Iterator[str]:
    """Yield what a proposal is good for, against the one with the fewest tiles."""
    first, units = found.chosen[0], found.space.job.units
    tiles = chosen.start.tiles
    if chosen is first:
        proof = ": no start within the rules takes fewer" if found.bound == tiles else ""
        yield f"Takes {_tiles(tiles)}{proof}."
        if saved := _saved(found):
            yield saved
    else:
        more = tiles - first.start.tiles
        yield f"Takes {_tiles(more)} more." if more else "Takes as few tiles."
    yield from _about_cuts(chosen.measures, first.measures if chosen is not first else None, units)
    if (gained := first.measures.notched - chosen.measures.notched) and chosen is not first:
        yield f"{abs(gained)} {'fewer' if gained > 0 else 'more'} notched."
    if (joints := chosen.measures.aligned - first.measures.aligned) and chosen is not first:
        way = "more" if joints > 0 else "fewer"
        yield f"Joints lie on {abs(joints)} {way} of {chosen.measures.edges} opening edges."


def _tiles(number: int) -> str:
    return f"{number} tile{'' if number == 1 else 's'}"


def _saved(found: Found) -> str:
    """Return by how many tiles the common starts are undercut."""
    fewest = min((start.tiles for _, start, _, _ in found.customs), default=0)
    name = next((name for name, start, _, _ in found.customs if start.tiles == fewest), "")
    more = fewest - found.best.tiles
    return f"That is {_tiles(more)} fewer than with a {name}." if more > 0 else ""


def _about_cuts(measures: Measures, first: Measures | None, units: Units) -> Iterator[str]:
    if measures.smallest is None:
        yield "No cut depends on the start."
        return
    words = f"smallest cut {show_length(_rounded(measures.smallest), units)}"
    share = f"{float(measures.share):.2f} of a tile"
    if first is None or first.smallest is None:
        yield f"Its {words} is {share}."
        return
    yield f"The {words} is {share}, against {float(first.share):.2f}."


def _rounded(length: int) -> int:
    """Return a length to a hundredth of a millimetre: nobody reads more off a rule."""
    return 80 * round(length / 80)
