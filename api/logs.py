"""Logs as one JSON object a line, with the id of the run that they are about."""

import json
import logging
import sys
from datetime import UTC, datetime

#: What a record may carry besides its message.
_EXTRAS = ("run", "tenant", "state", "seconds", "attempts", "status", "method", "path")


class JsonLines(logging.Formatter):
    """Writes a record as a line of JSON; no header, body or key ever comes into one."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line."""
        line: dict[str, object] = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "message": record.getMessage(),
        }
        line |= {name: getattr(record, name) for name in _EXTRAS if hasattr(record, name)}
        if record.exc_info:
            line["traceback"] = self.formatException(record.exc_info)
        return json.dumps(line, ensure_ascii=False, default=str)


def set_up() -> None:
    """Send the logs of this process to standard error, a line of JSON each."""
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(JsonLines())
    root = logging.getLogger()
    root.handlers = [handler]
    root.setLevel(logging.WARNING)
    for name in ("cutopt", "uvicorn.error"):
        logging.getLogger(name).setLevel(logging.INFO)
