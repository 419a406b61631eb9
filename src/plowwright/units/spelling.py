"""How people spell numbers: tidy the text first, then read one number exactly."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final

from plowwright.errors import UnitError

_SAME: Final = str.maketrans(
    {
        **dict.fromkeys("′’‘´`ʹ", "'"),
        **dict.fromkeys("″”“„ʺ", '"'),
        **dict.fromkeys("−–—‐‑‒", "-"),
        **dict.fromkeys("\u00a0\u2007\u2009\u202f\u2002\u2003\t\n\r", " "),
        **dict.fromkeys("·⋅∙•", "*"),
        "⁄": "/",
        "∕": "/",
        "²": "2",
        "³": "3",
        "º": "°",
        "＄": "$",
    }
)
_VULGAR: Final[dict[str, str]] = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
    "⅓": "1/3", "⅔": "2/3",
}  # fmt: skip

GROUPED: Final = r"\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d{1,3}(?: \d{3})+(?:\.\d+)?"
PLAIN: Final = r"\d+\.\d+|\d+|\.\d+"
FRACTION: Final = r"\d+ ?/ ?\d+"
MIXED: Final = rf"\d+(?: ?- ?| ){FRACTION}"
NUMBER: Final = rf"(?:{MIXED}|{FRACTION}|{GROUPED}|{PLAIN})"
_COMMA: Final = re.compile(r"\d[\d.]*,[\d,.]*")
_GOOD_COMMA: Final = re.compile(r"\d{1,3}(?:,\d{3})+(?:\.\d+)?(?![\d,])")
_TAPE_DENOMINATORS: Final = frozenset({2, 4, 8, 16, 32, 64})


def tidy(text: str) -> str:
    """The text with curly quotes, primes, dashes, spaces, one-sign fractions and degree signs made plain."""
    for sign, fraction in _VULGAR.items():
        text = text.replace(sign, f" {fraction}")
    text = text.translate(_SAME).replace("''", '"')
    text = re.sub(r"°\s*([FCfc])\b", r" deg\1", text).replace("°", " deg")
    text = re.sub(r"- (?=\d+/)", "-", text)
    return re.sub(r" +", " ", text).strip()


def refuse_odd_commas(text: str, *, typed: str, where: str) -> None:
    """Refuse a comma that cannot part thousands, such as a decimal comma.

    Raises:
        UnitError: names the number and both ways to write it.
    """
    for found in _COMMA.finditer(text):
        number = found.group().rstrip(",.")
        if "," in number and not _GOOD_COMMA.fullmatch(number):
            point = (
                number.replace(".", "").replace(",", ".")
                if number.count(",") == 1
                else number.replace(",", "")
            )
            raise UnitError(
                "the comma does not part thousands",
                value=typed,
                limit="a comma stands before each three digits, as in 2,750",
                way_out=f"If {point} was meant, write {text.replace(number, point)}.",
                where=where,
            )


def exact(number: str, *, typed: str, where: str) -> Fraction:
    """One number of the NUMBER pattern as an exact fraction.

    Raises:
        UnitError: a fraction over nothing.
    """
    whole = Fraction(0)
    if "/" in number:
        mixed = re.fullmatch(r"(?:(\d+)(?: ?- ?| ))?(\d+) ?/ ?(\d+)", number)
        if mixed is None or int(mixed[3]) == 0:
            raise UnitError(
                "not a fraction", value=typed, way_out="Write it like 3/16 or 3-1/2.", where=where
            )
        whole = Fraction(int(mixed[1] or 0))
        return whole + Fraction(int(mixed[2]), int(mixed[3]))
    return Fraction(number.replace(",", "").replace(" ", ""))


def refuse_off_the_tape(number: str, *, typed: str, where: str) -> None:
    """Refuse a fraction of an inch that no tape shows, such as 3/15, or one not below one, such as 2-5/4.

    Raises:
        UnitError: names the fraction and what a tape shows.
    """
    fraction = re.search(r"(\d+) ?/ ?(\d+)$", number)
    if fraction is None:
        return
    over, under = int(fraction[1]), int(fraction[2])
    if under not in _TAPE_DENOMINATORS or (over >= under and not number.startswith(fraction[0])):
        raise UnitError(
            f"{over}/{under} is not a fraction a tape shows",
            value=typed,
            limit="halves, quarters, eighths, 16ths, 32nds and 64ths, below one",
            way_out="Write the nearest one, as in 3/16, or a decimal, as in 0.2 in.",
            where=where,
        )
