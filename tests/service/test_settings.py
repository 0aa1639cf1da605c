"""Settings from the environment, and `cutopt serve` as far as it refuses to start."""

import signal
import socket
import sys
from pathlib import Path

import httpx2
import pytest

from api.accept import preferred
from api.serve import main
from api.settings import Settings
from cutopt.command.refused import Refused
from cutopt.errors import InvalidInput
from tests.processes import line_of_error, started


def test_defaults() -> None:
    settings = Settings.read({"PATH": "/bin"})
    assert settings == Settings()
    assert (settings.listen_host, settings.listen_port) == ("127.0.0.1", 8080)
    assert settings.benches >= 1


def test_everything_can_be_set() -> None:
    assert Settings.read(
        {
            "CUTOPT_LISTEN_HOST": "::1",
            "CUTOPT_LISTEN_PORT": "0",
            "CUTOPT_SECONDS": "5.5",
            "CUTOPT_MOST_SECONDS": "3600",
            "CUTOPT_DEADLINE_SECONDS": "7200",
            "CUTOPT_WAIT_SECONDS": "1",
            "CUTOPT_SEARCHES": "3",
            "CUTOPT_LOOK_SECONDS": "0.5",
            "CUTOPT_WAITING": "0",
            "CUTOPT_MOST_BODY_BYTES": "1000",
            "CUTOPT_MOST_WAIT_SECONDS": "2",
            "CUTOPT_QUICK_SECONDS": "3",
            "CUTOPT_QUEUED": "4",
            "CUTOPT_MEMORY_MB": "200",
            "CUTOPT_DATABASE": "runs.sqlite",
            "CUTOPT_KEEP_HOURS": "0.5",
            "CUTOPT_KEYS": "on",
            "CUTOPT_PER_MINUTE": "7",
            "CUTOPT_MOST_OPEN": "8",
            "CUTOPT_CALLBACK_SECRET": "s" * 24,
            "CUTOPT_PRIVATE_CALLBACKS": "yes",
        }
    ) == Settings(
        listen_host="::1",
        listen_port=0,
        seconds=5.5,
        most_seconds=3600,
        deadline_seconds=7200,
        wait_seconds=1,
        most_wait_seconds=2,
        quick_seconds=3,
        searches=3,
        look_seconds=0.5,
        waiting=0,
        queued=4,
        memory_mb=200,
        most_body_bytes=1000,
        keys="on",
        per_minute=7,
        most_open=8,
        callback_secret="s" * 24,
        private_callbacks="yes",
        database="runs.sqlite",
        keep_hours=0.5,
    )


def test_a_secret_is_not_shown() -> None:
    with pytest.raises(InvalidInput) as refused:
        Settings.read({"CUTOPT_CALLBACK_SECRET": "too short"})
    assert "too short" not in str(refused.value.faults)
    assert "hidden" not in repr(Settings(callback_secret="hidden"))


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("CUTOPT_LISTEN_HOST", ""),
        ("CUTOPT_LISTEN_HOST", "a b"),
        ("CUTOPT_LISTEN_PORT", "65536"),
        ("CUTOPT_LISTEN_PORT", "tcp://10.0.0.1:80"),
        ("CUTOPT_SECONDS", "0"),
        ("CUTOPT_MOST_SECONDS", "3601"),
        ("CUTOPT_DEADLINE_SECONDS", "0.5"),
        ("CUTOPT_DEADLINE_SECONDS", "tomorrow"),
        ("CUTOPT_LOOK_SECONDS", "0"),
        ("CUTOPT_WAIT_SECONDS", "nan"),
        ("CUTOPT_SEARCHES", "0"),
        ("CUTOPT_WAITING", "-1"),
        ("CUTOPT_MOST_BODY_BYTES", "8e6"),
        ("CUTOPT_DATABASE", "mysql://somewhere"),
        ("CUTOPT_KEEP_HOURS", "0"),
        ("CUTOPT_KEYS", "yes"),
    ],
)
def test_a_bad_value(name: str, value: str) -> None:
    with pytest.raises(InvalidInput) as refused:
        Settings.read({name: value})
    [fault] = refused.value.faults
    assert fault.place == name
    assert value in fault.value


def test_all_bad_values_at_once() -> None:
    with pytest.raises(InvalidInput) as refused:
        Settings.read({"CUTOPT_SECONDS": "x", "CUTOPT_SEARCHES": "y"})
    assert [fault.place for fault in refused.value.faults] == ["CUTOPT_SECONDS", "CUTOPT_SEARCHES"]


@pytest.mark.parametrize(
    ("accept", "best"),
    [
        ("", "a/b"),
        (" , ", "a/b"),
        ("*/*", "a/b"),
        ("c/d", "c/d"),
        ("C/D;Q=1", "c/d"),
        ("a/b;q=0.5,c/*", "c/d"),
        ("c/d;q=0,*/*", "a/b"),
        ("a/*;q=0,*/*;q=0.1", "c/d"),
        ("e/f", None),
        ("a/b;q=0", None),
        ("a/b;q=much", None),
        (";;;", None),
    ],
)
def test_the_form_that_a_client_likes_best(accept: str, best: str | None) -> None:
    assert preferred(accept, ["a/b", "c/d"]) == best


@pytest.mark.parametrize(
    ("argv", "environment", "said"),
    [
        (["--port", "65536"], {}, "--port"),
        (["--host", ""], {}, "--host"),
        (["--tls"], {}, "--tls"),
        ([], {"CUTOPT_SEARCHES": "many"}, "environment: CUTOPT_SEARCHES: 'many'"),
        (
            [],
            {"CUTOPT_DATABASE": "/nowhere/at/all.sqlite", "CUTOPT_KEYS": "on"},
            "cutopt serve: the database cannot be used: unable to open database file",
        ),
        (
            [],
            {"CUTOPT_DATABASE": "postgresql://name@127.0.0.1:port/name", "CUTOPT_KEYS": "on"},
            "cutopt serve: the database cannot be used: ",
        ),
        (["--host", "256.0.0.1"], {"CUTOPT_DATABASE": ":memory:"}, "no key could let anybody in"),
    ],
)
def test_a_service_that_does_not_start(
    monkeypatch: pytest.MonkeyPatch, argv: list[str], environment: dict[str, str], said: str
) -> None:
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    with pytest.raises(Refused) as refused:
        main(argv)
    [line] = refused.value.lines
    assert said in line
    assert refused.value.status == 2


def test_a_port_that_is_taken() -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken, pytest.raises(Refused) as refused:
        main(["--port", str(taken.getsockname()[1])])
    assert "in use" in refused.value.lines[0]


#: `cutopt serve` as the installed command finds it, also where nothing is installed.
SERVE = """
import sys
from importlib.metadata import EntryPoint
from cutopt.command import entry
entry.entry_points = lambda group: [EntryPoint("serve", "api.serve:main", group)]
sys.exit(entry.main(["serve", *sys.argv[1:]]))
"""


def test_a_service_starts_answers_and_stops(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("CUTOPT_DATABASE", str(tmp_path / "runs.sqlite"))
    with started([sys.executable, "-c", SERVE, "--port", "0"]) as process:
        line = line_of_error(process)
        assert line.startswith("cutopt serves on http://127.0.0.1:")
        address = line.split()[3].rstrip(";")
        assert httpx2.get(f"{address}/healthz", timeout=30).text == "alive\n"
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=60)
    assert process.returncode == 0
    assert "Traceback" not in out + err
