"""The page 'Does it suit': the blade on the machine drawn to scale, then every limit as a margin bar."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse, Response

from plowwright import units
from plowwright.blade.carrier_facts import NAMES, Fact
from plowwright.blade.carriers import Carrier
from plowwright.blade.spans import Span
from plowwright.blade.spec import Spec
from plowwright.blade.suit.results import AxlesShown, Suit, Widths
from plowwright.blade.suit.suits import suits
from plowwright.blade.work import Work
from plowwright.errors import NotFoundError
from plowwright.papers import envelope, suiting, suiting_plan
from plowwright.papers.fit_sheet import fit_sheet
from plowwright.web import forms, matching
from plowwright.web.forms import System
from plowwright.web.matching import Ask, Match, folded, inline, pdf_of, sheet_of
from plowwright.web.telling import field_id

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_SIDE: Final = 120.0
_SNOW: Final = 128.0
_NO_RULES: Final = "this rulebook has no suit.toml: copy the one of a newer rulebook beside series.toml"


class SuitingPage:
    """Answers the addresses of the page.

    Args:
        desk: The shop's rules and carriers.
        page: Sets a template.
        ask: Reads the blade of an address.
    """

    def __init__(self, desk: Desk, page: Callable[..., HTMLResponse], ask: Ask) -> None:
        self._desk = desk
        self._page = page
        self._ask = ask
        self._suited = lru_cache(maxsize=32)(self._suit)

    def add_to(self, app: FastAPI) -> None:
        """Put its addresses on the application."""
        app.get("/suits", response_class=HTMLResponse)(self.sheet)
        app.get("/suits/fit sheet.pdf")(self.paper)

    def sheet(self, request: Request) -> HTMLResponse:
        """Whether a blade suits a machine."""
        match = matching.match_of(request, self._desk, self._ask)
        view = match.around(self._desk, "/suits")
        found = self._of(match)
        if found is not None:
            with units.speaking(match.asked.system):
                view |= suits_view(match, found)
        view["no_rules"] = "" if self._desk.rulebook.suit else _NO_RULES
        page = self._page(request, "suits.html", view=view, switch_units=view["switch"])
        page.set_cookie("units", match.asked.system, max_age=forms.YEAR, samesite="strict")
        return page

    def paper(self, request: Request) -> Response:
        """The fit sheet for the customer, to print."""
        match = matching.match_of(request, self._desk, self._ask)
        found = self._of(match)
        if found is None:
            raise NotFoundError(
                "there is no fit sheet without a machine", where="does it suit",
                way_out=f"Not checked because {_NO_RULES}." if not self._desk.rulebook.suit else "Choose the machine.",
            )  # fmt: skip
        sheet = sheet_of(match, self._desk)
        return pdf_of(fit_sheet(sheet, found), sheet, "fit sheet.pdf")

    def _of(self, match: Match) -> Suit | None:
        if match.carrier is None:
            return None
        return self._suited(match.asked.spec, match.carrier, match.told.work, match.asked.system)

    def _suit(self, spec: Spec, carrier: Carrier, work: Work, system: System) -> Suit | None:
        with units.speaking(system):
            return suits(self._desk.worked(spec).build, carrier, work)


def suits_view(match: Match, found: Suit) -> dict[str, Any]:
    """All of the page below its head, in the units spoken.

    Args:
        match: Blade and machine.
        found: How the one suits the other.
    """
    build, system = match.worked.build, match.asked.system
    name = match.told.machine.name
    return {
        "found": True,
        "tone": {"suits": "holds", "does not suit": "fails"}.get(found.verdict, "open"),
        "sentence": found.sentence,
        "side": inline(
            suiting.side(build, found, width=_SIDE, system=system), title=f"{build.name} on {name} from the left",
            prefix="side",
        ),
        "plan": inline(
            suiting_plan.plan(build, found, width=_SIDE, system=system), title=f"{build.name} on {name} from above",
            prefix="plan",
        ),
        "envelope": inline(
            envelope.picture(found, width=_SNOW, system=system), title="snow depth against speed", prefix="snow"
        ),
        "checks": folded([c.finding for c in found.checks if c.binds]),
        "notes": folded([c.finding for c in found.checks if not c.binds]),
        "axles": _axles(found.axles),
        "ballast": _ballast(found),
        "widths": _widths(found.widths),
        "missing": [_asking(match, m) for m in found.missing],
        "told": [_told(fact) for fact in found.carrier.facts],
        "cautions": found.cautions,
        "paper": f"/suits/fit sheet.pdf?{match.query}",
    }  # fmt: skip


def _asking(match: Match, fact: str) -> dict[str, str]:
    """A fact to ask for, in the shop's own question where it has one, and where its answer is written down."""
    rules = match.worked.build.rulebook.fit
    put = rules.questions.get(fact) if rules else None
    noun = NAMES[fact].noun if fact in NAMES else fact.replace("_", " ")
    ask = put.ask if put else noun[:1].upper() + noun[1:]
    return {"ask": ask, "why": put.why if put else "", "href": f"/calling?{match.told.query}#{field_id(fact)}"}


def _axles(found: AxlesShown | None) -> dict[str, Any] | None:
    if found is None:
        return None
    return {
        "rows": [[row.title, row.front.said("mass"), row.rear.said("mass")] for row in found.rows],
        "limit": "" if found.front_limit is None else found.front_limit.said("mass"),
    }


def _ballast(found: Suit) -> str:
    if found.ballast is None:
        return ""
    b = found.ballast
    return f"{b.mass.said('mass')} centred {b.behind.said('length')} behind the rear axle, by {b.by}"


def _widths(found: Widths) -> list[list[str]]:
    return [
        ["path cleared, straight", units.tape(found.straight)],
        [f"path cleared at {units.say(found.angle, 'angle')}", units.tape(found.full_angle)],
        ["machine over tyres or tracks", "not known" if found.machine is None else found.machine.said("length")],
        ["narrowest gate", "none told" if found.gate is None else units.tape(found.gate)],
        ["over the whole blade, straight", units.tape(found.whole)],
        ["over the whole blade at full angle", units.tape(found.travel)],
    ]


def _told(fact: Fact) -> dict[str, str]:
    """A fact as it was told: its value, how far it may be off, what exactly it is and where it comes from."""
    row = {"noun": NAMES[fact.name].noun, "value": fact.text, "band": "", "of": f"{fact.what}, {fact.source}"}
    if fact.quantity != "word":
        row["value"] = units.say(fact.likely, fact.quantity)
        ends = Span(low=fact.low, likely=fact.likely, high=fact.high)
        row["band"] = "" if ends.known else ends.said(fact.quantity)
    return {**row, "doubt": fact.doubt}
