"""The fit sheet for the customer: what he told us, the blade we offer and why, what bites, what must be confirmed.

One page. No cost and no margin stand on it; every number comes from the checks, none is typed twice.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from plowwright import units
from plowwright.blade.carrier_facts import NAMES, Fact
from plowwright.blade.suit.results import Check, Suit
from plowwright.blade.work import Work
from plowwright.findings import Verdict
from plowwright.papers import suiting, suiting_plan, svg
from plowwright.papers.content import Paper, Sheet, frozen_quote, room
from plowwright.papers.finding_rows import because
from plowwright.shop.lines import money

CAUTIONS: Final = (
    "Ballast goes on before the blade. Oil under pressure goes through skin: lower the blade and release it before a"
    " coupler is opened.",
)
"""Of the acts this sheet leads to, on top of those every answer carries."""
WORST_FIRST: Final[tuple[Verdict, ...]] = ("fails", "near limit", "not checked", "holds")
_SHOWN, _HOLDING = 8, 3
"""Most checks in rows of their own, and most of them that hold; the page is one [-]."""
_MEASURED: Final = ("wheelbase", "pins_ahead", "width")
"""Places a customer can lay a tape to."""
_CONFIRMED: Final = 5
_GAP: Final = 4.0


def fit_sheet(sheet: Sheet, suit: Suit, *, why: Sequence[str] = ()) -> Paper:
    """The one page a customer gets about a blade on his carrier.

    Args:
        sheet: What all papers of the blade share.
        suit: How the blade suits his carrier.
        why: Reasons for this blade among the shop's others, each a sentence.
    """
    build, half = sheet.build, (room(sheet) - _GAP) / 2
    with units.speaking(sheet.system):
        side = suiting.side(build, suit, width=half, system=sheet.system, table=False, levers=False)
        plan = suiting_plan.plan(build, suit, width=half, system=sheet.system)
        shown, also = _checks(suit.checks)
        data = {
            "head": sheet.head(f"Fit sheet, {build.name} on {suiting.called(suit)}"),
            "sentence": suit.sentence,
            "why": [*why, *_bites(suit)],
            "told": _halves(_told(suit)),
            "checks": shown,
            "also": also,
            "confirm": _confirm(suit),
            "price": _price(sheet),
            "cautions": [*CAUTIONS, *suit.cautions],
        }
    pictures = {
        "side": svg.write(side, title=f"{build.name} on {suit.carrier.name} from the left"),
        "plan": svg.write(plan, title=f"{build.name} on {suit.carrier.name} from above"),
    }
    return Paper(template="fit.typ", data=data, pictures=pictures)


def _told(suit: Suit) -> list[list[str]]:
    """Every fact as it was told, with where it comes from; then the work."""
    rows = [_fact(fact) for fact in suit.carrier.facts]
    return rows + _work(suit.work)


def _fact(fact: Fact) -> list[str]:
    value = fact.text if fact.quantity == "word" else units.say(fact.likely, fact.quantity)
    whats = NAMES[fact.name].whats
    # What needs no saying is left out: the page is one.
    usual = len(whats) == 1 or (fact.name == "pressure" and fact.what == whats[0])
    what = NAMES[fact.name].noun if usual else f"{NAMES[fact.name].noun}, {fact.what}"
    return [what, value + (f" ({fact.doubt})" if fact.doubt else ""), fact.source]


def _work(work: Work) -> list[list[str]]:
    yes = {True: "yes", False: "no"}
    pairs = [
        ("ground", work.ground),
        ("driver", work.driver),
        ("curbs and rings", "" if work.curbs is None else yes[work.curbs]),
        ("road with the blade on", "" if work.road is None else yes[work.road]),
        ("ice and packed snow", "" if work.ice is None else yes[work.ice]),
        ("snow", work.snow),
        ("depth", "" if work.depth is None else units.say(work.depth, "length")),
        ("narrowest gate", "" if work.gate is None else units.say(work.gate, "length")),
        ("width wished", "" if work.width is None else units.say(work.width, "length")),
        ("class wished", work.duty_class),
        ("also", work.note),
    ]
    return [[name, value, "told"] for name, value in pairs if value]


def _halves(rows: list[list[str]]) -> list[list[list[str]]]:
    """Two columns, the first the longer."""
    middle = (len(rows) + 1) // 2
    return [rows[:middle], rows[middle:]]


def badness(check: Check) -> tuple[int, float]:
    """Order of checks, the worst first.

    Args:
        check: One check.
    """
    return WORST_FIRST.index(check.finding.verdict), -(check.finding.used or 0.0)


def _checks(checks: Sequence[Check]) -> tuple[list[list[str]], list[str]]:
    """The worst in rows of their own, the rest that holds in one line, what was not checked in another."""
    ordered = sorted(checks, key=badness)
    told = [c for c in ordered if c.finding.value]
    open_ = [c for c in told if c.finding.verdict != "holds"][:_SHOWN]
    held = [c for c in told if c.finding.verdict == "holds"]
    rows = open_ + held[: min(_HOLDING, _SHOWN - len(open_))]
    shown = [[c.title, c.finding.value, c.finding.limit, c.finding.verdict] for c in rows]
    also: list[str] = []
    for verdict, words in (("holds", "Also checked, and holds"), ("not checked", "Also not checked")):
        if rest := [c.title for c in told if c not in rows and c.finding.verdict == verdict]:
            also.append(f"{words}: {', '.join(rest)}.")
    reasons: dict[str, list[str]] = {}
    for check in ordered:
        if check not in told:
            reasons.setdefault(because(check.finding).removeprefix("because "), []).append(check.title)
    also += [f"Not checked because {why}: {', '.join(titles)}." for why, titles in reasons.items()]
    return shown, also


def _bites(suit: Suit) -> list[str]:
    """The limit that is reached first, where the answer itself does not name it."""
    told = [c for c in suit.checks if c.binds and c.used is not None]
    first = max(told, key=lambda c: c.used.likely if c.used is not None else 0.0, default=None)
    if first is None or first.title in suit.sentence:
        return []
    found = first.finding
    return [f"The limit that bites first: {first.title}, {found.value}, {found.limit}; {found.margin}."]


def _confirm(suit: Suit) -> list[str]:
    """What only the customer can tell: facts nobody gave, then those that are not off a plate or a book."""
    measured = [name for name, place in suit.places.named() if place.assumed and name in _MEASURED]
    unknown = [NAMES[name].noun for name in dict.fromkeys((*suit.missing, *measured)) if name in NAMES]
    lines = [f"Not known yet, or assumed: {', '.join(unknown)}."] if unknown else []
    doubtful = [f for f in suit.carrier.facts if not f.certain]
    lines += [f"Please read it off the plate: {fact.said()}." for fact in doubtful[:_CONFIRMED]]
    if rest := [NAMES[f.name].noun for f in doubtful[_CONFIRMED:]]:
        lines.append(f"And also: {', '.join(rest)}.")
    return lines or ["Nothing: every fact is off a plate or a book."]


def _price(sheet: Sheet) -> list[list[str]]:
    quote = frozen_quote(sheet)
    return [
        ["List price", money(quote.total, quote.currency)],
        ["Deposit with the order", money(quote.deposit, quote.currency)],
        ["Good until", f"{quote.valid_until:%d %B %Y}"],
        ["Weight, by the model", sheet.mass(sheet.build.mass)],
    ]
