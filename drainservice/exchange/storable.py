"""Text that both databases can store: no NUL (PostgreSQL), no lone surrogates."""

from typing import Any


def storable(value: Any) -> Any:
    """The same value with such signs shown as a replacement sign, in lists and dictionaries too."""
    if isinstance(value, str):
        return "".join("\ufffd" if c == "\0" or "\ud800" <= c <= "\udfff" else c for c in value) \
            if not value.isascii() or "\0" in value else value  # fmt: skip
    if isinstance(value, dict):
        return {storable(k): storable(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [storable(v) for v in value]
    return value
