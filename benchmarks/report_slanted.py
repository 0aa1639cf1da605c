"""The section of docs/benchmarks.md about floors laid diagonally and in herringbone."""

from collections.abc import Sequence
from pathlib import Path
from statistics import median

from benchmarks import plots
from benchmarks.results import Row

GROUPS = {"diagonal": "Diagonal floors", "herringbone": "Herringbone floors"}
#: What the counts are called, in the order of the columns; the general packer knows neither
#: factory edges nor slanted cuts, so it is left out.
COUNTS = {
    "one_per_cut_piece": "a tile for every cut piece",
    "area_plus_ten": "area + 10 %",
    "by_hand": "one offcut at hand, from boxes",
    "largest_first": "largest first, from boxes",
}


def groups(rows: Sequence[Row]) -> dict[str, list[Row]]:
    """Return the floors of each group by name, under the group's title."""
    ordered = sorted(rows, key=lambda row: row["name"])
    found = {
        title: [row for row in ordered if row["name"].startswith(kind)]
        for kind, title in GROUPS.items()
    }
    return {title: group for title, group in found.items() if group}


def section(rows: Sequence[Row], missing: Sequence[str]) -> str:
    """Return the section as Markdown."""
    allowed = ", ".join(sorted({f"{row['seconds_allowed']:g}" for row in rows}))
    made = "; ".join(sorted({row["made_by"] for row in rows}))
    machines = "; ".join(sorted({row["machine"] for row in rows}))
    lost = f"**Not measured ({len(missing)}):** {', '.join(missing)}.\n\n" if missing else ""
    parts = [
        f"""## Slanted floors

{len(rows)} invented floors, each a measured job and the request that its take-off makes: rooms
with columns, a chimney breast, cut-off corners, out of square. {allowed} s allowed for each,
one at a time. Measured with {made}, on {machines}.

{lost}![Tiles of each count over the tiles of cutopt](benchmarks/slanted.svg)

The greedy ways know no slanted cuts: they cut each triangle and trapezoid from its box, which
for a corner of a diagonal floor is often a whole tile. So they show what is lost that way, not
how good they are. The general packer knows no factory edges either and is left out."""
    ]
    parts += [_group(title, group) for title, group in groups(rows).items()]
    return "\n\n".join(parts)


def _group(title: str, rows: Sequence[Row]) -> str:
    head = " | ".join(COUNTS.values())
    lines = [
        f"### {title}",
        "",
        _outcome(rows),
        "",
        f"| floor | cut pieces | {head} | cutopt | bound | s |",
        "|---|" + "---:|" * (len(COUNTS) + 4),
        *map(_line, rows),
        _sums(rows),
    ]
    return "\n".join(lines)


def _outcome(rows: Sequence[Row]) -> str:
    proven = [row for row in rows if row["proven"]]
    times = [row["seconds"] for row in rows]
    slowest = max(rows, key=lambda row: row["seconds"])
    tiles = sum(row["tiles"] for row in rows)
    naive = sum(row["baselines"]["one_per_cut_piece"] for row in rows)
    return (
        f"Proven minimal: **{len(proven)} of {len(rows)}**{_gaps(rows)}. "
        f"{naive - tiles} of {naive} tiles fewer than a tile for every cut piece "
        f"({100 * (naive - tiles) / naive:.1f} %). Seconds: median {median(times):.2f}, "
        f"slowest {slowest['seconds']:.2f} (`{slowest['name']}`)."
    )


def _gaps(rows: Sequence[Row]) -> str:
    open_ = [f"`{row['name']}` {row['tiles'] - row['bound']}" for row in rows if not row["proven"]]
    return f" (gaps in tiles: {', '.join(open_)})" if open_ else ""


def _line(row: Row) -> str:
    counts = " | ".join(str(row["baselines"][name]) for name in COUNTS)
    found = f"{row['tiles']} | {row['bound']} | {row['seconds']:.2f}"
    return f"| {row['name']} | {row['cut_pieces']} | {counts} | {found} |"


def _sums(rows: Sequence[Row]) -> str:
    cut = sum(row["cut_pieces"] for row in rows)
    counts = " | ".join(str(sum(row["baselines"][name] for row in rows)) for name in COUNTS)
    tiles, bound = (sum(row[name] for row in rows) for name in ("tiles", "bound"))
    return f"| **all** | {cut} | {counts} | **{tiles}** | {bound} | |"


def draw(rows: Sequence[Row], folder: Path) -> None:
    """Write the plot."""
    over = {
        title: {
            label: [100 * (row["baselines"][name] / row["tiles"] - 1) for row in group]
            for name, label in COUNTS.items()
        }
        for title, group in groups(rows).items()
    }
    label = "tiles over those of cutopt (each ring a floor, the bar their median)"
    plots.strips(over, label, folder / "slanted.svg")
