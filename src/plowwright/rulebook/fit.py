"""How blades are matched to machines (fit.toml): class rules, and what is taken of a machine nobody has described."""

from __future__ import annotations

from plowwright.rulebook.quantities import Record


class Fit(Record):
    """All settings of fit.toml."""
