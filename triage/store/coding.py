"""Records as plain types for a JSON file, and back, exactly."""

from collections.abc import Callable
from dataclasses import fields, is_dataclass
from datetime import datetime
from enum import Enum
from functools import lru_cache
from numbers import Integral, Real
from types import NoneType, UnionType
from typing import Any, TypeVar, cast, get_args, get_origin, get_type_hints

Record = TypeVar("Record")
_PLAIN = frozenset({str, int, float, bool, NoneType})


def to_plain(record: object) -> Any:
    """Turn a record into plain types.

    Parameters
    ----------
    record : object
        A dataclass of numbers, words, times, enums, tuples, dicts with words as keys, and further such records.

    Returns
    -------
    object
        Lists, dicts, words and numbers; a record is the list of its fields in order.

    Raises
    ------
    TypeError
        Something else is in it.
    """
    kind: Any = type(record)
    if kind in _PLAIN:
        return record
    if isinstance(record, tuple):
        return [to_plain(each) for each in record]
    if isinstance(record, dict):
        return {name: to_plain(each) for name, each in record.items()}
    if is_dataclass(record):
        return [to_plain(getattr(record, name)) for name in _names(kind)]
    return _plain_value(record)


def _plain_value(value: object) -> str | float:
    if isinstance(value, Enum):
        return str(value.value)
    if isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, Integral):  # of an array library; the plain types hold its value exactly
        return int(value)
    if isinstance(value, Real):
        return float(value)
    msg = f"{type(value).__name__} cannot be kept"
    raise TypeError(msg)


def from_plain(kind: type[Record], plain: Any) -> Record:
    """Make the record again.

    Parameters
    ----------
    kind : type
        What it was; also a tuple of records, as types are written.
    plain : object
        From `to_plain`.

    Returns
    -------
    object
        Equal to the first one.

    Raises
    ------
    TypeError, ValueError, KeyError, AttributeError
        The plain types do not hold such a record.
    """
    return cast("Record", _reader(cast("Any", kind))(plain))


@lru_cache(maxsize=64)
def _names(kind: Any) -> tuple[str, ...]:
    return tuple(field.name for field in fields(kind))


def _same(plain: Any) -> Any:
    return plain


@lru_cache(maxsize=64)
def _reader(kind: Any) -> Callable[[Any], Any]:
    """Return what makes a value of a type from its plain form; put together once for each type."""
    origin = get_origin(kind)
    if origin is not None:
        return {UnionType: _or_none, tuple: _tuple, dict: _dict}[origin](get_args(kind))
    if kind in _PLAIN:
        return _same
    if kind is datetime:
        return datetime.fromisoformat
    return _dataclass(kind) if is_dataclass(kind) else cast("Callable[[Any], Any]", kind)


def _dict(kinds: tuple[Any, ...]) -> Callable[[Any], Any]:
    value = _reader(kinds[1])
    return lambda plain: {name: value(each) for name, each in plain.items()}


def _or_none(kinds: tuple[Any, ...]) -> Callable[[Any], Any]:
    if len(kinds) != 2 or kinds[1] is not NoneType:
        msg = "only one type beside None can be told apart"
        raise TypeError(msg)
    inner = _reader(kinds[0])
    return _same if inner is _same else lambda plain: None if plain is None else inner(plain)


def _tuple(kinds: tuple[Any, ...]) -> Callable[[Any], Any]:
    if kinds[-1] is Ellipsis:
        inner = _reader(kinds[0])
        return lambda plain: tuple(inner(each) for each in plain)
    readers = [_reader(each) for each in kinds]
    return lambda plain: tuple(read(each) for read, each in zip(readers, plain, strict=True))


def _dataclass(kind: Any) -> Callable[[Any], Any]:
    hints = get_type_hints(kind)
    readers = [_reader(hints[name]) for name in _names(kind)]

    def made(plain: Any) -> Any:
        return kind(*[read(each) for read, each in zip(readers, plain, strict=True)])

    return made
