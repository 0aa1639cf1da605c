"""Traces arrive: OTLP over HTTP, read by a receiver of ours with the protocol's own messages."""

import gzip
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest

from tests.service.test_traces import TRACE, planned_by


@contextmanager
def receiver() -> Iterator[tuple[str, list[Any]]]:
    """Listen on loopback; yield the address, and the messages that arrive at `/v1/traces`."""
    messages = pytest.importorskip("opentelemetry.proto.collector.trace.v1.trace_service_pb2")
    arrived: list[Any] = []

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["Content-Length"]))
            if self.headers.get("Content-Encoding") == "gzip":
                body = gzip.decompress(body)
            if self.path == "/v1/traces":
                arrived.append(messages.ExportTraceServiceRequest.FromString(body))
            self.send_response(200)
            self.send_header("Content-Type", "application/x-protobuf")
            self.end_headers()

        def log_message(self, *_: object) -> None:
            pass

    with ThreadingHTTPServer(("127.0.0.1", 0), Handler) as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        yield f"http://127.0.0.1:{server.server_port}", arrived
        server.shutdown()
        thread.join()


def test_a_run_arrives_with_its_id_in_the_trace_of_its_caller(tmp_path: Path) -> None:
    with receiver() as (collector, arrived):
        where, _ = planned_by(tmp_path, OTEL_EXPORTER_OTLP_ENDPOINT=collector)
    resources = [resource for message in arrived for resource in message.resource_spans]
    spans = [
        span for resource in resources for scope in resource.scope_spans for span in scope.spans
    ]
    [run] = [span for span in spans if span.name == "cutopt.run"]
    assert run.trace_id.hex() == TRACE
    assert run.parent_span_id in {span.span_id for span in spans}
    said = {attribute.key: attribute.value for attribute in run.attributes}
    assert f"/v1/plans/{said['cutopt.run'].string_value}" in where
    assert said["cutopt.state"].string_value == "done"
    assert said["cutopt.attempt"].int_value == 1
    for resource in resources:
        names = {one.key: one.value.string_value for one in resource.resource.attributes}
        assert names["service.name"] == "cutopt"
