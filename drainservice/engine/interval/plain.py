"""Frozen facts to plain JSON values and back, so that a reason can be counted again later."""

from dataclasses import MISSING, Field, fields, is_dataclass
from datetime import date, datetime
from enum import StrEnum
from functools import cache
from types import NoneType, UnionType
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

T = TypeVar("T")


class StoredFormUnreadable(ValueError):
    """A stored value does not have the shape its field needs."""


def to_plain(value: object) -> Any:
    """dataclass -> dict, tuple -> list, date -> ISO text, word -> its text; the rest as it is."""
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: to_plain(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, tuple | list):
        return [to_plain(item) for item in value]
    if isinstance(value, StrEnum):
        return value.value
    if isinstance(value, date):
        return value.isoformat()
    return value


def from_plain(kind: type[T], stored: Any) -> T:
    """The value of that class again; raises StoredFormUnreadable where the shapes differ."""
    try:
        made: T = _read(kind, stored)
    except (KeyError, TypeError, AttributeError, ValueError) as why:
        raise StoredFormUnreadable(
            f"A stored {kind.__name__} cannot be read ({why}); it was written in another form. "
            "Count the dates anew."
        ) from why
    return made


def _read(kind: Any, stored: Any) -> Any:
    origin, inner = get_origin(kind), get_args(kind)
    if origin is tuple:
        if inner[-1] is Ellipsis:
            return tuple(_read(inner[0], item) for item in stored)
        return tuple(_read(k, item) for k, item in zip(inner, stored, strict=True))
    if origin in (Union, UnionType):
        return _read_one_of(inner, stored)
    return _read_single(origin or kind, inner, stored)


def _read_one_of(kinds: tuple[Any, ...], stored: Any) -> Any:
    if stored is None:
        return None
    rest = [k for k in kinds if k is not NoneType]
    if len(rest) == 1:
        return _read(rest[0], stored)
    return _read(_shape_of(rest, stored), stored) if isinstance(stored, dict) else stored


def _shape_of(kinds: list[Any], stored: dict[str, Any]) -> Any:
    """Of several dataclasses the one with just these fields."""
    names = set(stored)
    fitting = [k for k in kinds if is_dataclass(k) and {f.name for f in fields(k)} == names]
    if len(fitting) != 1:
        raise TypeError(f"no single form has the fields {sorted(names)}")
    return fitting[0]


def _read_single(kind: Any, inner: tuple[Any, ...], stored: Any) -> Any:
    if is_dataclass(kind):
        return _read_fields(kind, inner, stored)
    if issubclass(kind, StrEnum):
        return kind(stored)
    if kind in (date, datetime):
        return kind.fromisoformat(stored)
    return float(stored) if kind is float else stored


def _read_fields(kind: Any, inner: tuple[Any, ...], stored: Any) -> Any:
    """Fields that came later than the stored value take their default."""
    known = dict(zip(getattr(kind, "__parameters__", ()), inner, strict=False))
    return kind(
        **{
            f.name: _read(_bind(_hints(kind)[f.name], known), stored[f.name])
            for f in fields(kind)
            if f.name in stored or not _has_default(f)
        }
    )


def _has_default(given: Field[Any]) -> bool:
    return given.default is not MISSING or given.default_factory is not MISSING


def _bind(kind: Any, known: dict[Any, Any]) -> Any:
    """Put the value's class in place of the T of Known[T]."""
    if kind in known:
        return known[kind]
    if get_origin(kind) in (Union, UnionType) and any(k in known for k in get_args(kind)):
        return Union[tuple(known.get(k, k) for k in get_args(kind))]  # noqa: UP007
    return kind


@cache
def _hints(kind: Any) -> dict[str, Any]:
    hints = get_type_hints(kind)
    return {f.name: hints[f.name] for f in fields(kind)}
