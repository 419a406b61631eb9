"""What plumbing takes on trust (plumbing.toml): hoses, threads, couplers, where outlets sit, slack."""

from __future__ import annotations

from plowwright.rulebook.quantities import Record


class Plumbing(Record):
    """All settings of plumbing.toml."""
