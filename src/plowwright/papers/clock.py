"""The date written into a file: now, a given moment, or one fixed moment in test mode."""

from __future__ import annotations

import os
from datetime import UTC, datetime

FIXED = datetime(2026, 11, 11, 8, 0, 0, tzinfo=UTC)
SWITCH = "PLOWWRIGHT_TEST_MODE"


def frozen() -> bool:
    """Whether files are to be the same, byte for byte, whenever they are written."""
    return os.environ.get(SWITCH, "") == "1"


def moment(when: datetime | None = None) -> datetime:
    """The moment to write into a file.

    Args:
        when: A given moment wins over everything else.
    """
    if when is not None:
        return when
    return FIXED if frozen() else datetime.now(tz=UTC)
