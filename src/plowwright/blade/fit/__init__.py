"""Which blades suit a machine, and what to ask next."""

from __future__ import annotations

from plowwright.blade.fit.ranking import rank

__all__ = ["rank"]
