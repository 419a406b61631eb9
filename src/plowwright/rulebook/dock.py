"""What the dock takes on trust: scale, freight, packing (dock.toml)."""

from __future__ import annotations

from plowwright.rulebook.quantities import Record


class Dock(Record):
    """All settings of dock.toml."""
