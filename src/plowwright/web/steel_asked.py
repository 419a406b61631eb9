"""Which cut plan an address asks for: its orders, its seconds, what went wrong since, what is ticked."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field, replace
from urllib.parse import urlencode

from starlette.datastructures import QueryParams

from plowwright.desk.cutting import CuttingDesk
from plowwright.errors import PlanInputError, PlowwrightError


@dataclass(frozen=True, kw_only=True)
class Mishap:
    """What went wrong at one moment.

    Attributes:
        cut: Tags cut well until then.
        miscut: Tags spoilt.
        bent: Numbers of bent sticks, as the plan then in hand had them.
    """

    cut: tuple[str, ...] = ()
    miscut: tuple[str, ...] = ()
    bent: tuple[int, ...] = ()

    def pairs(self) -> list[tuple[str, str]]:
        """Its part of an address."""
        found = [("cut", t) for t in self.cut] + [("miscut", t) for t in self.miscut]
        return found + [("bent", str(n)) for n in self.bent]


@dataclass(frozen=True, kw_only=True)
class Asked:
    """Which plan is meant.

    Attributes:
        orders: Numbers of the orders, none for all that wait.
        seconds: Time given [s].
        mishaps: What went wrong, one after the other, each said of the plan the one before it left.
        ticked: Tags cut well by now; they make no other plan.
        mark: Of the orders and the rack it is made from; no part of an address.
    """

    orders: tuple[str, ...]
    seconds: float
    mishaps: tuple[Mishap, ...] = ()
    ticked: tuple[str, ...] = field(default=(), compare=False)
    mark: str = ""

    @property
    def plain(self) -> dict[str, str]:
        """What a plan that was printed is found again by."""
        return {"query": urlencode(self.pairs()), "mark": self.mark}

    @property
    def first(self) -> Asked:
        """The plan before any mishap."""
        return replace(self, mishaps=(), ticked=())

    @property
    def before(self) -> Asked:
        """The plan before the last mishap."""
        return replace(self, mishaps=self.mishaps[:-1], ticked=())

    def pairs(self) -> list[tuple[str, str]]:
        """The names and values that ask for it, in order; `then` parts one mishap from the next."""
        pairs: list[tuple[str, str]] = [("order", o) for o in self.orders] + [("seconds", f"{self.seconds:g}")]
        for number, mishap in enumerate(self.mishaps):
            pairs += [*([("then", str(number))] if number else []), *mishap.pairs()]
        return pairs + ([("then", str(len(self.mishaps)))] if self.mishaps else [])

    @property
    def query(self) -> str:
        """The part of an address that asks for it."""
        return urlencode([*self.pairs(), *(("cut", t) for t in self.ticked)])


def asked_of(query: QueryParams, cutting: CuttingDesk) -> Asked:
    """What an address asks for.

    Args:
        query: `order`, `seconds`, and of each mishap `cut`, `miscut`, `bent`, each as often as needed, with `then`
            before the next mishap.
        cutting: What plans.

    Raises:
        PlanInputError: Seconds or a stick's number are no numbers.
    """
    given = query.get("seconds", "").strip()
    try:
        seconds = float(given) if given else cutting.rules.saw.seconds.value
        mishaps, ticked = _mishaps_of(query)
    except ValueError as error:
        raise PlanInputError(
            "seconds and sticks are numbers", value=", ".join([given, *query.getlist("bent")]),
            way_out="Write 12 for the seconds, and the numbers at the left of the saw sheet for sticks.",
        ) from error  # fmt: skip
    if not 0.1 <= seconds <= 600:
        raise PlanInputError("a plan is given some seconds", value=given, limit="0.1 to 600", way_out="12 is usual.")
    orders = tuple(n.strip().upper() for n in query.getlist("order") if n.strip())
    return Asked(orders=orders, seconds=seconds, mishaps=mishaps, ticked=ticked, mark=_mark(cutting, orders))


def _mark(cutting: CuttingDesk, orders: Collection[str]) -> str:
    try:
        return cutting.mark(orders)
    except PlowwrightError:
        return ""  # said where the plan is asked for


def _mishaps_of(query: QueryParams) -> tuple[tuple[Mishap, ...], tuple[str, ...]]:
    """What went wrong, step by step, and what is ticked as cut after the last of them."""
    steps: list[list[tuple[str, str]]] = [[]]
    for name, value in query.multi_items():
        if name == "then":
            steps.append([])
        steps[-1].append((name, value))
    found: list[Mishap] = []
    cut: tuple[str, ...] = ()
    for step in steps:
        bent = {int(n) for name, text in step if name == "bent" for n in text.replace(",", " ").split()}
        miscut = tuple(t.strip() for name, t in step if name == "miscut" and t.strip())
        cut = tuple(t for name, t in step if name == "cut" and t not in miscut) or cut
        # Pieces ticked as cut with nothing wrong are no reason to plan again: the plan in hand stands.
        if miscut or bent:
            found.append(Mishap(cut=cut, miscut=miscut, bent=tuple(sorted(bent))))
    return tuple(found), cut
