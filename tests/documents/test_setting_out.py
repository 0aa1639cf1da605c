"""The rules for setting out in a job: what is read, and what is refused, with its place."""

from fractions import Fraction
from typing import Any

import pytest

from cutopt.documents import Job
from cutopt.errors import InvalidInput
from tests.layout.jobs import job_data, surface


def job_with(*rules: dict[str, Any]) -> dict[str, Any]:
    wall = surface(openings=[{"kind": "window", "x": 600, "y": 900, "width": 500, "height": 500}])
    return job_data(wall, surface(id="B"), setting_out=list(rules))


def test_what_is_not_said_is_the_usual_rule() -> None:
    (rule,) = Job.of(job_with({"surfaces": ["A"]})).setting_out
    assert rule.move == "both"
    assert (rule.least_cut.wish, rule.least_cut.floor) == (Fraction(1, 2), Fraction(1, 3))
    assert rule.courses == "common"


@pytest.mark.parametrize(
    ("rules", "place"),
    [
        ([{"surfaces": ["Z"]}], "/setting_out/0/surfaces/0"),
        ([{"surfaces": ["A"]}, {"surfaces": ["A"]}], "/setting_out/0/surfaces/0"),
        ([{}, {}], "/setting_out"),
        ([{"joints_at": [{"opening": 0, "side": "left"}]}], "/setting_out/0/surfaces"),
        (
            [{"surfaces": ["A"], "joints_at": [{"opening": 1, "side": "left"}]}],
            "/setting_out/0/joints_at/0/opening",
        ),
        ([{"lines": [{"of": "joint"}]}], "/setting_out/0/lines/0"),
        ([{"lines": [{"of": "tile", "x": 1, "y": 1}]}], "/setting_out/0/lines/0"),
        ([{"least_cut": {"wish": "1/4"}}], "/setting_out/0/least_cut"),
    ],
)
def test_wrong_rules_are_refused_where_they_stand(rules: list[dict[str, Any]], place: str) -> None:
    with pytest.raises(InvalidInput) as refused:
        Job.of(job_with(*rules))
    assert refused.value.faults[0].place == place
