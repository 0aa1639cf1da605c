"""Traces of OpenTelemetry: where a run's time went, across requests, queue and workers.

Nothing is recorded until the usual variables say where to (`OTEL_TRACES_EXPORTER`,
`OTEL_EXPORTER_OTLP_ENDPOINT`); until then all of this is the API's own doing nothing.
"""

import importlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager

from opentelemetry import trace
from opentelemetry.trace.propagation.tracecontext import TraceContextTextMapPropagator

from api.runs.record import Record
from cutopt.command.refused import Refused
from cutopt.version import VERSION

_WHERE_TO = ("OTEL_EXPORTER_OTLP_TRACES_ENDPOINT", "OTEL_EXPORTER_OTLP_ENDPOINT")
_propagator = TraceContextTextMapPropagator()
_tracer = trace.get_tracer("cutopt", VERSION)


def set_up(environment: Mapping[str, str], who: str) -> None:
    """Send traces where the environment says, unless somebody has set that up before.

    Raises
    ------
    Refused
        When traces are asked for that cannot be sent.
    """
    names = _exporters(environment)
    if not names or not isinstance(trace.get_tracer_provider(), trace.ProxyTracerProvider):
        return
    if unknown := set(names) - {"otlp", "console"}:
        why = f"OTEL_TRACES_EXPORTER: {sorted(unknown)[0]}: this is otlp, console or none"
        raise Refused([f"cutopt {who}: {why}"])
    try:
        export = importlib.import_module("api.trace_export")
        export.set_up(names, environment.get("OTEL_SERVICE_NAME", "cutopt"))
    except ImportError:
        why = "traces are asked for (OTEL_...), which takes: pip install 'cutopt[traces]'"
        raise Refused([f"cutopt {who}: {why}"]) from None


def _exporters(environment: Mapping[str, str]) -> list[str]:
    if environment.get("OTEL_SDK_DISABLED", "").lower() == "true":
        return []
    usual = "otlp" if any(environment.get(name) for name in _WHERE_TO) else "none"
    text = environment.get("OTEL_TRACES_EXPORTER") or usual
    names = [name.strip() for name in text.split(",")]
    return [name for name in names if name not in ("", "none")]


def send_the_rest() -> None:
    """Send what is still here, before the process ends."""
    shutdown = getattr(trace.get_tracer_provider(), "shutdown", None)
    if shutdown is not None:
        shutdown()


def current() -> str | None:
    """Return the trace that is being worked on, as it is handed on to others."""
    carrier: dict[str, str] = {}
    _propagator.inject(carrier)
    return carrier.get("traceparent")


@contextmanager
def attempt(record: Record) -> Iterator[trace.Span]:
    """Record the taking-up of a run, as a part of the trace of whoever asked for it."""
    carrier = {"traceparent": record.trace} if record.trace else {}
    attributes: dict[str, str | int] = {
        "cutopt.run": record.id,
        "cutopt.tenant": record.tenant,
        "cutopt.attempt": record.attempts,
    }
    with _tracer.start_as_current_span(
        "cutopt.run", _propagator.extract(carrier), attributes=attributes
    ) as span:
        yield span
