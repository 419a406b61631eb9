"""The same as last time, looked at closely: an earlier blade by its own rules beside the same by today's."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from plowwright.blade import spec as specs
from plowwright.blade.build import Build
from plowwright.blade.spec import Spec
from plowwright.desk.order_file import notes_of, number_of
from plowwright.errors import EntryError, NotFoundError, RefusedError
from plowwright.shop.orders_changes import Copied, copied
from plowwright.shop.service import Life
from plowwright.store import as_built
from plowwright.store import records as r
from plowwright.store.reading import Reads

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk


@dataclass(frozen=True, slots=True, kw_only=True)
class Copy:
    """A copy of an earlier blade, before it is quoted.

    Attributes:
        what: Serial number or order it is copied from.
        spec: What would be built now.
        found: What differs, and what has to be asked.
        customer: Whose the earlier one is.
        machine: The machine it was on, or "".
    """

    what: str
    spec: Spec
    found: Copied
    customer: str
    machine: str

    def hold_to(self, answers: Mapping[str, str]) -> None:
        """See that every question is answered.

        Args:
            answers: What was answered, by the key of the question.

        Raises:
            RefusedError: One is not; it is named.
        """
        open_ = self.found.unanswered([key for key, text in answers.items() if text.strip()])
        if open_:
            raise RefusedError(
                f"a copy of {self.what} is not frozen before this is answered", where="; ".join(a.key for a in open_),
                value=" ".join(a.ask for a in open_), way_out="Ask the customer, and write his answer down.",
            )  # fmt: skip

    def as_kept(self, answers: Mapping[str, str]) -> dict[str, Any]:
        """What the order keeps of where it came from: questions with their answers.

        Args:
            answers: What was answered, by the key of the question.
        """
        return {"from": self.what, "answers": [{"ask": a.ask, "said": answers.get(a.key, "")} for a in self.found.asks]}

    def as_dict(self) -> dict[str, Any]:
        """The copy for a machine."""
        return {
            "from": self.what, "spec": self.spec.as_dict(), "customer": self.customer, "machine": self.machine or None,
            "differs": [row.as_dict() for row in self.found.rows],
            "asks": [{"key": a.key, "ask": a.ask, "why": a.why} for a in self.found.asks],
        }  # fmt: skip


def copy_of(desk: Desk, what: str, *, machine: str | None = None, spec: Spec | None = None) -> Copy:
    """Copy an earlier blade: by its serial number, or by the order it was built for.

    Args:
        desk: The shop.
        what: Serial number or order number.
        machine: The machine the new one is for; None for the same as before.
        spec: What is wanted otherwise; None for the same.

    Raises:
        NotFoundError: No such blade, or one whose build nobody kept.
        EntryError: It builds no blade, or the number cannot be.
        SpecError: It can no longer be built by today's rules.
    """
    with desk.book.reading() as reads:
        blade = reads.look(r.Blade, what.strip().upper())
        earlier = _of_blade(reads, blade) if blade is not None else _of_order(reads, what)
    then = by_own_rules(desk, earlier.build)
    wanted = replace(spec or then.spec, number="", customer="", note="")
    try:
        now = desk.worked(wanted).build
    except EntryError as fault:
        raise EntryError(f"{earlier.name} can no longer be built as it was: {fault.what}", value=fault.value,
                         limit=fault.limit, way_out=fault.way_out, where=fault.where) from fault  # fmt: skip
    found = copied(
        earlier.name, then, now, custom=earlier.custom, machine_then=earlier.machine,
        machine_now=earlier.machine if machine is None else machine,
    )  # fmt: skip
    return Copy(what=earlier.name, spec=wanted, found=found, customer=earlier.customer, machine=earlier.machine)


def by_own_rules(desk: Desk, kept: r.KeptBuild) -> Build:
    """A kept build, worked out again by the rules it was frozen with.

    Args:
        desk: Knows those rules.
        kept: As the records have it.

    Raises:
        StoreError: It does not come out as the same blade.
    """
    rules = desk.rules_of(kept.rulebook)
    if rules is desk.rulebook:
        return desk.worked(replace(specs.from_dict(kept.spec), number="", customer="", note="")).build
    return as_built.build_of(kept, rules, level=0)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Earlier:
    name: str
    build: r.KeptBuild
    customer: str
    machine: str
    custom: tuple[str, ...]


def _of_blade(reads: Reads, blade: r.Blade) -> _Earlier:
    record = reads.life(blade.serial)
    if record.build is None:
        raise NotFoundError("nobody kept how this blade was built", value=blade.serial,
                            way_out="Write its spec down and quote that.")  # fmt: skip
    life: Life = as_built.life_of(record)
    # What was done to it after it left, and what no spec says.
    custom = [ch.said for ch in life.standing if ch.kind in ("refit", "note")]
    if blade.note:
        custom.append(blade.note)
    return _Earlier(
        name=blade.serial, build=record.build, customer=record.customer.name if record.customer else "",
        machine=record.carrier.name if record.carrier else "", custom=tuple(dict.fromkeys(custom)),
    )  # fmt: skip


def _of_order(reads: Reads, what: str) -> _Earlier:
    try:
        number = number_of(reads, what)
    except EntryError as fault:
        raise NotFoundError("no blade and no order is called this", value=what, way_out=fault.way_out) from fault
    file = reads.order_file(number)
    if file.order.kind != "blade" or file.build is None:
        raise EntryError(f"order {number} is for {file.order.kind} and builds no blade", value=number,
                         way_out="Copy an order that builds one.")  # fmt: skip
    # A change without a new spec is something no spec says.
    custom = [note.said for row, note in notes_of(reads, number) if row.build is None and note.settled]
    if file.order.note:
        custom.append(file.order.note)
    return _Earlier(
        name=number, build=file.build, customer=file.customer.name if file.customer else "",
        machine=file.carrier.name if file.carrier else "", custom=tuple(custom),
    )  # fmt: skip
