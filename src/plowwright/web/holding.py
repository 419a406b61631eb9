"""The part 'Will it hold' of a blade's page: worked out beside the page, so that no changed option waits for it."""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Callable, Hashable
from concurrent.futures import Future, ThreadPoolExecutor, wait
from dataclasses import dataclass, field
from functools import lru_cache
from threading import Lock
from typing import TYPE_CHECKING, Any, Final

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse

from plowwright import units
from plowwright.blade.carriers import Carrier
from plowwright.errors import EntryError, NotFoundError, PlowwrightError
from plowwright.findings import Finding, Verdict
from plowwright.papers import finding_rows, svg
from plowwright.papers import holding as sheets
from plowwright.papers.content import DISCLAIMER
from plowwright.papers.drawing import Picture
from plowwright.shop.worked import Worked
from plowwright.web import pages
from plowwright.web.forms import System
from plowwright.web.pages import Asked

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk
    from plowwright.desk.strength import Strength

UNKNOWN: Final = "unknown"
"""How an address says that the carrier is not known, though the order names one."""
AT_ONCE: Final = 0.05
"""How long the first answer may wait for the work, so that what is kept at hand shows without a step between [s]."""
TOLD_FROM: Final = 1
"""From when on it is said how long the work has taken [s]."""
_KEPT: Final = 48
_CHART: Final = 136.0
_BENT: Final = 102.0


@dataclass
class Job:
    """One blade on one carrier, on its way or worked out.

    Attributes:
        begun: When it was asked for, by a clock that never goes back [s].
        done: The blade with its strength, once it is.
    """

    begun: float = field(default_factory=time.monotonic)
    done: Future[Worked] = field(default_factory=Future)

    def waited(self) -> float:
        """How long somebody has waited for it [s]."""
        return time.monotonic() - self.begun


class Held:
    """Works out one blade after the other; one that was asked for and left again before its turn is dropped.

    Args:
        strength: What works them out.
    """

    def __init__(self, strength: Strength) -> None:
        self._strength = strength
        self._jobs: OrderedDict[Hashable, Job] = OrderedDict()
        self._lock = Lock()
        self._hand = ThreadPoolExecutor(max_workers=1, thread_name_prefix="holding")

    def job(self, worked: Worked, carrier: Carrier | None, system: System = "us") -> Job:
        """The work on a blade and a carrier, begun when it was not asked for before.

        Args:
            worked: The blade.
            carrier: The machine that carries it, as far as it is known.
            system: US or metric sentences.
        """
        key = (worked.build.spec, carrier, system)
        with self._lock:
            job = self._jobs.get(key)
            if job is None:
                for other in list(self._jobs):
                    if self._jobs[other].done.cancel():
                        del self._jobs[other]
                job = self._jobs[key] = Job()
                job.done = self._hand.submit(self._strength.holding, worked, carrier, level=2, system=system)
                while len(self._jobs) > _KEPT:
                    self._jobs.popitem(last=False)
        return job


class HoldingPart:
    """Answers the addresses of the part.

    Args:
        desk: The shop's rules, orders and carriers.
        page: Sets a template.
        ask: What an address asks for.
    """

    def __init__(self, desk: Desk, page: Callable[..., HTMLResponse], ask: Callable[[Request], Asked]) -> None:
        self._desk = desk
        self._page = page
        self._ask = ask
        self._held = Held(desk.strength)

    def add_to(self, app: FastAPI) -> None:
        """Put its addresses on the application."""
        app.get("/blade/holds", response_class=HTMLResponse)(self.holds)

    def holds(self, request: Request) -> HTMLResponse:
        """Whether a blade holds on its carrier: begun at the first call, shown once it is worked out."""
        asked = self._ask(request)
        try:
            page = self._page(request, "holding.html", holds=self._view(asked))
        except PlowwrightError as error:
            page = self._page(request, "holding.html", holds={"error": error.as_dict()})
        if request.headers.get("HX-Trigger-Name") == "machine":
            page.headers["HX-Push-Url"] = f"/blade?{asked.query}"
        return page

    def _view(self, asked: Asked) -> dict[str, Any]:
        job = self._held.job(self._desk.worked(asked.spec), self.carrier(asked), asked.system)
        wait([job.done], timeout=AT_ONCE)
        if not job.done.done() or job.done.cancelled():
            waited = round(job.waited())
            return {"again": f"/blade/holds?{asked.query}", "waited": waited if waited > TOLD_FROM else 0}
        return holding_view(job.done.result(), asked)

    def carrier(self, asked: Asked) -> Carrier | None:
        """The carrier a page is about.

        Args:
            asked: The blade and its order.

        Raises:
            NotFoundError: The address names a carrier nobody knows.
            EntryError: Something in a carrier file cannot be taken.
        """
        ordered = self._desk.order(asked.order).carrier if asked.order else ""
        return machine_of(asked.machine, ordered, self._desk.strength)

    def choices(self, asked: Asked) -> list[dict[str, Any]]:
        """The carriers to choose from; what is wrong with a carrier file is said where strength is asked for.

        Args:
            asked: The blade and its order.
        """
        try:
            chosen = self.carrier(asked)
        except NotFoundError:
            chosen = None
        except EntryError:
            return [{"value": UNKNOWN, "words": "carrier not known", "chosen": True}]
        return machines(self._desk.strength, chosen, asked.system)


def said_machine(said: str, ordered: str) -> str:
    """What stays in an address of a chosen carrier: nothing where it is the order's own, or none without an order.

    Args:
        said: `machine` of the address, or "".
        ordered: What the order calls its carrier, or "".
    """
    plain = said.strip()
    return "" if plain.casefold() == (ordered.casefold() or UNKNOWN) else plain


def machine_of(said: str, ordered: str, strength: Strength) -> Carrier | None:
    """The carrier a page is about: what the address says, else the order's own, None while it is not known.

    Args:
        said: `machine` of the address, or "".
        ordered: What the order calls its carrier, or "".
        strength: Knows the carriers.

    Raises:
        NotFoundError: The address names a carrier nobody knows.
    """
    if said == UNKNOWN:
        return None
    return strength.carrier(said) if said else strength.of_order(ordered)


def machines(strength: Strength, chosen: Carrier | None, system: System = "us") -> list[dict[str, Any]]:
    """The choices of carriers, the unknown one first.

    Args:
        strength: Knows the carriers.
        chosen: The one the page is about, or None.
        system: US or metric.
    """
    rows = [{"value": UNKNOWN, "words": "carrier not known", "chosen": chosen is None}]
    for carrier in strength.carriers.values():
        rows.append({"value": carrier.name, "words": carrier_said(carrier, system), "chosen": carrier == chosen})
    return rows


def carrier_said(carrier: Carrier, system: System = "us") -> str:
    """A carrier in a few words: name, kind, weight.

    Args:
        carrier: The carrier.
        system: US or metric.
    """
    mass = carrier.known("mass")
    weight = units.say(mass.likely, "mass", system=system) if mass else "weight not known"
    return f"{carrier.name}, {carrier.kind}, {weight}"


def holding_view(worked: Worked, asked: Asked) -> dict[str, Any]:
    """What the part shows of a blade whose strength was looked at.

    Args:
        worked: The blade, held.
        asked: The blade, its order and the units.
    """
    build = worked.build
    holding = build.holding
    if holding is None:
        return {"name": build.name, "on": sheets.on_what(build), "said": _unsaid(build.findings), "chapters": []}
    bent = [
        {"title": title, "picture": _inline(picture, title=f"{build.name} bent, {title}", prefix=f"bent{n}-")}
        for n, (title, picture) in enumerate(sheets.bent_pictures(holding, width=_BENT, system=asked.system))
    ]
    order = [
        {"place": place, "picture": _inline(picture, title=f"what gives first at the {place}", prefix=f"{place}-")}
        for place, picture in sheets.giving_pictures(holding, width=_CHART, system=asked.system)
    ]
    return {
        "name": build.name,
        "on": sheets.on_what(build),
        "kind": _kind_said(worked),
        "said": sheets.counted(holding.findings),
        "model": sheets.model_said(holding),
        "order": order,
        "sentences": sheets.sentences(holding),
        "bent": bent,
        "chapters": [_chapter(chapter) for chapter in sheets.chapters(holding)],
        "cautions": sheets.CAUTIONS,
        "disclaimer": DISCLAIMER,
    }


def _kind_said(worked: Worked) -> str:
    carrier, kind = worked.build.carrier, worked.build.spec.carrier_kind
    if carrier is None or not carrier.kind or carrier.kind == kind:
        return ""
    return f"{carrier.name} is a {carrier.kind}; this blade is chosen for a {kind}."


def _unsaid(findings: tuple[Finding, ...]) -> str:
    return next((f.sentence for f in findings if f.title == "strength"), "Strength was not looked at.")


def _chapter(chapter: sheets.Chapter) -> dict[str, Any]:
    return {
        "name": chapter.name,
        "said": sheets.counted(chapter.findings),
        "open": [_finding(f) for f in chapter.open],
        "held": [_finding(f) for f in chapter.held],
        "unsaid": [(f.title, finding_rows.because(f).removeprefix("because ")) for f in chapter.unsaid],
    }


def _finding(finding: Finding) -> dict[str, Any]:
    numbers = ", ".join(word for word in (finding.value, finding.limit, finding.margin) if word)
    said = finding_rows.said(finding)
    stands = finding.verdict == "holds"
    return {
        "title": finding.title,
        "place": finding.place,
        "verdict": finding.verdict,
        "tone": pages.TONES[finding.verdict],
        "bar": _bar(finding),
        "numbers": (numbers or said) if stands else said,
        "sentence": said if stands and numbers else "",
        "kind": finding.basis.kind,
        "formula": finding.basis.formula,
        "inputs": list(finding.basis.inputs.items()),
        "source": finding.basis.source,
    }


def _bar(finding: Finding) -> str:
    if finding.used is None:
        return ""
    least, used = finding.limit.startswith("at least"), round(finding.used, 3)
    return _drawn(title=finding.title, verdict=finding.verdict, least=least, used=used)


@lru_cache(maxsize=2048)
def _drawn(*, title: str, verdict: Verdict, least: bool, used: float) -> str:
    return finding_rows.bar_inline(title=title, verdict=verdict, least=least, used=used)


def _inline(picture: Picture, *, title: str, prefix: str) -> str:
    return svg.write(picture, title=title, inline=True, prefix=f"holds-{prefix}")
