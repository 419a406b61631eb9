"""Who does something, and by which form: what every use case that writes is given."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from uuid import uuid4

from plowwright.errors import EntryError


@dataclass(frozen=True, slots=True, kw_only=True)
class Hand:
    """Whoever acts, with the key of his form.

    Attributes:
        who: As it stands on the wall; kept with what was done.
        key: The same key is the same command: sent twice, it is done once.
    """

    who: str
    key: str

    def part(self, name: str) -> Hand:
        """The same hand for one of several commands that belong to one form.

        Args:
            name: Tells the commands apart, the same each time the form is sent.
        """
        return Hand(who=self.who, key=f"{self.key} {name}")


def hand(who: str, key: str = "") -> Hand:
    """A hand; without a key it gets a fresh one.

    Args:
        who: Who acts.
        key: Of the form.

    Raises:
        EntryError: Nobody is named.
    """
    if not who.strip():
        raise EntryError("nobody is named for what is done", way_out="Say who does it, as R.K.")
    return Hand(who=who.strip(), key=key.strip() or fresh_key())


def fresh_key() -> str:
    """A key no form had before."""
    return uuid4().hex


def said_of(answer: Mapping[str, Any] | None) -> str:
    """The sentence a command answered.

    Args:
        answer: What it answered.
    """
    return str((answer or {}).get("said", ""))
