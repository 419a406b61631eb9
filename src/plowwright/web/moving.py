"""The page 'How it moves': the swing drawn, each way in seconds, pressures, protection, and the stopwatch."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import parse_qsl, urlencode

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse, Response

from plowwright import units
from plowwright.blade.build import Build
from plowwright.blade.carried import Moved, moved
from plowwright.blade.carrier_facts import NAMES
from plowwright.blade.carriers import Carrier
from plowwright.blade.moving import judging
from plowwright.blade.moving.diagnosis import Diagnosis, diagnose
from plowwright.blade.moving.geometry import LEFT, ways_of
from plowwright.blade.moving.results import OneWay, Swinging
from plowwright.blade.moving.swinging import without_settings
from plowwright.blade.spec import Spec
from plowwright.errors import EntryError, PlowwrightError
from plowwright.findings import Finding
from plowwright.papers import moving as pictures
from plowwright.papers import moving_bars
from plowwright.papers.test_card import card_sheet
from plowwright.web import forms, matching
from plowwright.web.forms import System
from plowwright.web.matching import Ask, Match, folded, inline, pdf_of, sheet_of, shown
from plowwright.web.plumbed import plumbing_view
from plowwright.web.telling import field_id

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_PLAN: Final = 120.0
_HALF: Final = 100.0
_SPEED: Final = ("time", "speed", "energy", "restrictors", "crush")
_PRESSURE: Final = ("pressure", "heat", "order", "flow through", "relief")
_STOPWATCH: Final = (
    ("left", "Left end forward, stop to stop", "4.1 s", "time"),
    ("right", "Right end forward", "4.6 s", "time"),
    ("oil", "Oil in the blade's lines", "60 F", "temperature"),
)


class MovingPage:
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
        self._looked = lru_cache(maxsize=32)(self._look)

    def add_to(self, app: FastAPI) -> None:
        """Put its addresses on the application."""
        app.get("/moves", response_class=HTMLResponse)(self.sheet)
        app.get("/moves/stopwatch", response_class=HTMLResponse)(self.stopwatch)
        app.get("/moves/test card.pdf")(self.card)

    def sheet(self, request: Request) -> HTMLResponse:
        """How a blade moves on a machine."""
        match = matching.match_of(request, self._desk, self._ask)
        view = match.around(self._desk, "/moves")
        found, plumbed = self._looked(match.asked.spec, match.carrier, match.asked.system)
        view |= self._moves(match, found.swinging, plumbed)
        query: Mapping[str, str] = request.query_params
        view["pairs"] = parse_qsl(match.query)
        view["watch"] = watch_view(query, self._read(match, query) if found.swinging else None, match.worked.build)
        page = self._page(request, "moves.html", view=view, switch_units=view["switch"])
        page.set_cookie("units", match.asked.system, max_age=forms.YEAR, samesite="strict")
        return page

    def stopwatch(self, request: Request) -> HTMLResponse:
        """What two times say."""
        match = matching.match_of(request, self._desk, self._ask)
        query: Mapping[str, str] = request.query_params
        watch = watch_view(query, self._read(match, query), match.worked.build)
        page = self._page(request, "moves-watch.html", watch=watch)
        typed = urlencode([(name, query[name]) for name, *_ in _STOPWATCH if query.get(name)])
        page.headers["HX-Replace-Url"] = f"/moves?{match.query}&{typed}"
        return page

    def card(self, request: Request) -> Response:
        """The test card, to print."""
        match = matching.match_of(request, self._desk, self._ask)
        sheet = sheet_of(match, self._desk)
        return pdf_of(card_sheet(sheet, match.carrier), sheet, "test card.pdf")

    def _look(self, spec: Spec, carrier: Carrier | None, system: System) -> tuple[Moved, dict[str, Any]]:
        """The blade on the machine, its swing with its own hoses and couplers, and the view of its plumbing."""
        with units.speaking(system):
            build = self._desk.worked(spec).build
            found = moved(build, carrier)
            return found, plumbing_view(found, build, carrier, system)

    def _moves(self, match: Match, found: Swinging | None, plumbed: dict[str, Any]) -> dict[str, Any]:
        if found is None:
            return {"found": False, "findings": [shown(without_settings())]}
        with units.speaking(match.asked.system):
            return {"found": True, **moves_view(match, found), "plumbing": plumbed}

    def _read(self, match: Match, query: Mapping[str, str]) -> Diagnosis | PlowwrightError | None:
        """The diagnosis when all three are typed, what cannot be read, or None while some are missing."""
        if not all(query.get(name, "").strip() for name, *_ in _STOPWATCH):
            return None
        try:
            left, right, oil = (units.si(query[name], kind, said) for name, said, _, kind in _STOPWATCH)
            if not (left > 0.0 and right > 0.0):
                raise EntryError("a swing takes some time", value=f"{query['left']}, {query['right']}",
                                 limit="above zero", way_out="Time it from stop to stop, such as 4.1 s.")  # fmt: skip
            with units.speaking(match.asked.system):
                return diagnose(match.worked.build, match.carrier, left, right, oil)
        except PlowwrightError as error:
            return error


def moves_view(match: Match, found: Swinging) -> dict[str, Any]:
    """All of the page but the stopwatch, in the units spoken.

    Args:
        match: Blade and machine.
        found: How it swings.
    """
    build, system = match.worked.build, match.asked.system
    left, right = sorted(found.by_way.values(), key=lambda one: one.says != LEFT)
    fast, oil, rest = _sorted(found)
    fails = [f for f in found.findings if f.verdict == "fails"]
    return {
        "said": _said(found, fails),
        "plan": inline(
            pictures.swing(build, found, width=_PLAN, system=system, table=False),
            title=f"{build.name} swinging, from above", prefix="swing",
        ),
        "times": inline(pictures.times(found, width=_HALF), title="seconds each way", prefix="times"),
        "order_picture": inline(pictures.order(found, width=_HALF), title="order on the cylinder", prefix="order"),
        "pressures": inline(
            moving_bars.pressures(found, width=_HALF, system=system), title="pressures against ratings", prefix="oil"
        ),
        "ways": [left.says, right.says],
        "rows": _each_way(left, right),
        "cold": [
            [units.say(row.temperature, "temperature"), *(_said_span(row, one) for one in (left, right))]
            for row in found.cold
        ],
        "flows": _flows(found, left),
        "drill": f"drill {found.fitted.drill.text}, the same in both ports",
        "fast": folded(fast),
        "oil": folded(oil),
        "rest": folded(rest),
        "protection": [said[:1].upper() + said[1:] + "." for said in found.protection.sentences],
        "window": _window(found),
        "missing": [
            {"noun": NAMES[m].noun if m in NAMES else m, "href": f"/calling?{match.told.query}#{field_id(m)}"}
            for m in found.missing
        ],
        "cautions": found.cautions,
        "card": f"/moves/test card.pdf?{match.query}",
    }  # fmt: skip


def _said(found: Swinging, fails: list[Finding]) -> str:
    on = "the shop's test pack" if found.supplied is None or found.carrier is None else found.carrier.name
    ways = sorted(found.by_way.values(), key=lambda one: one.says != LEFT)
    times = ", ".join(f"{judging.span_said(one.time, judging.seconds)} {one.says}" for one in ways)
    wrong = f" {len(fails)} check{'s' * (len(fails) > 1)} fail{'s' * (len(fails) == 1)}." if fails else ""
    return f"On {on} with warm oil: {times}.{wrong}"


def _each_way(left: OneWay, right: OneWay) -> list[list[str]]:
    say = judging.span_said
    rows: list[tuple[str, Callable[[OneWay], str]]] = [
        ("warm", lambda w: say(w.time, judging.seconds)),
        ("first swing of a cold day", lambda w: f"{judging.seconds(w.band.first)} to {judging.seconds(w.band.high)}"),
        ("speed of the blade's end", lambda w: say(w.end_speed, judging.end_speed)),
        ("energy at the stop", lambda w: say(w.energy, judging.joules)),
        ("force at the end, held", lambda w: say(w.stall, judging.force)),
        ("heat meanwhile", lambda w: "not known" if w.heat is None else say(w.heat, judging.kilowatts)),
        ("pace set by", lambda w: w.limited_by),
        ("with the end pushed along", lambda w: judging.seconds(w.helped)),
        ("with the end held back", lambda w: judging.seconds(w.held_back)),
        ("without restrictors", lambda w: f"{judging.seconds(w.bare_time)}, {judging.end_speed(w.bare_speed)}"),
    ]
    return [[name, read(left), read(right)] for name, read in rows]


def _said_span(row: Any, one: OneWay) -> str:
    return judging.span_said(row.out if one.way == "out" else row.in_, judging.seconds)


def _flows(found: Swinging, left: OneWay) -> list[list[str]]:
    rows: list[list[str]] = []
    for row in found.flows:
        pair = (row.out, row.in_) if left.way == "out" else (row.in_, row.out)
        bare = (row.bare_out, row.bare_in) if left.way == "out" else (row.bare_in, row.bare_out)
        rows.append(
            [
                f"{row.name}, {units.say(row.flow, 'flow')}" if "gpm" not in row.name else row.name,
                *(judging.seconds(t) for t in pair),
                judging.kilowatts(row.heat),
                f"{judging.seconds(min(bare))}{', slams' if row.slams else ''}",
            ]
        )
    return rows


def _window(found: Swinging) -> str:
    if found.window is None:
        return ""
    low, high = judging.pressure(found.window.low), judging.pressure(found.window.high)
    setting = "" if found.relief is None else f" It is set to {judging.pressure(found.relief.setting)}."
    if found.window.empty:
        clash = f"{found.window.low_by} asks for {low}, {found.window.high_by} allows {high}"
        return f"No setting will do: {clash}.{setting}"
    return f"It may be set from {low} ({found.window.low_by}) to {high} ({found.window.high_by}).{setting}"


def _sorted(found: Swinging) -> tuple[list[Finding], list[Finding], list[Finding]]:
    """The findings by what they are about: speed, oil, the rest."""
    fast = [f for f in found.findings if f.title.startswith(_SPEED)]
    oil = [f for f in found.findings if f.title.startswith(_PRESSURE)]
    return fast, oil, [f for f in found.findings if f not in fast and f not in oil]


def watch_view(query: Mapping[str, str], read: Diagnosis | PlowwrightError | None, build: Build) -> dict[str, Any]:
    """The stopwatch form and what it says.

    Args:
        query: What the address says.
        read: The diagnosis, what cannot be read, or None while something is missing.
        build: The blade.
    """
    fields = [
        {"name": name, "label": label, "example": example, "value": query.get(name, "")}
        for name, label, example, _ in _STOPWATCH
    ]
    view: dict[str, Any] = {"fields": fields, "missing": any(f["value"] for f in fields) and read is None}
    if isinstance(read, PlowwrightError):
        return {**view, "error": read.as_dict()}
    if read is None:
        return view
    ways = ways_of(build)
    causes = [
        {
            "name": c.name, "fits": c.fits, "sentence": c.sentence,
            "off": f"{100 * c.off:.0f} % off" if c.off < 10 else "far off",
            "times": f"{judging.seconds(c.rod_out)} {ways['out']}, {judging.seconds(c.rod_in)} {ways['in']}",
        }
        for c in read.causes
    ]  # fmt: skip
    return {
        **view, "sentence": read.sentence, "send": read.send, "stop": read.stop, "causes": causes,
        "cautions": read.cautions, "drill": read.drill,
    }  # fmt: skip
