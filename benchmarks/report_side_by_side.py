"""Write docs/benchmarks/side_by_side.md and its plot."""

from collections.abc import Sequence
from statistics import median

from benchmarks import plots
from benchmarks.baselines import WAYS as PACKINGS
from benchmarks.results import HERE
from benchmarks.side_by_side import INSTANCES_ASKED, SECONDS, WAYS, Row

FOLDER = HERE.parent / "docs" / "benchmarks"
PLOT = FOLDER / "side_by_side.svg"
Cells = dict[tuple[str, str, float], Row]

NOTES = f"""\
[^gap]: Tiles over the best bound known for the instance, in per cent of that bound; the mean over
    the instances. The best bound is the highest that cutopt proved, or, for the
    published bins, that the CP-SAT model proved: what holds for rectangles anywhere holds for
    straight cuts too. In rooms, the model's bound does not hold for plans that use what a notch
    leaves, so there it is not counted.

[^free]: The CP-SAT model puts rectangles anywhere and does not ask that straight cuts from edge to
    edge part them. Its plan may need fewer tiles than any that can be cut (a gap below zero), and
    it cannot be taken to the saw as it is.

What is comparable:

- All get the same seconds of the processor and one worker; a way that ends sooner stops sooner.
- *Largest first* cuts as cutopt does and takes a few milliseconds; more time would not help it.
- *General packer* tries its {len(PACKINGS)} ways that part rectangles from edge to edge, in a fixed
  order, as long as there is time.
- *One CP-SAT model*: each piece is an optional rectangle in one of as many tiles as one way of the
  general packer needs, whose plan it is given to begin with; no overlap in a tile; a turn where the
  tile may be turned; the areas in a tile fit; the tiles are used in order, equal pieces in
  theirs, the k-th piece lies in the first k tiles. Kerf is added to piece and tile. Building
  the model counts as time.
- Rooms are those where sawn edges are allowed, as neither packer nor model is told of factory
  edges. Only cutopt uses what a notch leaves.
- Peak memory is that of a process that did nothing else; about 75 MiB of each are Python and
  libraries that all four load."""


def write(rows: Sequence[Row]) -> None:
    """Write page and plot."""
    if not rows:
        raise SystemExit("nothing was measured yet")
    FOLDER.mkdir(parents=True, exist_ok=True)
    (FOLDER / "side_by_side.md").write_text(page(rows) + "\n", encoding="utf-8")
    plots.strips(gaps(rows), "tiles over the best bound known (each ring an instance)", PLOT)


def best_bounds(rows: Sequence[Row]) -> dict[str, int]:
    """Return the highest bound of each instance that holds for every plan of straight cuts."""
    best: dict[str, int] = {}
    for row in rows:
        holds = row["way"] == "cutopt" or row["name"].startswith("bin2d/")
        if holds and row["bound"] is not None:
            best[row["name"]] = max(best.get(row["name"], 0), row["bound"])
    return best


def gap(row: Row, bounds: dict[str, int]) -> float | None:
    """Return tiles over the best bound in per cent, None where no bound is known yet."""
    bound = bounds.get(row["name"])
    if bound is None:
        return None
    return 100 * (row["tiles"] / bound - 1)


def gaps(rows: Sequence[Row]) -> dict[str, dict[str, list[float]]]:
    """Return for each time and way the gaps of all instances."""
    bounds = best_bounds(rows)
    return {
        f"{seconds:g} s": {
            way: [
                each
                for row in rows
                if row["allowed"] == seconds and row["way"] == way
                if (each := gap(row, bounds)) is not None
            ]
            for way in WAYS
        }
        for seconds in sorted({row["allowed"] for row in rows})
    }


def page(rows: Sequence[Row]) -> str:
    """Return the page as Markdown."""
    made = "; ".join(sorted({row["made_by"] for row in rows}))
    machines = "; ".join(sorted({row["machine"] for row in rows}))
    count = len({row["name"] for row in rows})
    wanted = len(SECONDS) * len(INSTANCES_ASKED) * len(WAYS)
    short = f" **Only {len(rows)} of {wanted} are measured.**" if len(rows) < wanted else ""
    return f"""# Side by side

*Written by `python -m benchmarks.side_by_side --report`; do not edit.*

Four ways on the same {count} instances at equal time: rooms of the benchmark with sawn edges
allowed, and the first published bins of their class. Measured with {made}, on {machines}.{short}

![Gap of each way](side_by_side.svg)

{_summary(rows)}

{NOTES}

{_every(rows)}"""


def _summary(rows: Sequence[Row]) -> str:
    lines = [
        "| seconds | way | instances | at the best bound | mean gap [^gap] | proven itself "
        "| median s | largest MiB |",
        "|---:|---|---:|---:|---:|---:|---:|---:|",
    ]
    bounds = best_bounds(rows)
    for seconds in sorted({row["allowed"] for row in rows}):
        for way in WAYS:
            mine = [row for row in rows if row["allowed"] == seconds and row["way"] == way]
            if mine:
                lines.append(f"| {seconds:g} | {_named(way)} | {_summed(mine, bounds)} |")
    return "\n".join(lines)


def _named(way: str) -> str:
    named = f"**{way}**" if way == "cutopt" else way
    return f"{named} [^free]" if way == "one CP-SAT model" else named


def _summed(mine: Sequence[Row], bounds: dict[str, int]) -> str:
    found = [each for row in mine if (each := gap(row, bounds)) is not None]
    reached = sum(each <= 0 for each in found)
    proven = sum(row["tiles"] == row["bound"] for row in mine)
    says = any(row["bound"] is not None for row in mine)
    mean = f"{sum(found) / len(found):.2f} %" if found else "–"
    worked = median(row["seconds"] for row in mine)
    return (
        f"{len(mine)} | {reached} | {mean} | {proven if says else '–'} | "
        f"{worked:.2f} | {max(row['peak_mib'] for row in mine)}"
    )


def _every(rows: Sequence[Row]) -> str:
    cells: Cells = {(row["name"], row["way"], row["allowed"]): row for row in rows}
    bounds, parts = best_bounds(rows), []
    for seconds in sorted({row["allowed"] for row in rows}):
        lines = [
            f"## Every instance at {seconds:g} s",
            "",
            "Tiles, in brackets the bound where there is one, seconds, MiB.",
            "",
            f"| instance | pieces | best bound | {' | '.join(WAYS)} |",
            "|---|---:|---:|" + "---:|" * len(WAYS),
        ]
        for name in INSTANCES_ASKED:
            told = [_cell(cells.get((name, way, seconds))) for way in WAYS]
            mine = next((row for row in rows if row["name"] == name), None)
            if mine is not None:
                head = f"{name} | {mine['pieces']} | {bounds.get(name, '–')}"
                lines.append(f"| {head} | {' | '.join(told)} |")
        parts.append("\n".join(lines))
    return "\n\n".join(parts)


def _cell(row: Row | None) -> str:
    if row is None:
        return "not measured"
    bound = "" if row["bound"] is None else f" ({row['bound']})"
    return f"{row['tiles']}{bound}, {row['seconds']:.2f} s, {row['peak_mib']}"
