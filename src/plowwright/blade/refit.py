"""An existing blade for another carrier: what to keep, change, buy and check, and whether it then suits and moves."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Final

from plowwright.blade import refit_lists, refit_rules
from plowwright.blade.build import Build, Level, work_out
from plowwright.blade.carriers import Carrier
from plowwright.blade.moving.results import Swinging
from plowwright.blade.plumbing.results import Plumbing
from plowwright.blade.refit_lever import lever_note
from plowwright.blade.refit_machine import on_machine
from plowwright.blade.refit_rows import Compared, RefitRow, compare
from plowwright.blade.spec import CARRIER_KINDS, CarrierKind, Side, Spec
from plowwright.blade.suit.results import Suit
from plowwright.errors import EntryError, SpecError
from plowwright.findings import Basis, Finding, Verdict, not_checked
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.refusals import near_names

WORSE: Final[tuple[Verdict, ...]] = ("holds", "not checked", "near limit", "fails")
"""Verdicts from the best to the worst."""
CHANGES: Final = ("mount", "hoses", "outlets", "extras")
"""What can be asked for otherwise than the carrier would have it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """Something known of one blade beside what it was built as.

    Attributes:
        what: What it is about, as "restrictors" or "edge".
        said: What is known.
        source: Where it comes from, as "test card" or "told".
        on: Day it was learned.
    """

    what: str
    said: str
    source: str
    on: date

    @property
    def line(self) -> str:
        """In one line, with its source."""
        return f"{self.what}: {self.said} ({self.source}, {self.on.isoformat()})"


@dataclass(frozen=True, kw_only=True)
class Existing:
    """A blade that was built.

    Attributes:
        serial: Its serial number, or what the shop calls it.
        spec: What it was built as.
        rulebook: The rules it was built by.
        carrier: The machine it was on, or None where nobody knows.
        carrier_name: What that machine is called, or "".
        built: Day it left the shop, or None.
        customer: Who brings it, or "".
        known: What else is known of it.
        note: Whatever else was said.
    """

    serial: str
    spec: Spec
    rulebook: Rulebook
    carrier: Carrier | None = None
    carrier_name: str = ""
    built: date | None = None
    customer: str = ""
    known: tuple[Known, ...] = ()
    note: str = ""


@dataclass(frozen=True, kw_only=True, eq=False)
class Refit:
    """A blade on its way to another carrier.

    Attributes:
        existing: The blade as it was built.
        carrier: The machine it goes to.
        rulebook: Its old rules for what stays, today's for the rest.
        today: The rules in force.
        old: The blade as it is, by its own rules.
        new: The blade as it will be, held against the new carrier.
        compared: Parts against parts.
        keep: What stays as it is.
        change: What is turned over, moved, made or taken off.
        buy: What is bought.
        check: What is measured, looked over, set and asked.
        lever_note: Which way the lever now works, and what to cross.
        suit: Whether it suits the new carrier, or None where the rules have no suit.toml.
        swinging: How it moves there, or None where they have no swing.toml.
        plumbing: How it is plumbed there, or None where they have no plumbing.toml or do not know its hoses.
        swinging_before: How it moved on the old one, likewise.
        findings: Every check on the new carrier.
        before: Every check on the old one, by the same settings; empty where that machine is not known.
    """

    existing: Existing
    carrier: Carrier
    rulebook: Rulebook
    today: Rulebook
    old: Build
    new: Build
    compared: Compared
    keep: tuple[RefitRow, ...]
    change: tuple[RefitRow, ...]
    buy: tuple[RefitRow, ...]
    check: tuple[RefitRow, ...]
    lever_note: str
    suit: Suit | None
    swinging: Swinging | None
    plumbing: Plumbing | None
    swinging_before: Swinging | None
    findings: tuple[Finding, ...]
    before: tuple[Finding, ...]

    def was(self, finding: Finding) -> Verdict | None:
        """How the same check came out on the old machine; None where it was not made there.

        Args:
            finding: A check on the new one.
        """
        return next(
            (old.verdict for old in self.before if (old.place, old.title) == (finding.place, finding.title)), None
        )

    def worse(self, finding: Finding) -> bool:
        """Whether a check comes out worse than on the old machine.

        Args:
            finding: A check on the new one.
        """
        was = self.was(finding)
        return was is not None and WORSE.index(finding.verdict) > WORSE.index(was)

    @property
    def rows(self) -> tuple[RefitRow, ...]:
        """All four lists in their order."""
        return (*self.keep, *self.change, *self.buy, *self.check)


def refit(
    existing: Existing,
    carrier: Carrier,
    rulebook: Rulebook,
    *,
    changes: Mapping[str, str] | None = None,
    level: Level = 2,
) -> Refit:
    """Work a refit out.

    Args:
        existing: The blade as it was built, with its own rules.
        carrier: The machine it goes to.
        rulebook: The rules in force today.
        changes: What is wished otherwise than the carrier would have it: mount, hoses, outlets, extras (with commas).
        level: How deep the strength of the new build is looked at.

    Raises:
        EntryError: The kind of carrier is not known, or there is nothing such to change.
        SpecError: No mount couples to this kind, or the choices clash.
        RulebookError: The old rules and today's do not go together.
        ModelError: The rules do not give a blade that can be built.
    """
    standing = _standing(existing)
    rules = refit_rules.both(existing.rulebook, rulebook, standing.series, standing.width)
    wanted = _wanted(standing, carrier, rulebook, rules, changes or {})
    old = work_out(standing, existing.rulebook, existing.carrier, level=0)
    after = on_machine(work_out(wanted, rules, carrier, level=0), carrier, level=level)
    # By today's settings, so that both machines are judged alike.
    judged = replace(old, rulebook=refit_rules.judged(existing.rulebook, rulebook))
    before = on_machine(judged, existing.carrier, level=level if existing.carrier else 0)
    new, compared = after.build, compare(old, after.build)
    case = refit_lists.Case(
        carrier=carrier, today=rulebook, old=old, new=new, compared=compared, before=before, after=after,
        known=tuple((one.what, one.line) for one in existing.known),
    )  # fmt: skip
    return Refit(
        existing=existing,
        carrier=carrier,
        rulebook=rules,
        today=rulebook,
        old=old,
        new=new,
        compared=compared,
        keep=refit_lists.keep(case),
        change=refit_lists.change(case),
        buy=refit_lists.buy(case),
        check=refit_lists.check(case),
        lever_note=lever_note(before, after, existing.carrier_name, carrier.name),
        suit=after.suit,
        swinging=after.swinging,
        plumbing=after.plumbing,
        swinging_before=before.swinging,
        findings=(_worn(existing), *after.findings),
        before=before.findings if existing.carrier else (),
    )


def _standing(existing: Existing) -> Spec:
    """What it was built as, without what was only for the day: packing, rush, a second colour."""
    extras = existing.rulebook.options.get("extras", {})
    lasting = tuple(
        key
        for key in existing.spec.extras
        if key not in extras or any(added.place != "packing" for added in extras[key].adds)
    )
    return replace(existing.spec, extras=lasting)


def _wanted(standing: Spec, carrier: Carrier, today: Rulebook, rules: Rulebook, changes: Mapping[str, str]) -> Spec:
    for name in changes:
        if name not in CHANGES:
            raise EntryError(
                "a refit cannot change this", value=name, limit=", ".join(CHANGES), way_out=near_names(name, CHANGES)
            )
    kind = _kind(carrier)
    mount = changes.get("mount") or _mount(standing, kind, today)
    outlets = changes.get("outlets") or _outlets(carrier, standing.outlets)
    if outlets not in ("left", "right"):
        raise EntryError("outlets are left or right, seen from the seat", value=outlets, way_out="Write left or right.")
    side: Side = "left" if outlets == "left" else "right"
    hoses = changes.get("hoses") or _hoses(carrier, standing.hoses, rules)
    extras = standing.extras
    if "extras" in changes:
        extras = tuple(key.strip() for key in changes["extras"].split(",") if key.strip())
    return replace(standing, mount=mount, carrier_kind=kind, hoses=hoses, outlets=side, extras=extras)


def _kind(carrier: Carrier) -> CarrierKind:
    for kind in CARRIER_KINDS:
        if kind == carrier.kind:
            return kind
    raise EntryError(
        "what kind of machine it goes to is not known",
        value=carrier.name,
        limit=", ".join(CARRIER_KINDS),
        way_out="Ask, and write kind in its carrier file.",
    )


def _mount(standing: Spec, kind: CarrierKind, today: Rulebook) -> str:
    serving = [key for key, mount in today.mounts.items() if kind in mount.carriers]
    if standing.mount in serving:
        return standing.mount
    if serving:
        return serving[0]
    served = sorted({served for mount in today.mounts.values() for served in mount.carriers})
    raise SpecError(
        f"no mount couples to a {kind}",
        value=kind,
        limit=f"mounts serve: {', '.join(served)}",
        way_out="Write a mount for it into mounts.toml, measured on the machine.",
        where="mounts.toml",
    )


def _outlets(carrier: Carrier, otherwise: str) -> str:
    fact = carrier.known("outlets")
    return otherwise if fact is None else fact.text


def _hoses(carrier: Carrier, otherwise: str, rules: Rulebook) -> str:
    """The hoses whose couplers the machine has; the customer's own stay his own, no hoses stay none."""
    fact, offered = carrier.known("couplers"), rules.options.get("hoses", {})
    if fact is None or otherwise in ("none", "hoses-only"):
        return otherwise
    return next((key for key in offered if key in fact.text), otherwise)


def _worn(existing: Existing) -> Finding:
    built = "a day nobody wrote down" if existing.built is None else existing.built.isoformat()
    return not_checked(
        title="wear of this blade",
        because=(
            f"nobody has measured it since it left the shop on {built}; every other check takes it as new. "
            "Go through the check list first"
        ),
        basis=Basis(
            kind="common practice",
            formula="a worn pin, edge or seam takes less than a new one; measured first, then judged",
            inputs={"what is known": "; ".join(one.line for one in existing.known) or "nothing"},
        ),
        place=existing.serial,
    )
