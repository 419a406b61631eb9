"""Does it suit this machine: every limit of the carrier and the work, and one honest sentence about them."""

from __future__ import annotations

from collections import Counter
from typing import Final

from plowwright.blade.build import Build
from plowwright.blade.carrier_facts import NAMES
from plowwright.blade.carriers import Carrier
from plowwright.blade.suit.axles import axles_of
from plowwright.blade.suit.judging import PLACE
from plowwright.blade.suit.lifting_checks import lift_checks
from plowwright.blade.suit.places import kind_of, places_of, reach_of
from plowwright.blade.suit.results import Check, Suit, Verdict
from plowwright.blade.suit.snowing import envelopes_of, snow_check
from plowwright.blade.suit.widths import widths_of
from plowwright.blade.work import UNTOLD, Work
from plowwright.findings import Basis, Finding, not_checked

LOADS: Final = ("lift", "operating", "turn", "front_axle")
"""Checks without any of which nothing can be told."""


def suits(build: Build, carrier: Carrier, work: Work = UNTOLD) -> Suit | None:
    """Hold a blade against a carrier and the work; None where the rulebook has no suit.toml.

    Args:
        build: The blade, worked out at any level.
        carrier: The machine, as far as it is known.
        work: What is done with it, as far as it was told.
    """
    rulebook = build.rulebook
    settings = rulebook.suit
    if settings is None:
        return None
    reach = reach_of(build, carrier, settings)
    axled = axles_of(build, carrier, reach, settings)
    widths, width_checks = widths_of(build, carrier, work, settings)
    checks = (
        _couples(build, carrier),
        *lift_checks(build, carrier, reach, settings),
        *axled.checks,
        *width_checks,
        snow_check(build, carrier, work, settings, rulebook),
    )
    verdict = verdict_on(checks)
    return Suit(
        build=build,
        carrier=carrier,
        work=work,
        checks=checks,
        axles=axled.shown,
        ballast=axled.ballast,
        widths=widths,
        envelopes=envelopes_of(build, carrier, work, settings, rulebook),
        places=places_of(build, carrier, settings),
        findings=tuple(c.finding for c in checks),
        missing=missing_of(checks),
        verdict=verdict,
        sentence=sentence_of(build, carrier, checks, verdict),
    )


def without_settings() -> Finding:
    """What is said where the rulebook has no suit.toml."""
    return not_checked(
        title="carrier",
        because="this rulebook has no suit.toml: copy the one of a newer rulebook beside series.toml",
        basis=Basis(kind="assumed", formula="settings of suit.toml"),
        place=PLACE,
    )


def _couples(build: Build, carrier: Carrier) -> Check:
    """Whether the mount couples to this kind of carrier."""
    mount, kind = build.datum.mount, kind_of(build, carrier)
    couples = kind in mount.carriers
    said = f"{mount.name} {'couples' if couples else 'does not couple'} to a {kind}"
    by_drawing = " once its pins and spread are measured" if couples and mount.by_drawing else ""
    finding = Finding(
        title="mount",
        sentence=f"mount: the {said}{by_drawing}",
        value=kind,
        limit=" or ".join(mount.carriers),
        margin="",
        verdict="holds" if couples else "fails",
        basis=Basis(
            kind="shop rule", formula="the mount's list of carriers", source=f"mounts.toml, {build.spec.mount}"
        ),
        place=PLACE,
    )
    return Check(key="mount", title="mount", value=None, limit=None, kind="word", used=None, facts=("kind",),
                 finding=finding)  # fmt: skip


_FIRST: Final = ("mount", "front_axle", "lift", "operating", "turn")


def _rank(check: Check) -> int:
    """What is said first of several limits that are broken."""
    return _FIRST.index(check.key) if check.key in _FIRST else len(_FIRST)


def verdict_on(checks: tuple[Check, ...]) -> Verdict:
    """Whether a blade suits, by the limits that bind.

    Args:
        checks: Every limit.
    """
    binding = [c for c in checks if c.binds]
    if any(c.finding.verdict == "fails" for c in binding):
        return "does not suit"
    loads = [c for c in binding if c.key in LOADS]
    if all(c.used is None for c in loads):
        return "cannot be told"
    return "would suit if" if any(c.finding.verdict == "not checked" for c in binding) else "suits"


def missing_of(checks: tuple[Check, ...]) -> tuple[str, ...]:
    """Facts nobody has told, those that block most limits first.

    Args:
        checks: Every limit.
    """
    counts: Counter[str] = Counter()
    for check in checks:
        if check.used is None and check.finding.verdict == "not checked":
            counts.update({name: 10 if check.binds else 1 for name in check.facts if name in NAMES})
    return tuple(name for name, _ in counts.most_common())


def sentence_of(build: Build, carrier: Carrier, checks: tuple[Check, ...], verdict: Verdict) -> str:
    """The answer in a sentence, with the limit that bites.

    Args:
        build: The blade.
        carrier: The machine.
        checks: Every limit.
        verdict: What it came to.
    """
    name = carrier.name or "this machine"
    binding = [c for c in checks if c.binds]
    if verdict == "does not suit":
        failing = sorted((c for c in binding if c.finding.verdict == "fails"), key=_rank)
        others = ", ".join(dict.fromkeys(c.title.partition(",")[0] for c in failing[1:]))
        also = f" Over as well: {others}." if others else ""
        return f"{build.name} does not suit {name}: {failing[0].finding.sentence.rstrip('.')}.{also}"
    # With ballast the rear axle stands at its share by the ballast's own rule: that bites nobody.
    measured = [c for c in binding if c.used is not None and "ballast" not in c.title]
    if verdict == "cannot be told" or not measured:
        first = next((c for c in binding if c.used is None and c.finding.verdict == "not checked"), None)
        why = first.finding.sentence.rstrip(".") if first is not None else "nothing about its loads is known"
        return f"Whether {build.name} suits {name} cannot be told: {why}."
    bites = max(measured, key=lambda c: c.used.likely if c.used is not None else 0.0)
    used = bites.used.likely if bites.used is not None else 0.0
    if verdict == "would suit if":
        doubtful = next(c for c in binding if c.finding.verdict == "not checked")
        nearest = doubtful if bites.finding.verdict != "not checked" else bites
        over = nearest.used is not None and nearest.used.likely > 1.0
        hope = f"{name}, at the best end of what is known" if over else name
        return f"{build.name} may suit {hope}: {nearest.finding.sentence.rstrip('.')}."
    return f"{build.name} suits {name}; nearest its limit is {bites.title}, {100 * used:.0f} % used."
