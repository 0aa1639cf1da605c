"""Proposals for where to begin, as a table and sentences; plain text for a terminal."""

from collections.abc import Iterator, Sequence

from cutopt.documents.set_out import Count, Proposal, SetOut
from cutopt.reports.lines import filled
from cutopt.reports.words import columns_of, number_text, plain

_HEADS = ("", "tiles", "plan", "smallest cut", "share", "cuts", "notched", "joints at openings")


def write_proposals(found: SetOut) -> str:
    """Return the proposals of a set-out and what is proven; sentences at most 80 columns wide."""
    title = f"Setting out: {found.title}" if found.title else "Setting out"
    blocks = [
        list(filled(plain(title))),
        list(_proof(found)),
        list(_table([_row(one, found, str(at)) for at, one in _numbered(found)])),
        list(_sentences(found)),
        list(_table([_row(one, found, "") for one in found.customs])) if found.customs else [],
        list(_starts(found)),
        list(_tried(found)),
        list(_eased(found)),
        [line for one in found.joints for line in filled(one.sentence, f"{one.surface}: ")],
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _numbered(found: SetOut) -> Iterator[tuple[int, Proposal]]:
    yield from enumerate(found.proposals, start=1)


def _proof(found: SetOut) -> Iterator[str]:
    yield from filled(f"Free: {', '.join(found.free)}")
    if found.proven_best:
        yield from filled(
            f"Proven: no start within the rules takes fewer than {found.tiles_needed} tiles"
        )
    else:
        yield from filled(
            f"Not proven: {found.tiles_needed} tiles found, every start takes at least "
            f"{found.lower_bound}"
        )
        yield from filled("A plan is proven for its own start only: another may take fewer tiles")


def _row(one: Count, found: SetOut, number: str) -> tuple[str, ...]:
    cuts, least = (str(one.cuts), _least(one)) if isinstance(one, Proposal) else ("", "")
    smallest = "-" if one.smallest_cut is None else number_text(one.smallest_cut, found.units)
    share = "-" if one.smallest_share is None else f"{one.smallest_share:.2f}"
    name = f"{number} {one.name}" if number else one.name + ("" if one.keeps_rules else " *")
    joints = f"{one.aligned} of {one.opening_edges}" if one.opening_edges else "-"
    return name, str(one.tiles_needed), least, smallest, share, cuts, str(one.notched), joints


def _least(one: Proposal) -> str:
    """Tell whether no plan from this start takes fewer tiles, or how many each takes at least."""
    return "proven" if one.proven_minimal else f">= {one.lower_bound}"


def _table(rows: Sequence[tuple[str, ...]]) -> Iterator[str]:
    """Yield a table; the words of its first column to the left, the others to the right."""
    if not rows:
        return
    table = [_HEADS, *rows]
    used = [at for at in range(len(_HEADS)) if any(row[at] for row in rows)]
    widths = {at: max(columns_of(row[at]) for row in table) for at in used}
    for row in table:
        cells = (row[at].rjust(widths[at]) for at in used[1:])
        yield "  ".join((row[0].ljust(widths[0]), *cells)).rstrip()
    if any(row[0].endswith(" *") for row in rows):
        yield "* breaks a rule of the job: a cut is smaller than the floor, or a line is missed"


def _sentences(found: SetOut) -> Iterator[str]:
    for number, one in _numbered(found):
        yield from filled(one.sentence, f"{number}: ")


def _starts(found: SetOut) -> Iterator[str]:
    """Yield where the first tile lies on each surface, proposal by proposal."""
    for number, one in _numbered(found):
        places = (
            f"{start.surface} {number_text(start.x, found.units)}, "
            f"{number_text(start.y, found.units)}"
            for start in one.starts
        )
        yield from filled("; ".join(places), f"{number} begins at ({found.units}): ")


def _tried(found: SetOut) -> Iterator[str]:
    """Yield which surfaces were only tried; their area alone may still prove the fewest tiles."""
    if found.tried:
        proof = "proven by area alone" if found.proven_best else "not proven"
        yield from filled(
            f"tried at some starts only, {proof}: no other start was counted",
            f"{', '.join(found.tried)}: ",
        )


def _eased(found: SetOut) -> Iterator[str]:
    for one in found.eased:
        yield from filled(
            f"{one.surface}: no start keeps the floor for cuts; {one.floor:.2f} of a tile is asked "
            "for instead"
        )
