"""What the records know when a list is brought in: customers by name, machines by name, and who is meant by a row."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from plowwright.blade.build import Build
from plowwright.desk.import_days import bare
from plowwright.desk.import_rows import Row
from plowwright.store import as_built
from plowwright.store import records as r
from plowwright.store.commands import Command
from plowwright.store.reading import Reads


@dataclass(slots=True)
class People:
    """Customers and machines of the records, as far as an import looks at them.

    Attributes:
        customers: Customers by their bare name.
        machines: Machines by their bare name.
    """

    customers: dict[str, list[r.Customer]] = field(default_factory=dict[str, list[r.Customer]])
    machines: dict[str, r.CarrierFacts] = field(default_factory=dict[str, r.CarrierFacts])

    def meant(self, row: Row, name: str, phone: str, column: str, *, strict: bool = True) -> r.Customer | None:
        """The customer a row means, None where it is a new one.

        Args:
            row: Notes what is odd.
            name: As written.
            phone: Number or its last figures, or "".
            column: Heading of the phone.
            strict: Whether another number is another customer; of an old blade it is the buyer's of that day.
        """
        there = self.customers.get(bare(name), [])
        if not there:
            return None
        fitting = _fitting(there, phone, strict=strict)
        if len(fitting) > 1:
            row.note("customer", "wrong", "customer", f"{len(fitting)} customers are called that", value=name,
                     way_out=f"Fill in the column {column}, so that it is told which one.")  # fmt: skip
        if not fitting:
            row.note("customer", "look", column, f"{there[0].name} is there with another number: a new customer is "
                     "written", value=phone, limit=", ".join(one.phone for one in there))  # fmt: skip
            return None
        if fitting[0].name != name:
            row.note("spelling", "changed", "customer", f"taken as {fitting[0].name}, who is there", value=name)
        return fitting[0]


def people_of(reads: Reads) -> People:
    """Everybody the records know.

    Args:
        reads: A steady view.
    """
    found = People()
    for one in reads.find(r.Customer):
        found.customers.setdefault(bare(one.name), []).append(one)
    for machine in reads.find(r.CarrierFacts):
        found.machines.setdefault(bare(machine.name), machine)
    return found


class Writer:
    """Finds customers, machines and builds for rows, and writes those that are new, each once.

    Args:
        c: The command.
    """

    def __init__(self, c: Command) -> None:
        self.c = c
        self._people = people_of(c)
        self._kept: dict[int, r.KeptBuild] = {}
        self._held: list[Build] = []

    def kept(self, build: Build) -> r.KeptBuild:
        """A build as the records keep it.

        Args:
            build: As it was worked out; the same one is kept once.
        """
        if id(build) not in self._kept:
            self._kept[id(build)] = as_built.keep(self.c, build)
            # Held, so that no other build gets its place in memory.
            self._held.append(build)
        return self._kept[id(build)]

    def customer(self, name: str, phone: str, *, strict: bool = True) -> int | None:
        """Number of a customer.

        Args:
            name: "" for nobody.
            phone: Or its last figures, or "".
            strict: Whether another number is another customer.
        """
        if not name:
            return None
        there = self._people.customers.setdefault(bare(name), [])
        found = next(iter(_fitting(there, phone, strict=strict)), None)
        if found is None:
            found = self.c.add(r.Customer, name=name, phone=phone)
            there.append(found)
        elif _same_phone(found.phone, phone) and len(phone) > len(found.phone):
            there[there.index(found)] = found = self.c.change(r.Customer, found.id, phone=phone)
        return found.id

    def machine(self, name: str, kind: str) -> int | None:
        """Number of a machine.

        Args:
            name: "" for none.
            kind: Kind of carrier, "" where nobody said.
        """
        if not name:
            return None
        found = self._people.machines.get(bare(name))
        if found is None:
            found = self._people.machines[bare(name)] = self.c.add(r.CarrierFacts, name=name, kind=kind)
        return found.id


def _fitting(there: list[r.Customer], phone: str, *, strict: bool) -> list[r.Customer]:
    found = [one for one in there if _same_phone(one.phone, phone)]
    return found if found or strict else there


def _same_phone(one: str, other: str) -> bool:
    """Whether one number ends as the other does; an unknown one is any."""
    a, b = (_figures(text) for text in (one, other))
    return not a or not b or a.endswith(b) or b.endswith(a)


def _figures(text: Iterable[str]) -> str:
    return "".join(letter for letter in text if letter.isdigit())
