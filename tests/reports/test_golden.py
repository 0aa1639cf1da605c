"""One small sheet and one summary, byte for byte.

When a report is changed on purpose: `CUTOPT_RENEW=1 pytest tests/reports/test_golden.py`, then
look at the drawing and at the difference before it is committed.
"""

import os
from collections.abc import Callable

import pytest

from cutopt.documents import Plan, Request
from cutopt.reports import draw_cut_sheet, write_cut_list, write_summary
from tests.reports.samples import HERE, sample

RENEW = os.environ.get("CUTOPT_RENEW") == "1"


@pytest.mark.parametrize(
    ("file", "write"),
    [
        ("splashback.svg", draw_cut_sheet),
        ("splashback.txt", write_summary),
        ("splashback.csv", write_cut_list),
    ],
)
def test_golden(file: str, write: Callable[[Request, Plan], str]) -> None:
    golden = HERE / "golden" / file
    made = write(*sample("splashback")).encode()
    if RENEW:
        golden.write_bytes(made)
    assert made == golden.read_bytes()
