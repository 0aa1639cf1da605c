"""What to mind about the pieces of a job: one finding for each rule and surface."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from cutopt.documents import Job
from cutopt.geometry.measure import least_width, legs
from cutopt.layout import sources
from cutopt.layout.balance import findings_of_balance
from cutopt.layout.findings_of_bond import findings_of_bond
from cutopt.layout.findings_of_chips import findings_of_chips
from cutopt.layout.findings_of_holes import findings_of_holes
from cutopt.layout.ground import Ground
from cutopt.layout.model import Finding, LaidSurface, Level
from cutopt.layout.proposals import joint_at_the_corner, two_instead_of_one
from cutopt.plane import box_of
from cutopt.units import MM, show_down, show_length

#: A leg of a notched piece narrower than this is likely to break (common practice, no source).
LEAST_LEG = 50 * MM


def findings_of(
    job: Job, grounds: Sequence[Ground], surfaces: Sequence[LaidSurface], merged: bool
) -> Iterator[Finding]:
    """Return what to mind, surface by surface.

    Parameters
    ----------
    job : Job
        For the saw's least strip.
    grounds, surfaces : sequence
        The surfaces made ready, and laid.
    merged : bool
        Whether equal pieces share an entry of the request.
    """
    for ground, laid in zip(grounds, surfaces, strict=True):
        yield from _gaps(ground, laid)
        if ground.tile.mosaic is None:
            yield from _slivers(ground, laid, job.saw.least_strip)
            yield from _under_half(ground, laid)
            yield from _fragile(ground, laid)
        else:
            yield from findings_of_chips(ground, laid, ground.tile.mosaic)
        yield from _sawn_in_sight(ground, laid)
        yield from findings_of_balance(ground, laid)
        yield from findings_of_bond(ground)
        yield from findings_of_holes(ground, laid)
    if merged:
        value = "equal cut pieces share one entry"
        rule = "a request holds at most 20,000 entries; labels on the surfaces stay unique"
        yield Finding("merged", "/rooms", (), value, rule, "cutopt.request/1", "note")


def _gaps(ground: Ground, laid: LaidSurface) -> Iterator[Finding]:
    if laid.gaps:
        yield Finding(
            kind="gap",
            place=laid.place,
            labels=tuple(gap.label for gap in laid.gaps),
            value=f"{_count(laid.gaps, 'strip')} too thin to be cut",
            rule="strips under 0.5 mm are left to the joint: no piece is asked for",
            source=sources.PRACTICE,
        )


def _slivers(ground: Ground, laid: LaidSurface, least: int) -> Iterator[Finding]:
    thin = [
        (piece.label, width)
        for piece in laid.cut
        if not piece.is_full and (width := least_width(piece.shape.outer)) < least
    ]
    if thin:
        yield _of_lengths(
            "sliver",
            ground,
            thin,
            f"a strip under {show_length(least, ground.units)} is not safely sawn",
            sources.HOW_TO,
        )


def _under_half(ground: Ground, laid: LaidSurface) -> Iterator[Finding]:
    """Say which cuts are under half a tile; on slanted bonds they cannot be helped.

    Nor can they on a strip that is narrower than a tile: sill, jamb, curb, skirting.
    """
    if not ground.frame.is_level:
        return
    small = []
    field = box_of(ground.field)
    for piece in laid.cut:
        box = box_of(piece.shape.outer)
        sizes = (
            (box.width, piece.cell.width, field.width),
            (box.height, piece.cell.height, field.height),
        )
        cuts = [size for size, whole, room in sizes if 2 * size < whole <= room]
        if cuts:
            small.append((piece.label, min(cuts)))
    if not small:
        return
    rule = "cuts are usually not smaller than half a tile"
    if ground.surface.bond.kind == "stack":
        yield _of_lengths("under half", ground, small, rule, sources.WORKMANSHIP)
    else:
        excused = f"{rule}; offset patterns may force it aside, with the owner's approval"
        yield _of_lengths("under half", ground, small, excused, sources.OFFSET_PATTERNS, "note")


def _fragile(ground: Ground, laid: LaidSurface) -> Iterator[Finding]:
    thin: list[tuple[str, float]] = []
    u_shaped: list[str] = []
    instead: dict[str, str] = {}
    for piece in laid.cut:
        if len(piece.shape.outer) < 5:
            continue
        widths = legs(piece.shape.outer)
        if widths and min(widths) < LEAST_LEG:
            thin.append((piece.label, min(widths)))
            instead.setdefault("thin", joint_at_the_corner(ground, piece))
        if len(widths) > 2:
            u_shaped.append(piece.label)
            ways = (two_instead_of_one(ground, piece), joint_at_the_corner(ground, piece))
            instead.setdefault("u", ", or ".join(filter(None, ways)))
    if thin:
        rule = "a leg narrower than 50 mm is likely to break; drill the inside corner first"
        found = _of_lengths("thin leg", ground, thin, rule, sources.PRACTICE)
        yield replace(found, proposal=instead["thin"])
    if u_shaped:
        yield Finding(
            kind="u piece",
            place=laid.place,
            labels=tuple(u_shaped),
            value=f"{_count(u_shaped)} with several inside corners",
            rule="such pieces often break; a joint at the corner of the opening avoids them",
            source=sources.PRACTICE,
            proposal=instead["u"],
        )


def _sawn_in_sight(ground: Ground, laid: LaidSurface) -> Iterator[Finding]:
    texts = {
        "edge": "an open edge or outside corner shows a factory edge; here a sawn one shows",
        "joint": "a joint in the field meets factory edges; here a sawn one, as the other side of "
        "the piece is an open edge",
    }
    for where, rule in texts.items():
        labels = tuple(piece.label for piece in laid.cut if piece.sawn_in_sight == where)
        if labels:
            value = _count(labels)
            yield Finding(f"sawn {where}", laid.place, labels, value, rule, sources.PRACTICE)


def _of_lengths(
    kind: str,
    ground: Ground,
    found: Sequence[tuple[str, float]],
    rule: str,
    source: str,
    level: Level = "warning",
) -> Finding:
    least = show_down(min(length for _, length in found), ground.units)
    return Finding(
        kind=kind,
        place=ground.place,
        labels=tuple(label for label, _ in found),
        value=f"{_count(found)}, the smallest {least}",
        rule=rule,
        source=source,
        level=level,
    )


def _count(found: Sequence[object], name: str = "piece") -> str:
    return f"1 {name}" if len(found) == 1 else f"{len(found)} {name}s"
