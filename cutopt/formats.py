"""Which documents there are: what a `format` is read as, and the JSON Schema of each."""

from collections.abc import Callable
from typing import Any

from cutopt.documents import Document, Job, Plan, Request
from cutopt.documents.order import Order
from cutopt.documents.progress import Progress
from cutopt.documents.sequence import Sequence
from cutopt.documents.set_out import SetOut
from cutopt.errors import BrokenPlan, Fault, InvalidInput, shown
from cutopt.layout import TakeOff, check_take_off, take_off

#: The published documents, by the name that asks for their schema.
DOCUMENTS: dict[str, type[Document]] = {
    "job": Job,
    "order": Order,
    "plan": Plan,
    "progress": Progress,
    "request": Request,
    "sequence": Sequence,
    "set-out": SetOut,
}

_REQUEST = "cutopt.request/1"
_JOB = "cutopt.job/1"


def request_of(data: object) -> Request:
    """Return the request that parsed JSON asks for: a request, or what a job comes to.

    Raises
    ------
    InvalidInput
        When nothing of this format can be planned, or the document breaks its rules.
    """
    return taken_off(data).request


def taken_off(data: object) -> TakeOff:
    """Return the take-off of parsed JSON; a request is one that somebody else has done.

    Raises
    ------
    InvalidInput
        When nothing of this format can be planned, or the document breaks its rules.
    BrokenPlan
        When the independent check refuses our take-off of a job: a bug of cutopt.
    """
    return _read(data, {_REQUEST: _requested, _JOB: _measured})


def job_taken_off(data: object) -> TakeOff:
    """Return the take-off of a job; raises as `taken_off` does, also for a request."""
    return _read(data, {_JOB: _measured})


def _read(data: object, readers: dict[str, Callable[[object], TakeOff]]) -> TakeOff:
    usual = next(iter(readers))
    name = data.get("format", usual) if isinstance(data, dict) else usual
    read = readers.get(name) if isinstance(name, str) else None
    if read is None:
        rule = f"what is read here has the format {' or '.join(map(repr, readers))}"
        raise InvalidInput([Fault("/format", shown(name), rule)])
    return read(data)


def _requested(data: object) -> TakeOff:
    return TakeOff(Request.of(data), (), ())


def _measured(data: object) -> TakeOff:
    job = Job.of(data)
    found = take_off(job)
    if faults := check_take_off(job, found):
        raise BrokenPlan(faults)
    return found


def schema_of(name: str) -> dict[str, Any]:
    """Return the JSON Schema (2020-12) of the document of this name in `DOCUMENTS`."""
    model = DOCUMENTS[name]
    version = str(model.model_fields["format"].default).rpartition("/")[2]
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"urn:cutopt:schema:{name}:{version}",
        **model.model_json_schema(),
    }
