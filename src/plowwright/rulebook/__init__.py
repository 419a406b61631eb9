"""The shop's own rules as data: read, dated, fingerprinted and audited."""

from __future__ import annotations

from plowwright.rulebook.reading import Rulebook, load
from plowwright.rulebook.versions import VersionLine, versions

__all__ = ["Rulebook", "VersionLine", "load", "versions"]
