"""Traces: configured by the usual variables, part of the caller's trace, refused when in vain."""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import httpx2
import pytest

from api import traces
from api.examples import REQUEST
from cutopt.command.refused import Refused
from tests.processes import ROOT

_SERVE = "import sys; from api.serve import main; sys.exit(main(['--port', '0']))"
TRACE = "0af7651916cd43dd8448eb211c80319c"


def planned_by(folder: Path, **settings: str) -> tuple[str, str]:
    """Have a service plan one request and end in good order; return where the plan is, and said.

    Settings are variables of the environment.
    """
    environment = {
        **os.environ,
        "PYTHONPATH": str(ROOT),
        "CUTOPT_DATABASE": str(folder / "runs.sqlite"),
        **settings,
    }
    with subprocess.Popen(
        [sys.executable, "-c", _SERVE],
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as process:
        try:
            assert process.stderr
            lines = iter(process.stderr.readline, "")
            line = next(line for line in lines if line.startswith("cutopt serves on "))
            address = line.split()[3].rstrip(";")
            headers = {"traceparent": f"00-{TRACE}-b7ad6b7169203331-01"}
            answer = httpx2.post(f"{address}/v1/plans", json=REQUEST, headers=headers, timeout=60)
            assert answer.status_code == 200
            process.terminate()
            out, _ = process.communicate(timeout=60)
        finally:
            process.kill()
    return str(answer.headers["content-location"]), out


def test_a_run_is_part_of_its_callers_trace(tmp_path: Path) -> None:
    where, out = planned_by(tmp_path, OTEL_TRACES_EXPORTER="console")
    spans = _documents(out)
    [run] = [span for span in spans if span["name"] == "cutopt.run"]
    assert run["context"]["trace_id"] == f"0x{TRACE}"
    assert run["parent_id"] in {span["context"]["span_id"] for span in spans}
    assert run["attributes"]["cutopt.run"] == where.split("/")[3]
    assert run["attributes"]["cutopt.state"] == "done"
    assert run["resource"]["attributes"]["service.name"] == "cutopt"


def _documents(text: str) -> list[dict[str, Any]]:
    found, decoder = [], json.JSONDecoder()
    while text := text.lstrip():
        document, end = decoder.raw_decode(text)
        found.append(document)
        text = text[end:]
    return found


@pytest.mark.parametrize(
    ("environment", "names"),
    [
        ({}, []),
        ({"OTEL_TRACES_EXPORTER": "none"}, []),
        ({"OTEL_EXPORTER_OTLP_ENDPOINT": "http://127.0.0.1:4318"}, ["otlp"]),
        ({"OTEL_TRACES_EXPORTER": "console, otlp"}, ["console", "otlp"]),
        ({"OTEL_TRACES_EXPORTER": "otlp", "OTEL_SDK_DISABLED": "true"}, []),
    ],
)
def test_when_traces_are_sent(
    environment: dict[str, str], names: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    sent = []
    monkeypatch.setattr("api.trace_export.set_up", lambda names, _: sent.extend(names))
    traces.set_up(environment, "serve")
    assert sent == names


def test_traces_in_vain(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(Refused) as refused:
        traces.set_up({"OTEL_TRACES_EXPORTER": "carrier-pigeon"}, "serve")
    assert "carrier-pigeon" in refused.value.lines[0]
    monkeypatch.setitem(sys.modules, "api.trace_export", None)
    with pytest.raises(Refused) as refused:
        traces.set_up({"OTEL_TRACES_EXPORTER": "otlp"}, "work")
    assert "cutopt[traces]" in refused.value.lines[0]
