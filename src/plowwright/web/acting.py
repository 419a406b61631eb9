"""Forms that write something: who sends them, the key that makes a second sending harmless, and what was done."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import urlencode

from fastapi import Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData, UploadFile

from plowwright.desk.acting import Hand, fresh_key, hand
from plowwright.web.forms import YEAR

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

WHO: Final = "who"
"""Cookie, and field of a form: whoever is at this screen."""
KEY: Final = "key"
"""Field of a form: its own key."""
DONE: Final = "done"
"""Part of an address: number of the event that was just done."""
_DIGITS: Final = 15
"""A longer number is of no event [-]."""


async def form_of(request: Request) -> FormData:
    """What a form holds.

    Args:
        request: As it came.
    """
    form = await request.form()
    request.state.who = text(form, WHO)  # a refused form comes back with the name that was chosen in it
    return form


def text(form: Mapping[str, Any], name: str) -> str:
    """One field of a form, "" where it is not there or is a file.

    Args:
        form: The form.
        name: Of the field.
    """
    value = form.get(name, "")
    return value.strip() if isinstance(value, str) else ""


async def photo_of(form: FormData, name: str = "photo") -> tuple[bytes, str, str] | None:
    """A file that came with a form: what is in it, its name and its media type; None where none was chosen.

    Args:
        form: The form.
        name: Of the field.
    """
    value = form.get(name)
    if not isinstance(value, UploadFile) or not value.filename:
        return None
    return await value.read(), value.filename, value.content_type or ""


def hand_of(request: Request, form: Mapping[str, Any]) -> Hand:
    """Who acts, and by which form.

    Args:
        request: Its cookie says who was at this screen last.
        form: Says who is now, and the key.

    Raises:
        EntryError: Nobody is named.
    """
    return hand(text(form, WHO) or request.cookies.get(WHO, ""), text(form, KEY))


async def acted(
    request: Request, form: FormData, do: Callable[[Hand], Mapping[str, Any]], path: str | Callable[[Any], str],
    desk: Desk,
) -> Response:  # fmt: skip
    """Do what a form asks, then show a page that says what was done.

    Args:
        request: As it came.
        form: What it holds.
        do: Does it, beside the pages, and gives the command's answer.
        path: Address of the page to show then, or what makes it of the answer.
        desk: Whose records were written.

    Raises:
        PlowwrightError: It is refused; nothing was written.
    """
    by = hand_of(request, form)
    answer = await run_in_threadpool(do, by)
    where = path if isinstance(path, str) else path(answer)
    with desk.book.reading() as reads:
        event = reads.event_of(by.key)
    shown = f"{where}{'&' if '?' in where else '?'}{urlencode({DONE: event.number})}" if event else where
    response = RedirectResponse(shown, status_code=303)
    response.set_cookie(WHO, by.who, max_age=YEAR, samesite="strict", httponly=True)
    return response


def around(request: Request, desk: Desk) -> dict[str, Any]:
    """What every page knows of forms: who is at this screen, the crew, a fresh key, what was just done.

    Args:
        request: As it came.
        desk: Whose crew it is.
    """
    crew = [one.name for one in desk.rulebook.crew.people] if desk.rulebook.crew else []
    return {
        "who": getattr(request.state, "who", "") or request.cookies.get(WHO, ""),
        "crew": crew,
        "form_key": fresh_key(),
        "writes": desk.records is not None,
        "did": _did(request, desk),
    }


def _did(request: Request, desk: Desk) -> dict[str, Any] | None:
    number = request.query_params.get(DONE, "")
    if desk.records is None or not (number.isascii() and number.isdigit() and len(number) <= _DIGITS):
        return None
    from plowwright.store.records import Event

    with desk.records.reading() as reads:
        event = reads.look(Event, int(number))
    if event is None or not isinstance(event.answer, dict):
        return None
    return {"number": event.number, "said": event.answer.get("said", event.command), "who": event.who,
            "at": f"{event.at:%H:%M}"}  # fmt: skip
