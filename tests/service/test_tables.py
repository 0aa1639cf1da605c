"""A database of an older version is brought up to date, with what it holds."""

from pathlib import Path

import pytest
import sqlalchemy as sa

from api.runs.record import Order
from api.runs.records import Records
from api.runs.tables import RUNS

_OLDER = (
    "DROP INDEX cutopt_runs_by_digest",
    *(f"ALTER TABLE cutopt_runs DROP COLUMN {name}" for name in ("deadline", "reusable", "trace")),
    "CREATE TABLE cutopt_plans (digest VARCHAR(64))",
    "DELETE FROM cutopt_schema WHERE version > 2",
)


@pytest.mark.parametrize("kind", ["sqlite", "postgresql"])
def test_an_older_database(kind: str, request: pytest.FixtureRequest, tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'runs.sqlite'}"
    if kind == "postgresql":
        url = request.getfixturevalue("postgresql")
    older = Records(url, 60)
    run = older.insert(Order("{}", "digest", 0, 1.0)).id
    with older.engine.begin() as db:
        for step in _OLDER:
            db.execute(sa.text(step))
    older.close()
    for _ in range(2):  # and once that is done, nothing is left to do
        records = Records(url, 60)
        found = records.find(run)
        assert found
        assert (found.digest, found.deadline, found.reusable) == ("digest", None, None)
        inspector = sa.inspect(records.engine)
        assert not inspector.has_table("cutopt_plans")
        indexes = {index["name"] for index in inspector.get_indexes(RUNS.name)}
        assert {index.name for index in RUNS.indexes} <= indexes
        records.close()
