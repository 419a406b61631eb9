"""Order numbers with a check letter: one wrong figure, or two neighbours swapped, and the letter no longer belongs.

The letter stands for what is left when the number is divided by 23, read off a row of 23 letters. 23 is a prime above
ten: a figure that is off by one to nine moves the remainder, and so does a swap of two different neighbours, wherever
they stand, because neither 10 nor 9 shares a factor with 23. This is the construction of the pure systems of ISO 7064
(remainder by a modulus, radix 10), with a modulus and an order of letters of our own; the letters are the shop's. The
first fifteen issued (418K to 432N) fix fifteen places of the row; I, O and Q look like figures and are left out.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from plowwright.errors import EntryError

LETTERS: Final = "FUZXKTAMDPHVBSCJWGNRLEY"
"""The letter of each remainder from 0 to 22."""
MODULUS: Final = len(LETTERS)
_FORM: Final = re.compile(r"(\d{1,9})\s*-?\s*([A-Z])")


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberCheck:
    """Whether a number as read or heard can be taken.

    Attributes:
        said: As it was typed.
        number: The number as the shop writes it, or "" where it is refused.
        near: Issued numbers one slip away: the one that was meant is probably among them.
        reason: Why it is refused, or "".
    """

    said: str
    number: str
    near: tuple[str, ...] = ()
    reason: str = ""

    @property
    def holds(self) -> bool:
        """Whether figures and letter belong together."""
        return bool(self.number)


def check_letter(figures: str) -> str:
    """The letter that belongs to these figures.

    >>> check_letter("427")
    'S'

    Args:
        figures: Figures of the number, as "427".

    Raises:
        EntryError: Not figures alone.
    """
    # str.isdigit takes other alphabets' figures too; a number on a stamp is 0 to 9.
    if not re.fullmatch(r"[0-9]{1,9}", figures):
        raise EntryError("an order number is figures", value=figures, limit="one to nine figures",
                         way_out="Write it as 427.")  # fmt: skip
    return LETTERS[int(figures) % MODULUS]


def with_letter(figures: int) -> str:
    """The whole number, as "427S".

    Args:
        figures: The running number [-].
    """
    return f"{figures}{check_letter(str(figures))}"


def next_number(issued: Iterable[str]) -> str:
    """The next number of the book; a number once issued is never used again.

    Args:
        issued: Every number ever issued, cancelled ones too.

    Raises:
        EntryError: One of them is damaged; it is named.
    """
    taken = [int(read_number(one)[:-1]) for one in issued]
    return with_letter(max(taken, default=0) + 1)


def check_number(said: str, issued: Iterable[str] = ()) -> NumberCheck:
    """Hold what was typed, read off a stamp or heard on the phone against its letter and the numbers issued.

    Args:
        said: Number with its letter; small letters, a space or a hyphen before the letter will do.
        issued: Numbers issued so far; left out, only the letter is looked at.
    """
    known = tuple(dict.fromkeys(one.upper() for one in issued))
    text = said.strip().upper()
    found = _FORM.fullmatch(text)
    if found is None:
        close = tuple(one for one in known if one[:-1] == re.sub(r"\D", "", text))
        return NumberCheck(said=said, number="", near=close, reason="an order number is figures and one letter")
    figures, letter = found.groups()
    number = figures + letter
    if letter != check_letter(figures):
        return NumberCheck(
            said=said, number="", near=near_numbers(number, known),
            reason=f"the letter {letter} does not belong to {figures}",
        )  # fmt: skip
    if known and number not in known:
        return NumberCheck(said=said, number="", near=near_numbers(number, known), reason="no order has this number")
    return NumberCheck(said=said, number=number)


def read_number(said: str, issued: Iterable[str] = ()) -> str:
    """The number as the shop writes it.

    Args:
        said: As in `check_number`.
        issued: As in `check_number`.

    Raises:
        EntryError: Figures and letter do not belong together, or no such number was issued; near ones are named.
    """
    check = check_number(said, issued)
    if check.holds:
        return check.number
    way_out = f"Near it: {', '.join(check.near)}." if check.near else "Read it again off the stamp, letter and all."
    limit = "" if "does not belong" not in check.reason else "figures and letter as they were issued together"
    raise EntryError(check.reason, value=said.strip(), limit=limit, way_out=way_out)


def near_numbers(said: str, issued: Iterable[str]) -> tuple[str, ...]:
    """Issued numbers that one slip turns into this one: swapped figures first, then one wrong figure or letter.

    Args:
        said: Number with its letter.
        issued: Numbers issued so far.
    """
    swapped: list[str] = []
    wrong: list[str] = []
    for number in issued:
        if number == said:
            continue
        if number in _swaps(said):
            swapped.append(number)
        elif len(number) == len(said) and sum(a != b for a, b in zip(number, said, strict=True)) == 1:
            wrong.append(number)
    # A swap that kept the letter is the likeliest slip; a number that shares neither is no help.
    return (*swapped, *wrong)


def _swaps(number: str) -> set[str]:
    """The number with two neighbouring figures changed over, the letter as it is."""
    figures, letter = number[:-1], number[-1]
    return {figures[:at] + figures[at + 1] + figures[at] + figures[at + 2 :] + letter for at in range(len(figures) - 1)}
