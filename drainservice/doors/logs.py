"""Log lines as one JSON object each: names of routes and ids, never bodies or addresses."""

import json
import logging
import re
from datetime import UTC, datetime

MOST = 4000
# A link's path is the authority itself.
LINK = re.compile(r"/(y|in|stop)/[^\s\"'\\]+")
SECRET = re.compile(r"(?i)(authorization|cookie|token|password|code)([=:]\s*)(\S+)")


class JsonLines(logging.Formatter):
    """One escaped, capped line a record."""

    def format(self, record: logging.LogRecord) -> str:
        """Write the record."""
        line: dict[str, object] = {
            "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "from": record.name,
            "says": scrub(record.getMessage())[:MOST],
        }
        request = getattr(record, "request", None)
        if request is not None:
            line["request_id"] = getattr(request, "request_id", "")
        for name in ("request_id", "route", "status", "milliseconds", "asker"):
            if hasattr(record, name):
                line[name] = getattr(record, name)
        if record.exc_info:
            line["trace"] = scrub(self.formatException(record.exc_info))[-MOST:]
        return json.dumps(line, ensure_ascii=True, default=str)


def scrub(words: str) -> str:
    """Take out what lets somebody in: links, cookies, tokens."""
    return SECRET.sub(r"\1\2(left out)", LINK.sub(r"/\1/(left out)", words))
