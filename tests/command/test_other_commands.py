"""`cutopt check`, `cutopt schema`, the version, and commands that other packages add."""

import json
import tomllib
from importlib.metadata import EntryPoint
from pathlib import Path

import jsonschema
import pytest

from cutopt.command import entry
from cutopt.formats import DOCUMENTS, schema_of
from tests.command.conftest import ENDS, Run

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def made(run: Run, ends: Path, tmp_path: Path) -> Path:
    """Return the path of the plan of `ENDS`."""
    path = tmp_path / "plan.json"
    assert run("plan", ends, "--out", path).status == 0
    return path


def test_check_of_a_right_plan(run: Run, ends: Path, made: Path) -> None:
    ended = run("check", ends, made)
    assert (ended.status, ended.err) == (0, "")
    assert ended.out == ("The plan is right: 3 pieces from 2 new tiles, every cut replayed.\n")


def test_check_of_the_bound(run: Run, ends: Path, made: Path) -> None:
    ended = run("check", ends, made, "--bound")
    assert (ended.status, ended.err) == (0, "")
    assert "no plan needs fewer than 2 new tiles 'field'" in ended.out
    plan = json.loads(made.read_text())
    certificate = plan["totals"][0]["certificate"]
    certificate["pieces"] = dict.fromkeys(certificate["pieces"], certificate["scale"] + 1)
    made.write_text(json.dumps(plan))
    assert run("check", ends, made).status == 0
    ended = run("check", ends, made, "--bound")
    assert (ended.status, ended.out) == (2, "")
    assert "more than its price" in ended.err
    del plan["totals"][0]["certificate"]
    made.write_text(json.dumps(plan))
    assert "not certified" in run("check", ends, made, "--bound").err


def test_check_of_a_wrong_plan(run: Run, ends: Path, made: Path) -> None:
    plan = json.loads(made.read_text())
    plan["totals"][0]["tiles_needed"] += 1
    made.write_text(json.dumps(plan))
    ended = run("check", ends, made)
    assert (ended.status, ended.out) == (2, "")
    assert ended.lines
    assert all(line.startswith(f"{made}: /") for line in ended.lines)
    assert any("/totals/0" in line for line in ended.lines)


def test_check_of_a_plan_of_another_request(
    run: Run, ends: Path, made: Path, tmp_path: Path
) -> None:
    other = tmp_path / "other.json"
    other.write_text(json.dumps({**ENDS, "pieces": ENDS["pieces"][:1]}))
    assert run("check", other, made).status == 2
    assert run("check", ends, made).status == 0


def test_check_names_the_file_that_is_wrong(run: Run, ends: Path, made: Path) -> None:
    assert run("check", ends, ends).err.startswith(f"{ends}: /")
    swapped = run("check", made, ends)
    assert swapped.status == 2
    assert swapped.err.startswith(f"{made}: /format: ")


def test_check_reads_standard_input_once(run: Run) -> None:
    ended = run("check", "-", "-")
    assert (ended.status, len(ended.lines)) == (2, 1)


@pytest.mark.parametrize("name", sorted(DOCUMENTS))
def test_schema_is_a_schema(run: Run, name: str) -> None:
    ended = run("schema", name)
    assert (ended.status, ended.err) == (0, "")
    schema = json.loads(ended.out)
    jsonschema.Draft202012Validator.check_schema(schema)
    assert schema["$id"] == f"urn:cutopt:schema:{name}:1"


@pytest.mark.parametrize("name", sorted(DOCUMENTS))
def test_the_published_schema_is_up_to_date(run: Run, name: str) -> None:
    """Renew with `cutopt schema NAME > docs/schemas/NAME.json`."""
    published = ROOT / "docs" / "schemas" / f"{name}.json"
    assert published.read_text(encoding="utf-8") == run("schema", name).out


def test_no_schema_is_published_that_nobody_has() -> None:
    """Beside the documents stands the service's own, see tests/service/test_openapi.py."""
    published = {path.stem for path in (ROOT / "docs" / "schemas").glob("*.json")}
    assert published == {*DOCUMENTS, "openapi"}


def test_plans_and_requests_meet_their_schemas(run: Run, ends: Path, made: Path) -> None:
    jsonschema.validate(json.loads(ends.read_text()), schema_of("request"))
    jsonschema.validate(json.loads(made.read_text()), schema_of("plan"))
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(json.loads(ends.read_text()), schema_of("plan"))


def test_schema_of_what_there_is_not(run: Run) -> None:
    ended = run("schema", "wall")
    assert (ended.status, len(ended.lines)) == (2, 1)
    assert "request" in ended.err


def test_version_and_help(run: Run) -> None:
    version = run("--version")
    assert version.status == 0
    assert version.out.startswith("cutopt ")
    helped = run("--help")
    assert helped.status == 0
    assert all(name in helped.out for name in ("plan", "check", "schema"))


def test_a_command_that_another_package_adds(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    def found(group: str) -> list[EntryPoint]:
        assert group == "cutopt.commands"
        return [EntryPoint("greet", f"{__name__}:greet", group)]

    monkeypatch.setattr(entry, "entry_points", found)
    assert "greet" in run("--help").out
    ended = run("greet", "--loud", "you")
    assert (ended.status, ended.out) == (7, "hello --loud you\n")


def greet(argv: list[str]) -> int:
    print("hello", *argv)
    return 7


def test_the_service_adds_its_commands() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    added = project["entry-points"]["cutopt.commands"]
    assert added.keys() == {"keys", "serve", "work"}
    for name, target in added.items():
        assert callable(EntryPoint(name, target, "cutopt.commands").load())
