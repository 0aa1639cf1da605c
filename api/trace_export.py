"""Sends traces where they are wanted; imported only then, as its packages come with an extra."""

from collections.abc import Iterable

from opentelemetry import trace
from opentelemetry.exporter.otlp.proto.http.trace_exporter import OTLPSpanExporter
from opentelemetry.sdk.resources import SERVICE_NAME, Resource
from opentelemetry.sdk.trace import TracerProvider
from opentelemetry.sdk.trace.export import BatchSpanProcessor, ConsoleSpanExporter

_EXPORTERS = {"otlp": OTLPSpanExporter, "console": ConsoleSpanExporter}


def set_up(names: Iterable[str], service: str) -> None:
    """Send the traces of this process by these exporters."""
    provider = TracerProvider(resource=Resource.create({SERVICE_NAME: service}))
    for exporter in [_EXPORTERS[name] for name in names]:
        provider.add_span_processor(BatchSpanProcessor(exporter()))
    trace.set_tracer_provider(provider)
