"""The square code on every sheet that opens its page on the shop's network."""

from __future__ import annotations

import io

import segno

from plowwright.errors import EntryError

_MOST_LETTERS = 300
"""A longer text makes squares too small for a laser printer at the size of the sheets' code [-]."""


def svg(text: str, *, border: int = 4) -> str:
    """A code of error level M, one unit per square, black on white.

    Args:
        text: What the code says, usually the address of a page.
        border: Quiet squares around it; the standard asks for four [-].
    """
    if not text.strip():
        raise EntryError("a code needs something to say", way_out="Give it the address of the sheet's page.")
    if len(text) > _MOST_LETTERS:
        raise EntryError(
            "the text is too long for a code that a worn sheet still carries",
            value=f"{len(text)} letters",
            limit=f"{_MOST_LETTERS} letters",
            way_out="Use the short address of the page.",
        )
    code = segno.make(text, micro=False, error="m", boost_error=False)
    out = io.BytesIO()
    code.save(out, kind="svg", border=border, xmldecl=False, dark="#000000", light="#ffffff", omitsize=True)
    return out.getvalue().decode("utf-8")
