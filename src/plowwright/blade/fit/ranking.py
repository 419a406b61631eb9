"""Every blade of the range ranked for one machine and its work, each with its verdict and why."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np

from plowwright.blade.build import Build
from plowwright.blade.carriers import Carrier
from plowwright.blade.fit.beliefs import believe, kinds_of, work_answers
from plowwright.blade.fit.chances import Chances, chances
from plowwright.blade.fit.judging import Judged, judge
from plowwright.blade.fit.pushing import pushes
from plowwright.blade.fit.range import Range, mounts_for
from plowwright.blade.fit.saying import PROPPED, Bite, asks, bite_of, decides, reason
from plowwright.blade.spec import CARRIER_KINDS, CarrierKind
from plowwright.blade.work import Work
from plowwright.errors import RulebookError
from plowwright.physics.frame_elements import Floats
from plowwright.rulebook.fit import CLASSES, Fit
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.suit import Suit

FitVerdict = Literal["suits", "would suit if", "cannot be told", "does not suit"]
ORDER: Final[tuple[FitVerdict, ...]] = ("suits", "would suit if", "cannot be told", "does not suit")
"""Verdicts, best first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """One blade of the range on this machine.

    Attributes:
        series: Key of the series.
        width: Of the edge [m].
        mount: Key of the mount.
        also: Keys of other mounts that do as well, where each series and width is wanted once.
        kind: Kind of machine it is held against.
        build: The blade, level 0.
        verdict: suits, would suit if, cannot be told, does not suit.
        reason: Why, one sentence.
        bites: The limit that bites, and by how much.
        chance: Share of machines like this one that it suits [-]; leans on what is assumed of the unknown.
        clear: Width cleared at full angle [m].
        ballast: It asks for at the rear, 0 where none or where the axles are not known [kg].
        pushes: Push the machine has over what a hard day's snow resists [-]; from 1 on it need not slow down.
        worth: What the order goes by within a verdict [m].
    """

    series: str
    width: float
    mount: str
    also: tuple[str, ...]
    kind: CarrierKind
    build: Build
    verdict: FitVerdict
    reason: str
    bites: Bite
    chance: float
    clear: float
    ballast: float
    pushes: float
    worth: float

    @property
    def name(self) -> str:
        """Series and width, as people say it."""
        return self.build.name


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OneKind:
    """A range held against a machine taken for one kind.

    Attributes:
        weight: How likely it is of this kind [-].
        judged: What holds and what is open.
        chances: What trying machines gave.
    """

    weight: float
    judged: Judged
    chances: Chances


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fitted:
    """The answer to an enquiry.

    Attributes:
        options: Every blade, best first.
        kinds: The range against each kind the machine may be of, the likeliest first.
        asks: Which class the machine asks for, one sentence; "" while its kind is unknown.
        between: Whether it lies between two class rules.
        decides: What decides between them; "" inside one.
    """

    options: tuple[Option, ...]
    kinds: tuple[OneKind, ...]
    asks: str
    between: bool
    decides: str


def rank(carrier: Carrier, work: Work, rulebook: Rulebook) -> list[Option]:
    """Every blade of the range ranked for one machine.

    Args:
        carrier: The machine, as far as it is known.
        work: Its work, as far as it is known.
        rulebook: The rules in force.

    Raises:
        RulebookError: The rulebook has no fit.toml or no suit.toml.
        SpecError: No mount of the rulebook couples to such a machine.
    """
    return list(fit(carrier, work, rulebook).options)


def settings(rulebook: Rulebook) -> tuple[Fit, Suit]:
    """Settings of fit.toml and suit.toml.

    Args:
        rulebook: The rules in force.

    Raises:
        RulebookError: The rulebook has one of them not.
    """
    if rulebook.fit is None or rulebook.suit is None:
        missing = "fit.toml" if rulebook.fit is None else "suit.toml"
        raise RulebookError(
            f"this rulebook has no {missing}, so blades cannot be matched to machines",
            way_out=f"Copy the {missing} of a newer rulebook into its folder and look its rows through.",
            where=str(rulebook.folder.name),
        )
    return rulebook.fit, rulebook.suit


def fit(
    carrier: Carrier, work: Work, rulebook: Rulebook, *, hoses: str = "", each_mount: bool = True
) -> Fitted:
    """Hold the whole range against one machine.

    Args:
        carrier: The machine, as far as it is known.
        work: Its work, as far as it is known.
        rulebook: The rules in force.
        hoses: Key of the hose choice, "" for the first of the rulebook.
        each_mount: Whether each mount has an option of its own; else each series and width stands once, on the first
            mount that does. While the kind is unknown each stands once in any case.

    Raises:
        RulebookError: The rulebook has no fit.toml or no suit.toml.
        SpecError: No mount of the rulebook couples to such a machine.
    """
    rules, suit = settings(rulebook)
    usual = {str(kind) for kind in rules.kinds}
    asked: list[CarrierKind] = [kind for kind in CARRIER_KINDS if carrier.kind in ("", kind)]
    if carrier.kind and not mounts_for(rulebook, carrier.kind):
        Range.of(rulebook, asked[0])  # refuses with the way out
    coupled: list[CarrierKind] = [kind for kind in asked if mounts_for(rulebook, kind) and str(kind) in usual]
    if not coupled:
        raise RulebookError(
            "fit.toml does not say what such a machine usually is",
            value=carrier.kind,
            way_out="Copy one of its [kinds] tables under the name of this kind, and change the figures.",
            where="fit.toml",
        )
    weights = kinds_of(carrier, rules, tuple(coupled))
    ways = work_answers(work, rules)
    kinds: list[OneKind] = []
    for kind, weight in sorted(weights.items(), key=lambda kw: -kw[1]):
        blades = Range.of(rulebook, kind, hoses)
        known, usual = believe(carrier, kind, rules, suit), rules.kinds[kind]
        kinds.append(
            OneKind(
                weight=weight,
                judged=judge(blades, known, work, rules, usual, suit),
                chances=chances(blades, known, ways, rules, usual, suit, weight=weight),
            )
        )
    rows = [row for one in kinds for row in _rows(one, work, rules)]
    if not (carrier.kind and each_mount):
        rows = _once(rows)
    rows.sort(key=lambda row: (ORDER.index(row.verdict), -row.worth, row.used))
    options = [_option(row, sure=bool(carrier.kind)) for row in rows]
    first = kinds[0].judged
    return Fitted(
        options=tuple(options),
        kinds=tuple(kinds),
        asks=asks(first) if carrier.kind else "",
        between=bool(carrier.kind) and bool(first.asked.low != first.asked.high),
        decides=decides(first, rules) if carrier.kind else "",
    )


def _worths(one: OneKind, work: Work, rules: Fit) -> tuple[Floats, Floats]:
    """What each blade is worth to the caller, and how well it is pushed.

    Width it clears, less where it must slow down in a hard day's snow, times its chance, times what its class is worth.
    """
    blades, asked = one.judged.blades, one.judged.asked
    worth = rules.worth
    over = np.maximum(0.0, blades.duty_class - asked.high)
    fitting = worth.asked.value * worth.heavier.value**over
    factor = np.where(blades.duty_class < asked.high, worth.lighter.value, fitting)
    if work.duty_class:
        wish = [str(one) for one in CLASSES].index(work.duty_class)
        factor = np.where(blades.duty_class == wish, 1.0, 0.5 * factor)
    pushed = pushes(blades, one.judged.likely["mass"], one.judged.likely["power"], work, rules)
    wished: Floats | float = np.minimum(1.0, pushed)
    if work.width is not None:
        wished = np.minimum(blades.width / work.width, work.width / blades.width) ** 4
    return one.chances.suits * blades.clear * factor * wished, pushed


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    """One blade on one kind of machine, in figures alone: words are made only for what is shown."""

    one: OneKind
    at: int
    verdict: FitVerdict
    chance: float
    worth: float
    pushes: float
    used: float
    also: tuple[str, ...] = ()

    @property
    def build(self) -> Build:
        return self.one.judged.blades.builds[self.at]

    @property
    def key(self) -> tuple[str, float]:
        return self.build.spec.series, round(self.build.spec.width, 6)


def _rows(one: OneKind, work: Work, rules: Fit) -> list[_Row]:
    worths, pushed = _worths(one, work, rules)
    judged = one.judged
    measured = [c.used[1] for c in judged.checks if c.key not in PROPPED]
    used = np.max(measured, axis=0) if measured else np.zeros(len(worths))
    return [
        _Row(
            one=one,
            at=at,
            verdict=_verdict(judged, at),
            chance=float(one.chances.suits[at]),
            worth=float(worths[at]) * one.weight,
            pushes=float(pushed[at]),
            used=float(used[at]),
        )
        for at in range(len(judged.blades.builds))
    ]


def _once(rows: list[_Row]) -> list[_Row]:
    """Each series and width once, on the kind it would serve best and there on the first mount that does.

    Rows come kind by kind and mount by mount, as the rulebook has them. The chance is that over all kinds.
    """
    found: list[_Row] = []
    grouped: dict[tuple[str, float], list[_Row]] = {}
    for row in rows:
        grouped.setdefault(row.key, []).append(row)
    for group in grouped.values():
        kinds: dict[int, list[_Row]] = {}
        for row in group:
            kinds.setdefault(id(row.one), []).append(row)
        chance = sum(own[0].one.weight * max(row.chance for row in own) for own in kinds.values())
        fitting = [own for own in kinds.values() if any(row.verdict != "does not suit" for row in own)]
        own = max(fitting or list(kinds.values()), key=lambda own: max(row.worth for row in own))
        least = min(ORDER.index(row.verdict) for row in own)
        same = [row for row in own if ORDER.index(row.verdict) == least]
        worth = max(row.worth for row in same)
        also = tuple(row.build.spec.mount for row in same[1:])
        found.append(replace(same[0], chance=chance, worth=worth, also=also))
    return found


def _option(row: _Row, *, sure: bool) -> Option:
    judged, build, at = row.one.judged, row.build, row.at
    bite = bite_of(judged, at)
    option = Option(
        series=build.spec.series,
        width=build.spec.width,
        mount=build.spec.mount,
        also=row.also,
        kind=judged.blades.kind,
        build=build,
        verdict=row.verdict,
        reason=reason(judged, at, bite),
        bites=bite,
        chance=row.chance,
        clear=float(judged.blades.clear[at]),
        ballast=float(judged.ballast[at]),
        pushes=row.pushes,
        worth=row.worth,
    )
    return option if sure else _if_so(option)


def _verdict(judged: Judged, at: int) -> FitVerdict:
    standing = {c.standing[at] for c in judged.checks}
    if "fails" in standing:
        return "does not suit"
    if "open" not in standing:
        return "suits"
    nothing = all(b.own is None for name, b in judged.known.items() if name != "width")
    return "cannot be told" if nothing else "would suit if"


def _if_so(option: Option) -> Option:
    """The option of a machine whose kind is not known: nothing suits it, and the sentence begins with the kind."""
    if option.verdict == "does not suit":
        return option
    verdict: FitVerdict = "cannot be told" if option.verdict == "cannot be told" else "would suit if"
    told = "Would suit if "
    rest = option.reason.removeprefix(told) if option.reason.startswith(told) else ""
    return replace(option, verdict=verdict, reason=f"{told}it is a {option.kind}{f', {rest}' if rest else '.'}")
