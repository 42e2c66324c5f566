"""Log lines as one JSON object each: names of routes and ids, never bodies or addresses."""

import json
import logging
import re
from datetime import UTC, datetime

MOST = 4000
SECRET = re.compile(r"(?i)(authorization|cookie|token|password|code)([=:]\s*)(\S+)")


class JsonLines(logging.Formatter):
    """One escaped, capped line a record."""

    def format(self, record: logging.LogRecord) -> str:
        """Write the record."""
        line: dict[str, object] = {
            "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "from": record.name,
            "says": SECRET.sub(r"\1\2(left out)", record.getMessage())[:MOST],
        }
        for name in ("request_id", "route", "status", "milliseconds", "asker"):
            if hasattr(record, name):
                line[name] = getattr(record, name)
        if record.exc_info:
            line["trace"] = self.formatException(record.exc_info)[-MOST:]
        return json.dumps(line, ensure_ascii=True, default=str)
