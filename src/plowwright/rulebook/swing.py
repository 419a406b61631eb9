"""What the angling checks take on trust (swing.toml): oil, temperatures, targets, restrictors, relief, test pack."""

from __future__ import annotations

from plowwright.rulebook.quantities import Record


class Swing(Record):
    """All settings of swing.toml."""
