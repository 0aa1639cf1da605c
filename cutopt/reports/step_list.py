"""The cut order as a table: one row for each step, as CSV (RFC 4180)."""

import csv
import io
from collections.abc import Iterator

from cutopt.documents.sequence import Sequence, Step
from cutopt.reports.cut_list import guarded, in_one_unit
from cutopt.reports.saw_steps import made_text, step_text
from cutopt.reports.words import NO_BREAK, plain
from cutopt.units import Units

COLUMNS = (
    "step",
    "set the fence",
    "fence",
    "units",
    "edge",
    "cut tile",
    "which",
    "times",
    "stock",
    "part",
    "cut",
    "do",
    "pieces",
    "other parts",
    "seconds each",
)


def write_step_list(order: Sequence) -> str:
    """Return the steps of a cut order as a table.

    What the fence is set to is exact, in the units that the row names; words round as a rule does.
    """
    table = io.StringIO(newline="")
    rows = csv.writer(table, lineterminator="\r\n")
    rows.writerow(COLUMNS)
    for step in order.steps:
        rows.writerow(_row(step, order.units))
    return table.getvalue()


def _row(step: Step, units: Units) -> Iterator[str | int | float]:
    yield step.number
    yield "yes" if step.sets_fence else ""
    if step.setting is None:
        yield from ("", "")
    else:
        (fence,), unit = in_one_unit((step.setting,), units)
        yield from (fence, unit)
    yield step.edge or ""
    yield step.cut_tile
    yield step.which or ""
    yield step.times
    yield guarded(step.stock)
    yield step.part
    yield step.cut or ""
    yield guarded(_said(step_text(step, units)))
    pieces = [plain(made.piece or "") for made in step.makes if made.becomes == "piece"]
    rest = [made_text(made, units) for made in step.makes if made.becomes != "piece"]
    yield guarded("; ".join(pieces))
    yield _said("; ".join(rest))
    yield step.seconds


def _said(words: str) -> str:
    return words.replace(NO_BREAK, " ")
