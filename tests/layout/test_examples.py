"""The example jobs of the documentation: read, taken off, checked, in both unit systems."""

import json
from pathlib import Path

import jsonschema
import pytest

from cutopt.documents import Job
from cutopt.layout import check_take_off, take_off

EXAMPLES = Path(__file__).parents[2] / "docs" / "examples"
JOBS = sorted(
    path for path in EXAMPLES.glob("*.json") if '"cutopt.job/1"' in path.read_text("utf-8")
)


def test_there_are_three_jobs_in_millimetres_and_in_inches() -> None:
    names = {path.stem for path in JOBS}
    three = {"bathroom-wall", "hall-floor", "kitchen-splashback"}
    assert three | {f"{name}-inch" for name in three} <= names


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_example_is_taken_off_without_a_fault(path: Path) -> None:
    job = Job.read(path.read_bytes())
    result = take_off(job)
    assert check_take_off(job, result) == ()
    assert all(finding.source and finding.rule and finding.value for finding in result.findings)
    assert Job.read(job.text()) == job


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_example_keeps_to_the_schema_and_a_misspelt_one_does_not(path: Path) -> None:
    reader = jsonschema.Draft202012Validator(Job.model_json_schema())
    data = json.loads(path.read_text("utf-8"))
    reader.validate(data)
    data["rooms"][0]["surfaces"][0]["edges"]["all"] = "a corner"
    assert not reader.is_valid(data)


@pytest.mark.parametrize("name", ["bathroom-wall", "hall-floor", "kitchen-splashback"])
def test_millimetres_and_inches_give_the_same_layout(name: str) -> None:
    """The inch job is the same wall to the nearest sixteenth: same pieces, by label."""
    labels = [
        {piece.label for laid in take_off(job).surfaces for piece in laid.pieces()}
        for job in (
            Job.read((EXAMPLES / f"{name}.json").read_bytes()),
            Job.read((EXAMPLES / f"{name}-inch.json").read_bytes()),
        )
    ]
    assert labels[0] == labels[1]
