"""What the carrier checks take on trust (suit.toml): grip, ballast, gates, where a carrier holds what."""

from __future__ import annotations

from plowwright.rulebook.quantities import Record


class Suit(Record):
    """All settings of suit.toml."""
