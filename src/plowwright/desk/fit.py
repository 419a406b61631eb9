"""The answer while the customer is on the phone: ranked blades with prices, what bites, and what to ask next."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from threading import Lock
from typing import Any, Final

from plowwright import units
from plowwright.blade.build import Build
from plowwright.blade.carried import moved
from plowwright.blade.carriers import Carrier
from plowwright.blade.fit.questions import Question, questions
from plowwright.blade.fit.range import Range, mounts_for
from plowwright.blade.fit.ranking import ORDER, Fitted, FitVerdict, Option, fit, settings
from plowwright.blade.giving_inputs import Capacities, brings
from plowwright.blade.holding import hold
from plowwright.blade.spec import CARRIER_KINDS
from plowwright.blade.work import UNTOLD, Work
from plowwright.errors import ModelError
from plowwright.papers.content import DISCLAIMER
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.lines import money
from plowwright.shop.price import list_lines

NOTED: Final = ("pressure on the rod side", "cold oil", "heat while angling")
"""Titles of the findings about angling that are worth a word on the phone where they fail."""
KEPT: Final = 32
"""How many answers are kept at hand."""
CARRY_LOW: Final = (
    "A blade ahead of the front axle tips a light machine: carry it low, go slowly across slopes, and carry the ballast"
    " the machine asks for."
)
"""Caution that goes with every answer."""
Key = tuple[Carrier, Work, units.System]


@dataclass(frozen=True, slots=True, kw_only=True)
class FitRow:
    """One line of the answer: a series and width, on the best of its mounts.

    Attributes:
        option: The blade it stands for.
        name: Series and width, as people say it.
        duty_class: light, standard or heavy.
        mount: Name of its mount, the first in the rulebook that does.
        other_mounts: Names of the other mounts that do as well.
        verdict: suits, would suit if, cannot be told, does not suit.
        reason: Why, one sentence.
        bites: The limit that bites and by how much.
        used: Share of that limit used [-].
        chance: Share of machines like this one that it suits [-].
        weight: Of the blade, in words.
        clears: Width cleared at full angle, in words.
        pushes: How it goes on a hard day, in words.
        strength: What the frame stands against what the machine brings, or that it was not looked at.
        price: List price with its mount and hoses [money].
        price_said: The same in words.
    """

    option: Option
    name: str
    duty_class: str
    mount: str
    other_mounts: tuple[str, ...]
    verdict: FitVerdict
    reason: str
    bites: str
    used: float
    chance: float
    weight: str
    clears: str
    pushes: str
    strength: str
    price: float
    price_said: str

    def as_dict(self) -> dict[str, Any]:
        """The row for a machine."""
        option, bite = self.option, self.option.bites
        return {
            "name": self.name, "series": option.series, "width_in": round(units.inches(option.width), 3),
            "duty_class": self.duty_class, "mount": option.mount, "carrier_kind": option.kind,
            "verdict": self.verdict, "reason": self.reason, "chance": round(self.chance, 3),
            "bites": {
                "key": bite.key, "text": bite.text, "value_si": bite.value, "limit_si": bite.limit,
                "quantity": bite.kind, "used": round(bite.used, 4), "assumed": bite.assumed,
            },
            "mass_lb": round(units.pounds(option.build.mass), 1),
            "clear_width_in": round(units.inches(option.clear), 2),
            "pushes": round(option.pushes, 3), "strength": self.strength, "price": self.price,
        }  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class FitAnswer:
    """All that is said on the phone.

    Attributes:
        carrier: The machine, as far as it is known.
        work: Its work, as far as it is known.
        rows: Every series and width once, best first.
        asks: Which class the machine asks for, one sentence; "" while its kind is unknown.
        between: Whether it lies between two class rules.
        decides: What decides between them; "" inside one.
        counts: How many rows have each verdict.
        lowest: Lowest list price still possible, or None where nothing is [money].
        highest: Highest, likewise [money].
        prices: The range in words, and what it is of.
        questions: What to ask next, the most telling first.
        strength: Whether strength on this machine was looked at, one sentence.
        cautions: What goes with the answer.
    """

    carrier: Carrier
    work: Work
    rows: tuple[FitRow, ...]
    asks: str
    between: bool
    decides: str
    counts: dict[FitVerdict, int]
    lowest: float | None
    highest: float | None
    prices: str
    questions: tuple[Question, ...]
    strength: str
    cautions: tuple[str, ...]

    @property
    def best(self) -> FitRow:
        """The first row."""
        return self.rows[0]

    def as_dict(self) -> dict[str, Any]:
        """The answer for a machine."""
        return {
            "carrier": self.carrier.as_dict(), "work": self.work.as_dict(), "asks": self.asks,
            "between_rules": self.between, "decides": self.decides, "counts": dict(self.counts),
            "price_low": self.lowest, "price_high": self.highest, "prices": self.prices,
            "blades": [row.as_dict() for row in self.rows],
            "questions": [
                {
                    "fact": q.fact, "ask": q.ask, "why": q.why, "changes": q.changes, "gain_bits": round(q.gain, 4),
                    "settles": round(q.settles, 2), "open_now": q.open_now, "again": q.again,
                }
                for q in self.questions
            ],
            "strength": self.strength, "cautions": list(self.cautions),
        }  # fmt: skip


class FitDesk:
    """Answers enquiries by one rulebook.

    Args:
        rulebook: The rules in force.
    """

    def __init__(self, rulebook: Rulebook) -> None:
        self.rulebook = rulebook
        self.capacities: dict[str, Capacities] = {}
        self._answers: OrderedDict[Key, tuple[int, FitAnswer]] = OrderedDict()
        # The pages ask from several threads at once.
        self._lock = Lock()

    def answer(self, carrier: Carrier, work: Work = UNTOLD, system: units.System = "us") -> FitAnswer:
        """Everything that can be said of a machine at once.

        Args:
            carrier: The machine, as far as it is known.
            work: Its work, as far as it is known.
            system: Units its sentences speak.

        Raises:
            RulebookError: The rulebook has no fit.toml or no suit.toml.
            SpecError: No mount of the rulebook couples to such a machine.
        """
        key = (carrier, work, system)
        with self._lock:
            kept = self._answers.get(key)
            if kept is not None and kept[0] == len(self.capacities):
                self._answers.move_to_end(key)
                return kept[1]
        with units.speaking(system):
            found = self._answer(carrier, work)
        with self._lock:
            self._answers[key] = (len(self.capacities), found)
            if len(self._answers) > KEPT:
                self._answers.popitem(last=False)
        return found

    def notes(self, row: FitRow, carrier: Carrier, system: units.System = "us") -> tuple[str, ...]:
        """What the hydraulics of one blade on this machine add: pressures over a rating, cold oil, a pump too small.

        No limit of the machine, so they change no verdict; they take some time and are asked for one row at a time.

        Args:
            row: The row.
            carrier: The machine, as far as it is known.
            system: Units its sentences speak.
        """
        with units.speaking(system):
            found = moved(row.option.build, carrier).swinging
            if found is None:
                return ()
            failing = [f for f in found.findings if f.verdict == "fails" and f.title.startswith(NOTED)]
            slow = [way for way in found.by_way.values() if way.limited_by == "pump"]
            pump = (f"the pump sets the pace of the swing, {way.says}" for way in slow)
            return (*(f.sentence for f in failing), *pump)

    def warm(self) -> None:
        """Work the range out for every kind of machine, so that the first call is answered as fast as the next."""
        for kind in CARRIER_KINDS:
            if mounts_for(self.rulebook, kind):
                for hoses in self._hose_choices():
                    Range.of(self.rulebook, kind, hoses)

    def look_at_strength(
        self, builds: Sequence[Build], told: Callable[[str], None] = lambda said: None
    ) -> None:
        """Work out what the frames of some blades stand, at level 1, and keep it: too slow for the phone itself.

        Args:
            builds: The blades, as `FitRow.option.build` has them.
            told: Told each blade's name before it is worked out; what it raises ends the work.
        """
        for build in builds:
            if build.fingerprint in self.capacities:
                continue
            told(build.name)
            try:
                found = hold(build, level=1)
            except ModelError:
                continue  # a blade that holds nothing is refused where it is worked out in full
            if found is not None:
                self.capacities[build.fingerprint] = found.capacities

    def _answer(self, carrier: Carrier, work: Work) -> FitAnswer:
        rules, _ = settings(self.rulebook)
        hoses = self._hoses(carrier)
        fitted = fit(carrier, work, self.rulebook, hoses=hoses, each_mount=False)
        rows = self._rows(fitted, carrier)
        low, high, said = self._prices(rows, carrier)
        counts: dict[FitVerdict, int] = {verdict: sum(row.verdict == verdict for row in rows) for verdict in ORDER}
        looked = sum(row.option.build.fingerprint in self.capacities for row in rows)
        return FitAnswer(
            carrier=carrier,
            work=work,
            rows=rows,
            asks=fitted.asks,
            between=fitted.between,
            decides=fitted.decides,
            counts=counts,
            lowest=low,
            highest=high,
            prices=said,
            questions=questions(fitted, rules),
            strength=f"Strength was looked at for {looked} of {len(rows)} blades, moldboard as a lattice."
            if looked
            else "Strength on this machine was not looked at yet.",
            cautions=(DISCLAIMER, CARRY_LOW),
        )

    def _rows(self, fitted: Fitted, carrier: Carrier) -> tuple[FitRow, ...]:
        """Every series and width once, on the first of the rulebook's mounts that does; the others stand beside it."""
        return tuple(self._row(option, carrier) for option in fitted.options)

    def _row(self, option: Option, carrier: Carrier) -> FitRow:
        mounts = [self.rulebook.mounts[key].name for key in (option.mount, *option.also)]
        price = round(sum(line.amount for line in list_lines(option.build.spec, self.rulebook)), 2)
        return FitRow(
            option=option,
            name=f"{option.build.series.name} {units.tape(option.width)}",
            duty_class=option.build.series.duty_class,
            mount=mounts[0],
            other_mounts=tuple(mounts[1:]),
            verdict=option.verdict,
            reason=option.reason,
            bites=option.bites.text,
            used=option.bites.used,
            chance=option.chance,
            weight=units.say(option.build.mass, "mass"),
            clears=units.tape(option.clear),
            pushes=_pushed(option.pushes),
            strength=self._strength(option, carrier),
            price=price,
            price_said=money(price, self.rulebook.shop.currency),
        )

    def _strength(self, option: Option, carrier: Carrier) -> str:
        capacities = self.capacities.get(option.build.fingerprint)
        if capacities is None or self.rulebook.strength is None:
            return "not looked at yet"
        yields = capacities.corner.first_yield
        if yields is None:
            return "not looked at yet"
        stands = f"its frame first yields at {units.say(yields.likely, 'force')} on one corner"
        brought = brings(carrier, self.rulebook.strength, option.width)
        if brought is None:
            return f"{stands}; what the machine brings is not known without its weight"
        return f"{stands}; a strike by this machine brings {brought.share_of_weight.said('force')} (assumed)"

    def _prices(self, rows: tuple[FitRow, ...], carrier: Carrier) -> tuple[float | None, float | None, str]:
        """The list prices of what is still possible."""
        least = settings(self.rulebook)[0].worth.least_chance.value
        possible = [r for r in rows if r.verdict == "suits" or (r.verdict != "does not suit" and r.chance >= least)]
        if not possible:
            return None, None, "Nothing of the range suits this machine."
        prices = self.rulebook.prices.options
        own = possible[0].option.build.spec.hoses
        chosen = (own,) if carrier.known("couplers") else self._hose_choices()
        extra = [prices.get(f"hoses.{key}", 0.0) - prices.get(f"hoses.{own}", 0.0) for key in chosen]
        every = [(row.price + more, row.name) for row in possible for more in (min(extra), max(extra))]
        low, high = min(every), max(every)
        currency = self.rulebook.shop.currency
        cheap, dear = money(low[0], currency), money(high[0], currency)
        ends = f"{cheap} to {dear}" if cheap != dear else cheap
        names = low[1] if low[1] == high[1] else f"{low[1]} to {high[1]}"
        return low[0], high[0], f"{ends}: {names}, with mount and hoses, without extras"

    def _hose_choices(self) -> tuple[str, ...]:
        """Hose choices that bring hoses."""
        return tuple(key for key, row in self.rulebook.options.get("hoses", {}).items() if row.adds)

    def _hoses(self, carrier: Carrier) -> str:
        """The hose choice that goes with the carrier's couplers, "" for the usual one."""
        fact = carrier.known("couplers")
        if fact is None:
            return ""
        return next((key for key in self._hose_choices() if fact.text.casefold().startswith(key.casefold())), "")


def _pushed(share: float) -> str:
    if share >= 1.0:
        return "pushes a hard day's snow without slowing down"
    return f"has {100 * share:.0f} % of the push a hard day's snow asks for, and must take less at a time"
