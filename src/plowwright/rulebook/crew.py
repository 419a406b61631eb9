"""Who works when, at what, on which bench, and how long paint cures (crew.toml)."""

from __future__ import annotations

from plowwright.rulebook.quantities import Record


class Crew(Record):
    """All settings of crew.toml."""
