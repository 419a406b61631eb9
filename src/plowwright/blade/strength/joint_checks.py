"""One joint held against its strength under every load case, and what that says for forces given.

A check keeps its use for the reference force of each case, so that any force can be put in afterwards. Allowable
strengths are those of the standards for daily loads; for strikes they are raised as the rulebook's safety says.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import ceil
from typing import Final, Literal

import numpy as np

from plowwright import units
from plowwright.blade.loads import Blade, LoadCase
from plowwright.errors import ModelError, NotFoundError
from plowwright.findings import Basis, Finding, Verdict, not_checked, verdict_of
from plowwright.physics.joints import Floats
from plowwright.rulebook.strength import Strength
from plowwright.units.constants import INCH

Kind = Literal["weld", "web foot", "pin", "lug", "bolt"]
Quantity = Literal["force", "force per length"]

SIXTEENTH: Final = INCH / 16
LARGEST_LEG: Final = 8 * SIXTEENTH
"""Nobody here lays a larger fillet; a shop rule [m]."""
STANDARD_SAFETY: Final = 1.67
"""What the allowable strengths of AISC 360 divide yield by [-]; the rulebook's safeties are held against it."""


@dataclass(frozen=True, kw_only=True, eq=False)
class JointCheck:
    """A joint, one way in which it may give, under every load case.

    Attributes:
        place: The joint, as the drawing names it.
        family: Joints like it, as "web to bottom angle"; findings tell the worst of each.
        kind: What sort of joint.
        way: How it would give, as "throat of the weld".
        cases: The load cases.
        demand: What it carries for the reference force of each case, (c,) [N or N/m].
        allowed: What it may carry, (c,) [N or N/m].
        use: Share of its strength used for the reference force, (c,); demand over allowed unless two demands meet [-].
        quantity: What demand and allowed are.
        basis: What it rests on.
        band: Least and greatest of the use as factors on it by case, where something assumed decides, (c, 2) [-].
        leg: Leg of the fillet whose throat decides [m]; None where something else does.
    """

    place: str
    family: str
    kind: Kind
    way: str
    cases: tuple[LoadCase, ...]
    demand: Floats
    allowed: Floats
    use: Floats
    quantity: Quantity
    basis: Basis
    band: Floats | None = None
    leg: float | None = None

    def number(self, case: str) -> int:
        """Number of a case by its name.

        Args:
            case: Name of the case.

        Raises:
            NotFoundError: There is no such case.
        """
        for at, known in enumerate(self.cases):
            if known.name == case:
                return at
        raise NotFoundError("no such load case", value=case, way_out="One of: " + "; ".join(c.name for c in self.cases))

    def per_newton(self, case: str) -> float:
        """Share used for each newton of a case [per N]; of a case that does not scale, for all of it.

        Args:
            case: Name of the case.
        """
        at = self.number(case)
        return float(self.use[at]) / self.cases[at].reference

    def capacity(self, case: str) -> float:
        """Force of a case that uses the joint up; infinite where the case does not load it [N].

        Args:
            case: Name of the case.
        """
        share = self.per_newton(case)
        return 1.0 / share if share > 0.0 else float("inf")

    def worst(self, forces: Mapping[str, float]) -> tuple[str, float]:
        """The case that uses most of it under given forces, and the share used.

        Args:
            forces: Force by name of the case [N]; cases that are not in it are left out.

        Raises:
            NotFoundError: None of the cases is in it.
        """
        numbers, use = {case.name: at for at, case in enumerate(self.cases)}, self.use.tolist()
        used: dict[str, float] = {}
        for case, force in forces.items():
            at = numbers[case] if case in numbers else self.number(case)
            used[case] = use[at] / self.cases[at].reference * force
        if not used:
            raise NotFoundError(f"{self.place}: no force is given for any load case", way_out="Give at least one.")
        case = max(used, key=lambda name: used[name])
        return case, used[case]

    def finding(self, forces: Mapping[str, float], ground: str) -> Finding:
        """The check for given forces: its worst case with numbers.

        A band holds when its far end holds, fails when its likely value fails, and is near the limit between.

        Args:
            forces: Force by name of the case [N].
            ground: What the forces rest on, in a few words, as "0.27 of the carrier's weight".
        """
        case, used = self.worst(forces)
        at, force = self.number(case), forces[case]
        times = force / self.cases[at].reference
        value, allowed = (_say(x, self.quantity) for x in (float(self.demand[at]) * times, float(self.allowed[at])))
        low, high = self._band(at)
        least, likely, most = (f"{used * factor * 100:.0f}" for factor in (low, 1.0, high))
        spread = f"{least} to {most} %, likely {likely} %" if high > low else f"{likely} %"
        load = self.cases[at].title + (f" at {units.say(force, 'force')}" if self.cases[at].scales else "")
        inputs = {**self.basis.inputs, "load case": self.cases[at].title, "force rests on": ground}
        return Finding(
            title=f"{self.family}: {self.way}",
            sentence=f"{self.way} {value} under {load}, allowed {allowed}: {spread} of it used" + self._help(used),
            value=value,
            limit=f"at most {allowed}",
            margin=_margin(used),
            verdict=_verdict(used, used * high),
            basis=Basis(kind=self.basis.kind, formula=self.basis.formula, inputs=inputs, source=self.basis.source),
            place=self.place,
            used=used,
        )

    def _help(self, used: float) -> str:
        """The leg that would hold, where a throat does not."""
        if self.leg is None or used <= 1.0:
            return ""
        leg = ceil(self.leg * used / SIXTEENTH - 1e-9) * SIXTEENTH
        if leg > LARGEST_LEG:
            return "; no leg would do: it needs longer seams, or more of them"
        return f"; a leg of {units.tape(leg)} would hold"

    def _band(self, at: int) -> tuple[float, float]:
        """Factors on the use of a case, by its number."""
        return (1.0, 1.0) if self.band is None else (float(self.band[at, 0]), float(self.band[at, 1]))


@dataclass(frozen=True, slots=True, kw_only=True)
class Unchecked:
    """Joints of which nothing can be said.

    Attributes:
        place: The joints.
        because: Why, starting in lower case.
    """

    place: str
    because: str

    def finding(self) -> Finding:
        """The same as a finding."""
        basis = Basis(kind="shop rule", formula="a joint is checked where the model works out what goes through it")
        return not_checked(title=self.place, because=self.because, basis=basis, place=self.place)


def strength_settings(blade: Blade) -> Strength:
    """The rulebook's strength settings.

    Args:
        blade: The blade.

    Raises:
        ModelError: The rulebook has no strength.toml.
    """
    found = blade.rulebook.strength
    if found is None:
        raise ModelError(
            "this rulebook has no strength.toml, so its joints cannot be held against anything",
            where=str(blade.rulebook.folder),
            way_out="Put a strength.toml beside series.toml.",
        )
    return found


def easing(blade: Blade, cases: Sequence[LoadCase]) -> Floats:
    """Factor on the standards' allowable strengths in each case: 1.67 over the rulebook's safety, (c,) [-].

    Args:
        blade: The blade.
        cases: The load cases.
    """
    safety = strength_settings(blade).safety
    return np.array(
        [STANDARD_SAFETY / (safety.strike if case.kind == "strike" else safety.daily).value for case in cases]
    )


def safety_said(blade: Blade) -> str:
    """The safety in words, for a basis."""
    safety = strength_settings(blade).safety
    return f"{safety.daily.said('-')} daily, {safety.strike.said('-')} for strikes, of yield; rupture in proportion"


def family(*names: str) -> str:
    """Joints like this one, in a few words: numbers and sides left out.

    Args:
        names: Ids of the parts.
    """
    return " to ".join(re.sub(r"\s+(?:\d+|left|right|upper|lower)\b", "", name) for name in names)


def worst_of_each(checks: Iterable[JointCheck], forces: Mapping[str, float], ground: str) -> tuple[Finding, ...]:
    """For each family of joints and way of giving, the finding of the one that is used most.

    Args:
        checks: The checks.
        forces: Force by name of the case [N].
        ground: What the forces rest on.
    """
    found: dict[tuple[str, str], tuple[float, JointCheck]] = {}
    for check in checks:
        used = check.worst(forces)[1]
        key = (check.family, check.way)
        if key not in found or used > found[key][0] * (1 + 1e-9):
            found[key] = (used, check)
    return tuple(check.finding(forces, ground) for _, check in found.values())


def first_to_give(checks: Iterable[JointCheck], case: str) -> JointCheck:
    """The joint that a rising force of one case uses up first.

    Args:
        checks: The checks.
        case: Name of the case.

    Raises:
        NotFoundError: There are no checks.
    """
    rows = list(checks)
    if not rows:
        raise NotFoundError("no joint of this blade is checked", way_out="Work the blade out at level 2.")
    return min(rows, key=lambda check: check.capacity(case))


def _verdict(likely: float, far: float) -> Verdict:
    found, worst = verdict_of(likely), verdict_of(far)
    return found if found == "fails" else "near limit" if worst == "fails" else worst


def _margin(used: float) -> str:
    left = 1.0 - used
    return f"{left * 100:.0f} % left" if left >= 0 else f"{-left * 100:.0f} % over"


def _say(value: float, quantity: Quantity) -> str:
    return units.say(value, "force" if quantity == "force" else "spring_rate")
