"""Days, times and the like as plain text and back, and one way only to write JSON, so that digests can be compared."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from typing import Any, Final


def written(value: Any) -> str:
    """JSON with sorted names and nothing that depends on the machine.

    Args:
        value: Mappings, lists, texts, numbers, days and times.
    """
    return "{}" if value == {} else _WRITER.encode(value)


def plain(value: Any) -> Any:
    """The same value as JSON gives it back.

    Args:
        value: Mappings, lists, texts, numbers, days and times.
    """
    return {} if value == {} else json.loads(written(value))


def digest_of(*values: Any) -> str:
    """SHA-256 of the values, in hex.

    Args:
        values: Anything `written` takes.
    """
    return hashlib.sha256(written(list(values)).encode()).hexdigest()


def _plain(value: Any) -> Any:
    if isinstance(value, datetime | date):
        return value.isoformat()
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: getattr(value, field.name) for field in fields(value)}
    if isinstance(value, Mapping):
        return dict(value)
    if isinstance(value, set | frozenset):
        return sorted(value)
    raise TypeError(f"cannot be written in the records: {type(value).__name__}")


_WRITER: Final = json.JSONEncoder(sort_keys=True, ensure_ascii=False, separators=(",", ":"), default=_plain)
