"""How far an order is, and what each step needs before it is taken: money, frozen build, weight, match.

An order goes enquiry, quote, order, released, done, weighed, loaded. Each step is held against its gates; a gate says
what is missing in words the phone can read out. Nothing here looks at a database or a clock: what is known of the
order and the day are given.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any, Final, Literal, get_args

from plowwright.errors import EntryError, RefusedError
from plowwright.findings import Basis, Finding, Verdict

State = Literal["enquiry", "quote", "order", "released", "done", "weighed", "loaded"]
STATES: Final[tuple[State, ...]] = get_args(State)
Scale = Literal["not weighed", "holds", "stopped", "explained"]
Kind = Literal["blade", "refit", "spares"]
PAYMENTS: Final = ("deposit", "balance", "refund")
"""Sorts of money: what comes in before steel is bought, what comes in after it, what goes back."""
CANCELLED: Final = "cancelled"
"""What the records call an order that was called off; it is at no state of the way any more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """What is known of an order when its next step is asked for.

    Attributes:
        number: Number with its check letter; "" while it is an enquiry or a quote.
        state: How far it is.
        kind: Blade, refit or spares.
        cents: What the customer pays in all [cents].
        deposit_cents: Due before anything is bought or cut [cents].
        paid_cents: What came in so far, refunds taken off [cents].
        build: Fingerprint of the frozen build, or "".
        valid_until: Last day the quote stands, or None where there is no quote yet.
        promised: Whether a day was given to the customer.
        hold: Why it waits, or "".
        asks: What nobody has answered yet, as "pin sizes, measured".
        unsettled: Change notes the customer has not said yes to.
        work_left: Operations not done yet.
        scale: What the scale said.
        matched: Whether order, stamp and label said the same at loading; None while nobody looked.
        cured: Whether the paint may be strapped; None while nobody said.
        terms: Who may take the goods before the balance, in the owner's words, or "".
    """

    number: str = ""
    state: State
    kind: Kind = "blade"
    cents: int = 0
    deposit_cents: int = 0
    paid_cents: int = 0
    build: str = ""
    valid_until: date | None = None
    promised: bool = False
    hold: str = ""
    asks: tuple[str, ...] = ()
    unsettled: tuple[str, ...] = ()
    work_left: tuple[str, ...] = ()
    scale: Scale = "not weighed"
    matched: bool | None = None
    cured: bool | None = None
    terms: str = ""

    @property
    def balance_cents(self) -> int:
        """What is still to be paid [cents]."""
        return self.cents - self.paid_cents


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step on the way, with its gates.

    Attributes:
        number: Number of the order.
        to: Where it leads.
        gates: What it needs, each with its verdict.
    """

    number: str
    to: State
    gates: tuple[Finding, ...]

    @property
    def open(self) -> bool:
        """Whether the step may be taken."""
        return all(gate.verdict in ("holds", "near limit") for gate in self.gates)

    @property
    def missing(self) -> tuple[Finding, ...]:
        """The gates that are shut."""
        return tuple(gate for gate in self.gates if gate.verdict not in ("holds", "near limit"))

    def as_dict(self) -> dict[str, Any]:
        """The step for a machine."""
        return {
            "number": self.number,
            "to": self.to,
            "open": self.open,
            "gates": [gate.as_dict() for gate in self.gates],
        }


def next_step(standing: Standing, today: date) -> Step | None:
    """The next step of an order and what it needs; None for one that is loaded.

    Args:
        standing: What is known of it.
        today: The day it is asked.
    """
    at = STATES.index(standing.state)
    if at + 1 == len(STATES):
        return None
    to = STATES[at + 1]
    return Step(number=standing.number, to=to, gates=_GATES[to](standing, today))


def advance(standing: Standing, to: str, today: date) -> State:
    """Take the next step.

    Args:
        standing: What is known of the order.
        to: The state wanted.
        today: The day it is done.

    Raises:
        EntryError: No such state.
        RefusedError: Not the next one, or a gate is shut; names what is missing and the way out.
    """
    if to not in STATES:
        raise EntryError("no state is called that", value=to, limit=", ".join(STATES))
    step = next_step(standing, today)
    if step is None or step.to != to:
        following = f"the next is {step.to}" if step else "it is loaded: what comes now goes into the life record"
        raise RefusedError(f"{_name(standing)} is at {standing.state}: no step is left out and none is taken twice",
                           value=to, limit=following, way_out="To go back, step back with a reason.")  # fmt: skip
    if not step.open:
        raise RefusedError(
            f"{_name(standing)} cannot be {to} yet: " + "; ".join(g.sentence for g in step.missing),
            value="; ".join(g.value for g in step.missing if g.value),
            limit="; ".join(g.limit for g in step.missing if g.limit),
        )
    return step.to


def step_back(standing: Standing, to: str, reason: str) -> State:
    """Take a step back, openly: a blade weighed in error is done again, a released order is stopped.

    Args:
        standing: What is known of the order.
        to: An earlier state, not before "order" once it is an order.
        reason: Why, for the record.

    Raises:
        RefusedError: Loaded, or not an earlier state.
        EntryError: No reason.
    """
    if standing.state == "loaded":
        raise RefusedError(f"{_name(standing)} has left the yard", value=to, limit="loaded is the last state",
                           way_out="Write what happens to it now into its life record.")  # fmt: skip
    least = STATES.index("order") if STATES.index(standing.state) >= STATES.index("order") else 0
    earlier = STATES[least : STATES.index(standing.state)]
    if to not in earlier:
        raise RefusedError(f"{_name(standing)} cannot go back there", value=to,
                           limit=", ".join(earlier) or f"nothing comes before {standing.state}",
                           way_out="An order is no quote again: cancel it, or write a change note.")  # fmt: skip
    if len(reason.strip()) < 4:
        raise EntryError("a step back needs its reason", value=repr(reason), way_out="Say why in a few words.")
    return to


def called_off(standing: Standing, reason: str) -> str:
    """Call an order off; its number is never given again.

    Args:
        standing: What is known of it.
        reason: Why, for the record.

    Returns:
        What is still to be settled with the customer, or "".

    Raises:
        RefusedError: It has left the yard.
        EntryError: No reason.
    """
    if standing.state == "loaded":
        raise RefusedError(f"{_name(standing)} has left the yard", value="cancel", limit="loaded is the last state",
                           way_out="What comes back is a refit or a spare; write it into its life record.")  # fmt: skip
    if len(reason.strip()) < 4:
        raise EntryError("calling an order off needs its reason", value=repr(reason), way_out="Say why in a few words.")
    return f"{money(standing.paid_cents)} came in: settle what goes back" if standing.paid_cents > 0 else ""


def take_money(standing: Standing, kind: str, cents: int) -> int:
    """A sum that comes in or goes back, with its sign.

    Args:
        standing: What is known of the order.
        kind: One of `PAYMENTS`.
        cents: The sum, without a sign [cents].

    Returns:
        The sum as the record keeps it, negative where it goes back [cents].

    Raises:
        EntryError: No such kind, or no sum.
        RefusedError: Nothing is ordered yet, more than is open, or more goes back than came in.
    """
    if kind not in PAYMENTS:
        raise EntryError("money is one of these", value=kind, limit=", ".join(PAYMENTS))
    if cents <= 0:
        raise EntryError("a sum is more than nothing", value=money(cents), way_out="A refund is a kind of its own.")
    if kind == "refund":
        if cents > standing.paid_cents:
            raise RefusedError(f"{_name(standing)} cannot get more back than came in", value=money(cents),
                               limit=f"at most {money(standing.paid_cents)}")  # fmt: skip
        return -cents
    if standing.state in ("enquiry", "quote"):
        raise RefusedError(f"{_name(standing)} is not ordered yet", value=money(cents),
                           way_out="Take the order first: the customer says yes, and a day is given.")  # fmt: skip
    if cents > standing.balance_cents:
        raise RefusedError(f"{_name(standing)} is not owed as much", value=money(cents),
                           limit=f"at most {money(standing.balance_cents)}",
                           way_out="Read the sum again; a dearer order needs its change note first.")  # fmt: skip
    return cents


def money(cents: int, currency: str = "USD") -> str:
    """A sum as people read it.

    >>> money(124450)
    'USD 1,244.50'

    Args:
        cents: The sum [cents].
        currency: Code of the currency.
    """
    whole, part = divmod(abs(cents), 100)
    return f"{'-' if cents < 0 else ''}{currency} {whole:,}" + (f".{part:02d}" if part else "")


def _name(standing: Standing) -> str:
    return standing.number or f"this {standing.state}"


def _gate(title: str, *, holds: bool, yes: str, no: str, value: str = "", limit: str = "", rule: str) -> Finding:
    verdict: Verdict = "holds" if holds else "fails"
    return Finding(
        title=title, sentence=yes if holds else no, value=value, limit=limit, margin="", verdict=verdict,
        basis=Basis(kind="shop rule", formula=rule),
    )  # fmt: skip


def _frozen(s: Standing) -> Finding:
    return _gate(
        "frozen build", holds=bool(s.build) or s.kind != "blade",
        yes=f"the build is frozen, {s.build}" if s.build else "nothing new is built from a spec",
        no="no build is frozen: work the spec out first", rule="what is quoted is what is built",
    )  # fmt: skip


def _not_held(s: Standing) -> Finding:
    return _gate("hold", holds=not s.hold, yes="not on hold", no=f"on hold: {s.hold}", value=s.hold,
                 rule="an order on hold goes nowhere until the hold is lifted")  # fmt: skip


def _to_quote(s: Standing, _today: date) -> tuple[Finding, ...]:
    return (_frozen(s),)


def _to_order(s: Standing, today: date) -> tuple[Finding, ...]:
    until = s.valid_until
    said = f"the quote stands until {until:%d %b %Y}" if until else "there is no quote"
    return (
        _gate(
            "quote", holds=until is not None and today <= until, yes=said,
            no=f"the quote ran out on {until:%d %b %Y}: quote it again at today's prices" if until else said,
            value=f"{today:%d %b %Y}", limit=f"until {until:%d %b %Y}" if until else "a quote that stands",
            rule="a price stands as long as its quote says",
        ),
        _frozen(s),
        _gate("promise", holds=s.promised, yes="a day is promised", no="no day is promised: ask the calendar first",
              rule="no order without a day"),
    )  # fmt: skip


def _to_released(s: Standing, _today: date) -> tuple[Finding, ...]:
    # A change may have made the whole order cheaper than the deposit that was asked for.
    due = min(s.deposit_cents, s.cents)
    short = due - s.paid_cents
    return (
        _gate(
            "deposit", holds=short <= 0, yes=f"the deposit of {money(due)} is in",
            no=f"{money(short)} of the deposit is missing: nothing is bought or cut before it is in",
            value=money(s.paid_cents), limit=f"at least {money(due)}", rule="deposit before steel",
        ),
        _not_held(s),
        _gate("questions", holds=not s.asks, yes="nothing is left to ask",
              no=f"still to be asked: {'; '.join(s.asks)}",
              value=f"{len(s.asks)} open", limit="none open", rule="nothing is cut on a guess"),
        _settled(s),
    )  # fmt: skip


def _settled(s: Standing) -> Finding:
    return _gate(
        "change notes", holds=not s.unsettled, yes="no change waits for a yes",
        no=f"the customer has not said yes to: {'; '.join(s.unsettled)}",
        rule="a change counts when the customer has taken its price and day",
    )  # fmt: skip


def _to_done(s: Standing, _today: date) -> tuple[Finding, ...]:
    return (
        _not_held(s),
        _settled(s),
        _gate("work", holds=not s.work_left, yes="all work is done", no=f"not done: {', '.join(s.work_left)}",
              value=f"{len(s.work_left)} left", limit="none left", rule="the traveller is ticked to its end"),
    )  # fmt: skip


def _to_weighed(s: Standing, _today: date) -> tuple[Finding, ...]:
    words = {
        "not weighed": "it has not been on the scale",
        "stopped": "the scale stopped it: measure what it names, or explain the difference",
        "holds": "the scale agrees with the build",
        "explained": "the scale was off and the difference is explained",
    }
    if s.kind == "spares":
        return (_gate("scale", holds=True, yes="spares are counted, not weighed", no="", rule="blades are weighed"),)
    return (_gate("scale", holds=s.scale in ("holds", "explained"), yes=words[s.scale], no=words[s.scale],
                  value=s.scale, limit="holds or explained", rule="no blade leaves unweighed"),)  # fmt: skip


def _to_loaded(s: Standing, _today: date) -> tuple[Finding, ...]:
    left = s.balance_cents
    paid = left <= 0
    match = {True: "order, stamp and label say the same", False: "order, stamp and label do not say the same",
             None: "nobody has read order, stamp and label together"}[s.matched]  # fmt: skip
    cure = {True: "the paint may be strapped", False: "the paint is still curing: do not strap it",
            None: "nobody has said whether the paint may be strapped"}[s.cured]  # fmt: skip
    gates = [
        _not_held(s),
        _gate("balance", holds=paid or bool(s.terms), yes="paid in full" if paid else f"not paid, but: {s.terms}",
              no=f"{money(left)} is still to be paid before it is loaded", value=f"{money(left)} open",
              limit="nothing open", rule="balance before the blade leaves"),
        _gate("match", holds=s.matched is True, yes=match, no=match, rule="three readings, one number"),
    ]  # fmt: skip
    if s.kind != "spares":
        gates.append(_gate("cure", holds=s.cured is True, yes=cure, no=cure, rule="cure by the shop's temperature"))
    return tuple(gates)


_GATES: Final = {
    "quote": _to_quote,
    "order": _to_order,
    "released": _to_released,
    "done": _to_done,
    "weighed": _to_weighed,
    "loaded": _to_loaded,
}
