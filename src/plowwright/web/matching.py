"""A blade against a machine, as the addresses of 'does it suit' and 'how it moves' name both."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time
from functools import lru_cache
from typing import TYPE_CHECKING, Any
from urllib.parse import parse_qsl, urlencode

from fastapi import Request
from fastapi.responses import Response

from plowwright.blade.carriers import Carrier
from plowwright.findings import Finding, Verdict
from plowwright.papers import content, finding_rows, pdf, qr, svg
from plowwright.papers.content import Paper, Sheet
from plowwright.papers.drawing import Picture
from plowwright.shop.worked import Worked
from plowwright.web import forms, pages, telling
from plowwright.web.calling import spreads_of
from plowwright.web.holding import machines
from plowwright.web.pages import Asked
from plowwright.web.telling import UNKNOWN, Told

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

Ask = Callable[[Request], Asked]
_WORST_FIRST: tuple[Verdict, ...] = ("fails", "near limit", "not checked", "holds")


@dataclass(frozen=True, kw_only=True)
class Match:
    """One blade and one machine.

    Attributes:
        asked: The blade, its order and the units.
        told: The machine and its work.
        worked: The blade with its price.
    """

    asked: Asked
    told: Told
    worked: Worked

    @property
    def carrier(self) -> Carrier | None:
        """The machine, None while nothing is known of it."""
        return self.told.carrier

    @property
    def query(self) -> str:
        """The part of an address after the question mark that holds both."""
        return f"{self.blade_query}&{urlencode(self._machine())}"

    @property
    def blade_query(self) -> str:
        """The part of an address that holds the blade alone."""
        a = self.asked
        return forms.query_of(a.spec, order=a.order, system=a.system)

    def _machine(self) -> list[tuple[str, str]]:
        return self.told.pairs() if self.told.base else [("machine", UNKNOWN), *self.told.pairs()]

    def around(self, desk: Desk, page: str) -> dict[str, Any]:
        """What stands around both pages: names, the other pages, the machines to choose from.

        Args:
            desk: Knows the carriers.
            page: Address of the page itself.
        """
        name = self.worked.build.name
        carrier = self.carrier
        system = self.asked.system
        chosen = carrier if self.told.as_filed else None
        rows = machines(desk.strength, chosen, system)
        if carrier is not None and not self.told.as_filed:
            rows[0]["chosen"] = False
            rows.insert(0, {"value": "", "words": f"{carrier.name}, as told on the phone", "chosen": True})
        pairs = [*self.told.pairs()] if not self.told.as_filed else [
            (f"w_{key}", value) for key, value in self.told.typed.items() if value
        ]  # fmt: skip
        blade = forms.query_of(self.asked.spec, order=self.asked.order, system=system)
        other = "metric" if system == "us" else "us"
        turned = forms.query_of(self.asked.spec, order=self.asked.order, system=other)
        return {
            "title": f"{name} on {carrier.name}" if carrier else name,
            "blade": name,
            "on": carrier.name if carrier else "",
            "kind": carrier.kind if carrier else "",
            "order": self.asked.order,
            "page": page,
            "machines": rows,
            "hidden": [*parse_qsl(blade), *(p for p in pairs if p[0].startswith("w_"))],
            "query": self.query,
            "suits": f"/suits?{self.query}",
            "moves": f"/moves?{self.query}",
            "sheet": f"/blade?{blade}" + (f"&machine={carrier.name}" if carrier and self.told.as_filed else ""),
            "calling": f"/calling?{urlencode(self.told.pairs())}",
            "switch": {
                "href": f"{page}?{turned}&units={other}&{urlencode(self._machine())}",
                "words": "Metric" if other == "metric" else "Inches and pounds",
            },
        }


def match_of(request: Request, desk: Desk, ask: Ask) -> Match:
    """The blade and the machine an address names.

    Args:
        request: What was asked.
        desk: Works the blade out.
        ask: Reads the blade.

    Raises:
        EntryError: Something cannot be read, or the blade cannot be built.
        NotFoundError: An order or a carrier nobody knows.
    """
    asked = ask(request)
    ordered = desk.order(asked.order).carrier if asked.order else ""
    spreads = spreads_of(desk)
    told = telling.told_of(request.query_params, desk, ordered=ordered, spreads=spreads, system=asked.system)
    return Match(asked=asked, told=told, worked=desk.worked(asked.spec))


def shown(finding: Finding) -> dict[str, Any]:
    """One finding as the page shows it: bar, numbers or words, and what it rests on behind one press.

    Args:
        finding: The finding.
    """
    numbers = ", ".join(word for word in (finding.value, finding.limit, finding.margin) if word)
    said = finding_rows.said(finding)
    stands = finding.verdict == "holds" and bool(numbers)
    return {
        "title": finding.title[:1].upper() + finding.title[1:],
        "place": "",
        "verdict": finding.verdict,
        "tone": pages.TONES[finding.verdict],
        "bar": bar(finding),
        "numbers": numbers if stands else said,
        "sentence": said if stands else "",
        "kind": finding.basis.kind,
        "formula": finding.basis.formula,
        "inputs": list(finding.basis.inputs.items()),
        "source": finding.basis.source,
    }


def worst_first(findings: Sequence[Finding]) -> list[Finding]:
    """The findings, those that need a look first.

    Args:
        findings: In any order.
    """
    return sorted(findings, key=lambda f: _WORST_FIRST.index(f.verdict))


def folded(findings: Sequence[Finding]) -> dict[str, list[dict[str, Any]]]:
    """The findings as the page shows them: what needs a look open and worst first, what holds behind one press.

    Args:
        findings: In any order.
    """
    ordered = worst_first(findings)
    return {
        "open": [shown(f) for f in ordered if f.verdict != "holds"],
        "held": [shown(f) for f in ordered if f.verdict == "holds"],
    }


def bar(finding: Finding) -> str:
    """Its margin bar, "" where there is no scale.

    Args:
        finding: The finding.
    """
    if finding.used is None:
        return ""
    least = finding.limit.startswith("at least")
    return _drawn(title=finding.title, verdict=finding.verdict, least=least, used=round(finding.used, 3))


@lru_cache(maxsize=2048)
def _drawn(*, title: str, verdict: Verdict, least: bool, used: float) -> str:
    return finding_rows.bar_inline(title=title, verdict=verdict, least=least, used=used)


def inline(picture: Picture, *, title: str, prefix: str) -> str:
    """A picture for the middle of a page.

    Args:
        picture: The picture.
        title: What it is, for screen readers.
        prefix: Keeps its ids apart from those of other pictures.
    """
    return svg.write(picture, title=title, inline=True, prefix=f"{prefix}-")


def sheet_of(match: Match, desk: Desk) -> Sheet:
    """What a paper about the match carries at its head.

    Args:
        match: Blade and machine.
        desk: Knows the day.
    """
    return Sheet(
        worked=match.worked,
        system=match.asked.system,
        paper="us-letter" if match.asked.system == "us" else "a4",
        on=desk.now.date(),
        number=match.asked.order,
    )


def pdf_of(paper: Paper, sheet: Sheet, name: str) -> Response:
    """One paper, set and ready to print.

    Args:
        paper: Its template, data and pictures.
        sheet: What its head carries.
        name: Name of the file.
    """
    made = pdf.compile(
        content.source(paper.template),
        pictures={**paper.pictures, "qr": qr.svg(sheet.link())},
        data=paper.data,
        when=datetime.combine(sheet.on, time(12), tzinfo=UTC),
    )
    return Response(made, media_type="application/pdf", headers={"Content-Disposition": f'inline; filename="{name}"'})
