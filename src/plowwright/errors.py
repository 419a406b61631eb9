"""Every error the program raises on purpose.

    PlowwrightError
    ├── EntryError (ValueError)          something typed or written could not be taken
    │   ├── UnitError                    no unit, an unknown unit, or a unit of the wrong kind
    │   ├── RulebookError                a rulebook file: names file, line and field
    │   ├── SpecError                    a spec that is not complete or whose choices clash
    │   ├── PlanInputError               what a planner was given makes no sense, or nothing on hand can serve it
    │   └── RefusedError                 understood, and refused as things stand: a gate is shut
    ├── NotFoundError (LookupError)      an order, section, part or file that is not there
    ├── ModelError (ValueError)          the blade cannot be built from these rules
    │   ├── EdgeError                    a cutting edge that cannot be laid out or cut down
    │   └── MechanismError               a frame with a part that nothing holds in some direction
    ├── NoPlanInTimeError (TimeoutError) no plan was found before the time was up; one may exist
    ├── PlanFaultError (RuntimeError)    a plan that breaks its own rules; nobody is shown it
    ├── StoreError (RuntimeError)        the records cannot be read or written: busy, damaged, or of a newer schema
    └── MissingToolError (RuntimeError)  an optional program or library is not installed

Each carries the offending value, the limit it broke and the way out, and says all three in its text.
"""

from __future__ import annotations


class PlowwrightError(Exception):
    """Root of the tree.

    Attributes:
        what: What went wrong, one sentence.
        value: The offending value as the person gave it, or "".
        limit: The limit it broke, or "".
        way_out: What would work, or "".
        where: File and line, field or part it concerns, or "".
    """

    def __init__(
        self, what: str, *, value: str = "", limit: str = "", way_out: str = "", where: str = ""
    ) -> None:
        self.what = what
        self.value = value
        self.limit = limit
        self.way_out = way_out
        self.where = where
        super().__init__(self.sentence())

    def sentence(self) -> str:
        """All that is known, as one readable text: where, what, value, limit, way out."""
        text = f"{self.where}: {self.what}" if self.where else self.what
        if self.value:
            text += f" (given: {self.value})"
        if self.limit:
            text += f"; limit: {self.limit}"
        if self.way_out:
            text += f". {self.way_out}"
        return text

    def as_dict(self) -> dict[str, str]:
        """The same for a machine: kind, what, value, limit, way_out, where."""
        return {
            "kind": type(self).__name__,
            "what": self.what,
            "value": self.value,
            "limit": self.limit,
            "way_out": self.way_out,
            "where": self.where,
        }


class EntryError(PlowwrightError, ValueError):
    """Something typed or written could not be taken."""


class UnitError(EntryError):
    """No unit, an unknown unit, or a unit of the wrong kind."""


class RulebookError(EntryError):
    """A rulebook file that cannot be read; names file, line and field."""


class SpecError(EntryError):
    """A spec that is not complete or whose choices clash."""


class PlanInputError(EntryError):
    """What a planner was given makes no sense, or nothing on hand can serve it; names the piece and the way out."""


class RefusedError(EntryError):
    """Understood, and refused as things stand: a gate is shut, a step comes too early or too late."""


class NotFoundError(PlowwrightError, LookupError):
    """An order, section, part or file that is not there."""


class ModelError(PlowwrightError, ValueError):
    """The blade cannot be built from these rules."""


class EdgeError(ModelError):
    """A cutting edge that cannot be laid out or cut down as asked."""


class MechanismError(ModelError):
    """A frame with a part that nothing holds in some direction; names the node or member and the freedom."""


class NoPlanInTimeError(PlowwrightError, TimeoutError):
    """No plan was found before the time was up; one may exist."""


class PlanFaultError(PlowwrightError, RuntimeError):
    """A plan that breaks its own rules, found by its checker before anyone is shown it."""


class StoreError(PlowwrightError, RuntimeError):
    """The shop's records cannot be read or written: busy, damaged, or of a newer schema."""


class MissingToolError(PlowwrightError, RuntimeError):
    """An optional program or library is not installed."""
