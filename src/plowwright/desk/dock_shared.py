"""What every command of the dock does: read the order, run once for its key, answer with what was done."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, Final

from plowwright.desk import order_file
from plowwright.desk.acting import Hand
from plowwright.desk.dock_view import DockView
from plowwright.desk.order_more import More, more_of
from plowwright.shop.orders import Standing
from plowwright.store import records as r
from plowwright.store.commands import Command

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

OPEN: Final = ("order", "released", "done", "weighed")
"""States of an order that may have a serial number already."""


class Commands:
    """The parts that all commands of the dock share.

    Args:
        desk: The shop.
    """

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.view = DockView(desk)

    def read(self, c: Command, number: str) -> tuple[r.Order, More, Standing]:
        """An order as the command sees it.

        Args:
            c: The command.
            number: Order number.

        Raises:
            NotFoundError: There is no such order.
            RefusedError: It was called off.
        """
        row = c.get(r.Order, number)
        standing = order_file.standing_of(c, number, rulebook=self.desk.rulebook, now=c.at)
        return row, more_of(row.more), standing

    def run(
        self, name: str, hand: Hand, do: Callable[[Command], dict[str, Any]], asked: Mapping[str, Any]
    ) -> dict[str, Any]:
        """Do it, once for its key.

        Args:
            name: What is done, in the shop's words.
            hand: Who does it.
            do: Does it.
            asked: What was asked.
        """
        return self.desk.book.run(name, do, who=hand.who, key=hand.key, asked=asked)


def answer(number: str, said: str, **more: Any) -> dict[str, Any]:
    """What a command of the dock answers.

    Args:
        number: Order number.
        said: What was done, in a sentence.
        more: Whatever else a machine wants to know.
    """
    return {"said": said, "order": number, **more}
