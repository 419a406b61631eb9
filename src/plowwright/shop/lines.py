"""One line of a price or a cost: a sum of money that can be opened to its formula and inputs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, TypeVar

from plowwright.errors import EntryError, RulebookError
from plowwright.units import say

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A sum of money and where it comes from.

    Attributes:
        kind: What sort of line it is, as "mount" or "hours".
        label: What it is for.
        amount: The sum [money].
        formula: How it was worked out, in one line.
        inputs: What went in, each with its unit, by name.
    """

    kind: str
    label: str
    amount: float
    formula: str
    inputs: Mapping[str, str] = field(default_factory=dict[str, str])

    def as_dict(self) -> dict[str, Any]:
        """The line for a machine."""
        return {
            "kind": self.kind,
            "label": self.label,
            "amount": round(self.amount, 2),
            "formula": self.formula,
            "inputs": dict(self.inputs),
        }


def line_from_dict(entry_: Mapping[str, Any], *, where: str) -> Line:
    """A line read back from what `as_dict` wrote.

    Args:
        entry_: The line as plain values.
        where: What to call the source in messages.

    Raises:
        EntryError: A field is missing or the amount is not a number.
    """
    try:
        return Line(
            kind=str(entry_["kind"]),
            label=str(entry_["label"]),
            amount=float(entry_["amount"]),
            formula=str(entry_["formula"]),
            inputs={str(k): str(v) for k, v in dict(entry_["inputs"]).items()},
        )
    except (KeyError, TypeError, ValueError) as fault:
        raise EntryError(
            "a price line that cannot be read", where=where, value=str(entry_),
            way_out="Give it kind, label, amount, formula and inputs.",
        ) from fault  # fmt: skip


def money(amount: float, currency: str) -> str:
    """A sum of money in words, cents only when there are any.

    Args:
        amount: The sum [money].
        currency: Code of the currency.
    """
    return say(amount, "money", currency=currency)


def entry(table: Mapping[str, T], key: str, where: str, example: str) -> T:
    """An entry of the rulebook that has to be there.

    Args:
        table: The entries by name.
        key: The name looked for.
        where: File and table, for the message.
        example: A line that would do.

    Raises:
        RulebookError: It is not there.
    """
    if key not in table:
        raise RulebookError("no such entry", where=where, value=key, way_out=f"Add a line such as: {example}")
    return table[key]
