"""What everything written on the floor shares: order and person by name, cure, own hours, how a row is kept."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import TYPE_CHECKING, Any, Final

from plowwright.desk.acting import Hand
from plowwright.desk.floor_photo import Photo
from plowwright.desk.order_file import ABOUT, number_of
from plowwright.desk.order_more import More
from plowwright.desk.shop_air import cure_now
from plowwright.errors import EntryError, NotFoundError
from plowwright.rulebook.crew import Member
from plowwright.shop import crew_jobs, crew_more_jobs
from plowwright.store import records as r
from plowwright.store.commands import Command
from plowwright.store.reading import Reads

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_LEAST: Final = 4
"""Fewer letters say nothing [-]."""


class FloorBase:
    """What the floor's commands share; each is one command, all or nothing, harmless when it is sent twice.

    Args:
        desk: The shop.
    """

    def __init__(self, desk: Desk) -> None:
        self.desk = desk

    def number(self, text: str) -> str:
        """An order's number with its check letter, as it was read off a slip.

        Args:
            text: Small letters will do.

        Raises:
            EntryError: Its letter does not belong to it, or it was never issued; near ones are named.
        """
        with self.desk.book.reading() as reads:
            return number_of(reads, text)

    def member(self, name: str) -> Member:
        """Somebody of the crew.

        Args:
            name: As on the wall; small letters will do.

        Raises:
            NotFoundError: Nobody is called that.
        """
        people = crew_jobs.rules_of(self.desk.rulebook).people
        for one in people:
            if one.name.casefold() == name.strip().casefold():
                return one
        raise NotFoundError("nobody of the crew has this name", value=name,
                            limit=", ".join(p.name for p in people), way_out="Say who of them.")  # fmt: skip

    def handle(self, reads: Reads) -> float:
        """How long paint cures until it may be handled, in the shop as it is [s].

        Args:
            reads: A steady view, or a command.
        """
        return cure_now(reads, self.desk.rulebook).handle

    def minutes(self, name: str, begun: datetime, ended: datetime) -> int:
        """Minutes of somebody's own hours between two moments, without breaks, nights and closed days.

        Args:
            name: Whose.
            begun: From when.
            ended: Until when.
        """
        people = {p.name: p for p in crew_jobs.crew_of(self.desk.rulebook).people}
        if name not in people:
            return 0
        calendar = crew_jobs.calendar_of(self.desk.rulebook, ended)
        return round(crew_more_jobs.worked(people[name], begun, ended, calendar) / 60)

    def run(self, name: str, hand: Hand, do: Callable[[Command], Any], asked: Mapping[str, Any]) -> dict[str, Any]:
        """Do one command.

        Args:
            name: In the shop's words.
            hand: Who, and by which form.
            do: What is done.
            asked: What was asked.
        """
        return self.desk.book.run(name, do, who=hand.who, key=hand.key, asked=asked)

    def keep(self, c: Command, order: r.Order, more: More) -> None:
        """Keep what changed of an order.

        Args:
            c: The command.
            order: Its row.
            more: What is kept beside the row's columns.
        """
        c.change(r.Order, order.number, more=more.as_dict())

    def attach(self, c: Command, number: str, note: str, photo: Photo | None = None) -> r.Attachment:
        """Keep a note, a photo or both with an order.

        Args:
            c: The command.
            number: Order.
            note: The words.
            photo: The photo.
        """
        file = c.keep_file(photo.data, name=photo.name, media=photo.media).digest if photo else None
        return c.add(r.Attachment, file=file, about=ABOUT, key=number, day=c.at.date(), note=note)


def answer(number: str, operation: str, said: str) -> dict[str, Any]:
    """What a command of the floor answers.

    Args:
        number: Order.
        operation: At which operation, "" for none.
        said: What was done.
    """
    return {"said": said.strip(), "order": number, "operation": operation}


def words(text: str, where: str) -> str:
    """What somebody wrote, if it says anything.

    Args:
        text: As written.
        where: The field.

    Raises:
        EntryError: Too short to say anything.
    """
    told = text.strip().rstrip(".")
    if len(told) < _LEAST:
        raise EntryError("nothing is said", value=repr(text), where=where, way_out="A few words will do.")
    return told
