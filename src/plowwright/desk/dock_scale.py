"""What is done at the scale: a blade is weighed, a stop is cleared, a serial number is given."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, Final

from plowwright.blade import spec as specs
from plowwright.desk.acting import Hand
from plowwright.desk.dock_shared import OPEN, Commands, answer
from plowwright.desk.order_more import More, more_of
from plowwright.errors import EntryError, RefusedError
from plowwright.shop.dock import clear, hung, weigh
from plowwright.shop.dock_match import next_running, serial_of
from plowwright.shop.dock_ticket import WeighTicket, ticket_of, with_reason
from plowwright.shop.orders import CANCELLED, Standing, advance, step_back
from plowwright.store import records as r
from plowwright.store.commands import Command

STAMP: Final = "give a serial number"
"""Name of the command that does it before the scale."""


class Weighing(Commands):
    """Everything that is written at the scale; each is one command, all or nothing, done once for its key."""

    # The scale ----------------------------------------------------------------------------------------------------

    def weigh(self, hand: Hand, number: str, mass: float, *, looked: Sequence[str] = ()) -> dict[str, Any]:
        """Hold the scale against the build, and keep the ticket; a blade that is off is stopped.

        Args:
            hand: Who reads the scale.
            number: Order.
            mass: What the scale says [kg].
            looked: Kinds of cause somebody looked for and ruled out.

        Raises:
            EntryError: No such order, no weight, or no such kind of cause.
            RefusedError: Its work is not done, it has left, or nothing of it is weighed.
        """
        number = self.view.number(number)
        with self.desk.book.reading() as reads:
            own = reads.get(r.Order, number).build
        order = self.view.order(number)
        build = self.view.build(order)
        others = self.view.others(number)

        def do(c: Command) -> dict[str, Any]:
            row, more, standing = self.read(c, number)
            self._weighable(standing)
            if row.build != own:
                raise EntryError("the build was changed while it was weighed", where=number,
                                 way_out="Weigh it again; it is held against the new build then.")  # fmt: skip
            taught = self.view.taught(c)
            found = weigh(build, mass, self.view.dock, others=others, correction=taught.of_masses(hung(build)),
                          looked=looked)  # fmt: skip
            ticket = ticket_of(found, build, taught, serial=more.serial, at=c.at, by=hand.who, looked=looked)
            said = [f"{number}: {found.finding.sentence}."]
            if found.stopped:
                more = replace(more, scale="stopped", matched=None)
                state = step_back(standing, "done", "the scale stopped it") if standing.state == "weighed" else "done"
                if found.causes:
                    first = found.causes[0]
                    said.append(f"Likeliest, {100 * first.chance:.0f} in 100: {first.said}. First: {first.look}.")
            else:
                more, given = self._with_serial(c, row, replace(more, scale="holds"))
                said += given
                ticket = replace(ticket, serial=more.serial)
                state = _weighed(standing, more, c)
            self._ticket(c, row, ticket, explains=None)
            c.change(r.Order, number, state=state, more=more.as_dict())
            return answer(number, " ".join(said), state=state, ticket=ticket.as_dict(), stopped=found.stopped)

        return self.run("weigh", hand, do, {"order": number, "mass_kg": mass, "looked": list(looked)})

    def clear(self, hand: Hand, number: str, *, measured: str = "", explained: str = "") -> dict[str, Any]:
        """Let a stopped blade go on: somebody measured it, or knows why. Kept as a ticket that explains the first.

        Args:
            hand: Who looked.
            number: Order.
            measured: What was measured, with its value.
            explained: What explains it.

        Raises:
            EntryError: Nothing is said, or it must be measured.
            RefusedError: It is not stopped.
        """
        number = self.view.number(number)

        def do(c: Command) -> dict[str, Any]:
            row, more, standing = self.read(c, number)
            tickets = self.view.tickets(c, number)
            if more.scale != "stopped" or not tickets:
                raise RefusedError(f"{number} is not stopped at the scale", value=more.scale,
                                   way_out="Nothing to clear.")  # fmt: skip
            kept, ticket = tickets[-1]
            done = clear(ticket.weighed, who=hand.who, measured=measured, explained=explained)
            more, given = self._with_serial(c, row, replace(more, scale="explained"))
            again = with_reason(replace(ticket, serial=more.serial), done.text, at=c.at, by=hand.who)
            self._ticket(c, row, again, explains=kept.id)
            state = _weighed(standing, more, c)
            c.change(r.Order, number, state=state, more=more.as_dict())
            said = " ".join([f"Goes on: {done.text}.", *given])
            return answer(number, said, state=state, ticket=again.as_dict(), stopped=False)

        return self.run("clear a stop", hand, do, {"order": number, "measured": measured, "explained": explained})

    def _weighable(self, standing: Standing) -> None:
        if standing.state in ("done", "weighed"):
            return
        if standing.state == "loaded":
            raise RefusedError(f"{standing.number} has left the yard", value="loaded",
                               limit="weighed before it is loaded",
                               way_out="A reweigh by the carrier goes into its claim pack.")  # fmt: skip
        raise RefusedError(
            f"{standing.number} is not ready for the scale: its work is not done", value=", ".join(standing.work_left),
            limit="the traveller ticked to its end", way_out="Say on the floor what is done; then weigh it.",
        )  # fmt: skip

    def _ticket(self, c: Command, row: r.Order, ticket: WeighTicket, *, explains: int | None) -> None:
        there = c.look(r.Blade, ticket.serial or None) is not None
        c.add(
            r.Ticket, order=row.number, serial=ticket.serial if there else None, at=c.at, mass=ticket.weighed.found,
            predicted=ticket.weighed.predicted, packed="bare", explained=ticket.cleared, facts=ticket.as_kept(),
            explains=explains,
        )  # fmt: skip

    # Serial number ------------------------------------------------------------------------------------------------

    def stamp(self, hand: Hand, number: str) -> dict[str, Any]:
        """Give a blade its serial number, to be stamped beside its order number.

        Args:
            hand: Who.
            number: Order.

        Raises:
            RefusedError: It has one, it is no new blade, or its steel is not released.
        """
        number = self.view.number(number)

        def do(c: Command) -> dict[str, Any]:
            row, more, standing = self.read(c, number)
            if row.kind != "blade":
                raise RefusedError(f"{number} is for {row.kind}: only a new blade gets a serial number", value=row.kind)
            if more.serial:
                raise RefusedError(f"{number} has its serial number", value=more.serial,
                                   way_out="Stamp that one; a number is given once.")  # fmt: skip
            if standing.state not in ("released", "done", "weighed"):
                raise RefusedError(f"{number} is at {standing.state}", value=standing.state, limit="released or later",
                                   way_out="A number is given when its steel is cut, not before.")  # fmt: skip
            more, given = self._with_serial(c, row, more)
            c.change(r.Order, number, more=more.as_dict())
            return answer(number, " ".join(given), serial=more.serial, stamp=f"{number} {more.serial}")

        return self.run(STAMP, hand, do, {"order": number})

    def _with_serial(self, c: Command, row: r.Order, more: More) -> tuple[More, list[str]]:
        """The same with a serial number, given inside the command so that no two blades get one."""
        if more.serial or row.kind != "blade":
            return more, []
        build = c.get(r.KeptBuild, row.build or 0)
        spec = specs.from_dict(build.spec, where=f"records, order {row.number}")
        series = self.desk.rules_of(build.rulebook).series[spec.series].name
        year = c.at.year
        serial = serial_of(series, spec.width, year, next_running(_given(c), year))
        return replace(more, serial=serial), [f"Its serial number is {serial}: stamp {row.number} {serial}."]


def _weighed(standing: Standing, more: More, c: Command) -> str:
    if standing.state == "weighed":
        return "weighed"
    return advance(replace(standing, scale=more.scale), "weighed", c.at.date())


def _given(c: Command) -> list[str]:
    """Serial numbers given so far: of blades that left, of orders that have not, and of those called off since."""
    rows = c.find(r.Order, state=[*OPEN, CANCELLED])
    return [*c.serials(), *(more_of(row.more).serial for row in rows)]
