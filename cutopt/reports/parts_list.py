"""The parts of a job in words: order of setting, corners, trim, sealant, falls, travelling offcuts.

For whoever sets the tiles; what is bought for it stands in the order.
"""

from collections import defaultdict
from collections.abc import Iterator

from cutopt.documents import Job, Plan
from cutopt.documents.shower import show_slope
from cutopt.layout import FallHeight, TakeOff, TrimRun
from cutopt.reports.corner import corner_lines
from cutopt.reports.lines import filled, item
from cutopt.reports.travel import travel_lines
from cutopt.reports.words import counted, number_text, plain
from cutopt.units import MM, Units


def write_parts(job: Job, take_off: TakeOff, plan: Plan | None = None) -> str:
    """Return the parts of a job as text, at most 80 columns wide; with a plan also what travels."""
    blocks = [
        list(filled(plain(f"Parts: {job.title}" if job.title else "Parts"))),
        _block("Set in this order", _order(job)),
        _block("Trim in sight", _trim(job, take_off)),
        _block("Joints that take sealant", _sealant(take_off, job.units)),
        _block("Falls of the floor", _falls(job, take_off)),
    ]
    if plan is not None:
        blocks.append(
            _block("Courses that go on round a corner", corner_lines(job, take_off, plan))
        )
        blocks.append(_block("Offcuts that travel", travel_lines(job, take_off, plan)))
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _block(title: str, rows: Iterator[tuple[str, str]]) -> list[str]:
    lines = [line for name, words in rows for line in item(name, words)]
    return [title, *lines] if lines else []


def _order(job: Job) -> Iterator[tuple[str, str]]:
    """Yield each part with its surfaces in the order in which they are unfolded, and set."""
    groups: dict[str, list[str]] = defaultdict(list)
    for place, surface in job.surfaces:
        for inner in ("/returns/", "/parts/"):
            if inner in place:
                at = place.index(inner) + len(inner)
                whole = place[:at] if inner == "/returns/" else "/".join(place.split("/")[:5])
                groups[whole].append(f"{surface.id} {surface.title or ''}".strip())
    for place, names in groups.items():
        why = "; the jambs stand on the sill and carry the head" if "returns" in place else ""
        yield names[0].split()[0][:-1], plain(", ".join(names)) + why


def _trim(job: Job, take_off: TakeOff) -> Iterator[tuple[str, str]]:
    titles = {place: surface.title or surface.id for place, surface in job.surfaces}
    for number, run in enumerate(take_off.trim, start=1):
        yield (
            str(number),
            f"{number_text(run.length, job.units)} {job.units}, face "
            f"{number_text(run.face, job.units)}: {plain(_where(run, titles))}, "
            f"{_ends(run)}",
        )


def _where(run: TrimRun, titles: dict[str, str]) -> str:
    own = max((place for place in titles if run.place.startswith(place)), key=len)
    rim = "rim of its opening, " if run.place != own else ""
    return f"{titles[own]}, {rim}{run.name}"


def _ends(run: TrimRun) -> str:
    if run.start == run.end:
        return f"both ends {run.start}"
    return f"one end {run.start}, one {run.end}"


def _sealant(take_off: TakeOff, units: Units) -> Iterator[tuple[str, str]]:
    lengths: dict[tuple[str, int], list[int]] = defaultdict(list)
    for joint in take_off.soft_joints:
        lengths[joint.meets, joint.width].append(joint.length)
    for (meets, width), found in sorted(lengths.items()):
        metres = sum(found) / MM / 1000
        yield (
            f"{metres:.2f} m",
            f"{number_text(width, units)} {units} wide, {meets}: {counted(len(found), 'joint')}",
        )


def _falls(job: Job, take_off: TakeOff) -> Iterator[tuple[str, str]]:
    for fall in take_off.falls:
        yield fall.name, _height(fall, job.units)


def _height(fall: FallHeight, units: Units) -> str:
    high = f"{number_text(fall.high, units)} {units}"
    if fall.slope is None:
        return f"runs down with the floor, from {high} to the height of the drain"
    return f"{high} above the drain, {show_slope(fall.slope)}"
