"""Audit of options: what can never be chosen, alone or together, by trying it."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from plowwright.findings import Finding
from plowwright.rulebook.audit_said import fault, rule
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.references import choices

MANY = "extras"
"""The one group of which any number may be chosen; of every other exactly one is."""


class _Choosing:
    """What may be chosen together; groups of one are tried value by value."""

    def __init__(self, rulebook: Rulebook) -> None:
        self.rulebook = rulebook
        self.groups: dict[str, list[str]] = {}
        for name in choices(rulebook.data):
            self.groups.setdefault(name.partition(".")[0], []).append(name)
        self.groups.pop(MANY, None)

    def needs(self, name: str) -> list[str]:
        group, _, value = name.partition(".")
        option = self.rulebook.options.get(group, {}).get(value)
        return list(option.needs) if option else []

    def excludes(self, name: str) -> list[str]:
        group, _, value = name.partition(".")
        option = self.rulebook.options.get(group, {}).get(value)
        return list(option.excludes) if option else []

    def with_needs(self, chosen: frozenset[str]) -> frozenset[str]:
        wanted = chosen
        while True:
            more = wanted | {need for name in wanted for need in self.needs(name)}
            if more == wanted:
                return wanted
            wanted = more

    def clash(self, chosen: frozenset[str]) -> str:
        """Why these cannot stand together, or ""."""
        for one, other in combinations(sorted(chosen), 2):
            same = one.partition(".")[0] == other.partition(".")[0]
            if same and one.partition(".")[0] != MANY:
                return f"only one of {one} and {other} can be had"
            if other in self.excludes(one) or one in self.excludes(other):
                first, second = (one, other) if other in self.excludes(one) else (other, one)
                return f"{first} excludes {second}"
            if {one.partition(".")[0], other.partition(".")[0]} == {"mount", "carrier"}:
                carrier, mount = sorted((one, other))
                if carrier.partition(".")[2] not in self.rulebook.mounts[mount.partition(".")[2]].carriers:
                    return f"{mount} does not couple to {carrier}"
        for name in chosen:
            if name in self.excludes(name):
                return f"{name} excludes itself"
        return ""

    def why_not(self, chosen: frozenset[str]) -> str:
        """Why no complete blade has all of these, or "" when one does."""
        wanted = self.with_needs(chosen)
        reason = self.clash(wanted)
        if reason:
            return reason
        taken = {name.partition(".")[0] for name in wanted}
        for group, values in self.groups.items():
            if group not in taken:
                reasons = [self.why_not(wanted | {value}) for value in values]
                return "" if "" in reasons else f"no {group} goes with it: {reasons[0]}"
        return ""


def option_faults(rulebook: Rulebook) -> Iterator[Finding]:
    """Options that can never be chosen, and pairs that never can although nothing says that they exclude."""
    choosing = _Choosing(rulebook)
    names = [f"{group}.{value}" for group, values in rulebook.options.items() for value in values]
    dead: set[str] = set()
    for name in names:
        reason = choosing.why_not(frozenset({name}))
        if reason:
            dead.add(name)
            yield fault(
                "options",
                f"{name} can never be chosen: {_chain(choosing, name)}{reason}.",
                basis=rule("at least one complete choice has it"),
                place=rulebook.place("options", *name.split(".", 1)),
                value="0 choices",
                limit="at least 1 choice",
            )
    for one, other in combinations(names, 2):
        if dead & {one, other} or (one.partition(".")[0] == other.partition(".")[0] != MANY):
            continue
        if other in choosing.excludes(one) or one in choosing.excludes(other):
            continue
        reason = choosing.why_not(frozenset({one, other}))
        if reason:
            yield fault(
                "options",
                f"{one} and {other} can never be chosen together, although neither excludes the other: "
                f"{_chain(choosing, one)}{_chain(choosing, other)}{reason}.",
                basis=rule("what cannot be had together says so"),
                place=rulebook.place("options", *one.split(".", 1)),
                value="0 choices",
                limit="an exclusion that says so",
                verdict="near limit",
            )


def _chain(choosing: _Choosing, name: str) -> str:
    wanted = sorted(choosing.with_needs(frozenset({name})) - {name})
    return f"{name} needs {' and '.join(wanted)}, and " if wanted else ""
