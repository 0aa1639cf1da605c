"""`cutopt formats`: which tile format costs least on which surface."""

import argparse
import json

from cutopt.command.files import check_outputs, name_of, read_json, write
from cutopt.command.options import Commands, bounded
from cutopt.command.refused import CANNOT_BE_MET, DONE, Refused, about, lines_of
from cutopt.command.terminal import say
from cutopt.comparing import Comparison, Variant, compared, with_tiles
from cutopt.effort import USUAL_SECONDS, read_seconds, read_seed


def add(commands: Commands) -> None:
    """Add the command to the parser."""
    parser = commands.add_parser(
        "formats",
        help="lay and plan a job in several tile formats: which costs least",
        description="Lays and plans a job with every combination of the tiles that its surfaces "
        "may have, and lists what each costs, the cheapest first.",
        allow_abbrev=False,
    )
    parser.add_argument("file", metavar="JOB.json", help="the job; - reads standard input")
    parser.add_argument(
        "--surface",
        metavar="MARK=TILE,TILE",
        action="append",
        required=True,
        type=bounded(read_choice),
        help="a surface and the tiles that it may have; may be said for several surfaces",
    )
    parser.add_argument("--out", metavar="JOB.json", help="write the job with the cheapest tiles")
    parser.add_argument("--seconds", type=bounded(read_seconds), default=USUAL_SECONDS)
    parser.add_argument("--seed", type=bounded(read_seed), default=0)
    parser.set_defaults(run=run)


def read_choice(text: str) -> tuple[str, tuple[str, ...]]:
    """Return a surface and its tiles; raises `ValueError` with the rule."""
    mark, _, names = text.partition("=")
    tiles = tuple(dict.fromkeys(name.strip() for name in names.split(",") if name.strip()))
    if not mark or not tiles:
        raise ValueError("a surface, an equals sign, and tiles with commas between them")
    return mark, tiles


def run(options: argparse.Namespace) -> int:
    """Compare what the options name."""
    check_outputs([options.out] if options.out else [], [options.file])
    data = read_json(options.file)
    with about(name_of(options.file)):
        found = compared(data, dict(options.surface), options.seconds, options.seed)
    best = found.variants[0]
    if best.worth is None:
        raise Refused(lines_of(name_of(options.file), best.refused), CANNOT_BE_MET)
    if options.out:
        job = with_tiles(data, best.tile_of)
        write(options.out, json.dumps(job, indent=2, ensure_ascii=False, default=float) + "\n")
    say(_table(found))
    return DONE


def _table(found: Comparison) -> str:
    proof = "proven: no other is cheaper" if found.is_proven else "not proven to be the cheapest"
    names = [
        ", ".join(f"{mark} {tile}" for mark, tile in one.tile_of.items()) for one in found.variants
    ]
    width = max(map(len, names))
    rows = (
        f"  {name.ljust(width)}  {_worth(one, found.by)}\n"
        for name, one in zip(names, found.variants, strict=True)
    )
    return f"Least {found.by} first; {proof}\n\n{''.join(rows)}"


def _worth(variant: Variant, by: str) -> str:
    if variant.plan is None or variant.worth is None:
        return f"cannot be planned: {variant.refused[0]}"
    tiles = sum(total.tiles_needed for total in variant.plan.totals)
    proof = "" if variant.least == variant.worth else ", not proven"
    if by == "tiles":
        return f"{tiles:>6,} tiles{proof}"
    return f"{variant.worth:>12,.2f} for {tiles:,} tiles{proof}"
