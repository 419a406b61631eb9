"""What is said about a blade's plumbing: side, couplers, lengths, bends, lever, and what leaves with a bare blade."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from plowwright import units
from plowwright.blade.build import Build
from plowwright.blade.carriers import Carrier
from plowwright.blade.plumbing.coupling import Told
from plowwright.blade.plumbing.results import Coupler, Hose
from plowwright.findings import Basis, Finding, against_limit, not_checked
from plowwright.physics.circuits import Way
from plowwright.rulebook.plumbing import Plumbing

_SIDE: Final = "outlets"
_COUPLERS: Final = "couplers"
_HOSES: Final = "hoses"
PHOTO: Final = "Send a photo of the couplers with a tape across their face."


@dataclass(frozen=True, kw_only=True, eq=False)
class Judged:
    """What findings are made of.

    Attributes:
        build: The blade.
        carrier: The machine, or None.
        rules: plumbing.toml.
        hoses: Its hoses.
        couplers: Halves of both sides.
        told: What is known of the carrier's couplers.
        bare: Whether it leaves without hoses.
        crossed: Whether the hoses to the carrier cross.
        kind: Kind of carrier the outlets are taken from.
        radius: Least bend radius [m].
    """

    build: Build
    carrier: Carrier | None
    rules: Plumbing
    hoses: tuple[Hose, ...]
    couplers: tuple[Coupler, ...]
    told: Told | None
    bare: bool
    crossed: bool
    kind: str
    radius: float


def findings(on: Judged) -> tuple[Finding, ...]:
    """Everything checked about the plumbing.

    Args:
        on: The plumbing.
    """
    found = [_side(on)]
    if on.bare:
        return (*found, _bare(on))
    found.append(_coupling(on))
    if on.told and on.told.one_pair:
        found.append(_one_pair(on.told))
    for hose in on.hoses:
        # What the outlets' places leave open is said once for each hose to the carrier, bends included.
        found += [_length(on, hose)] if hose.carrier else [_length(on, hose), _bend(on, hose)]
    return (*found, _lever(on))


def lever_sense(on: Judged, ways: Mapping[Way, str]) -> str:
    """What the lever does, in words.

    Args:
        on: The plumbing.
        ways: Which end goes forward as the rod goes out and in.
    """
    casts, base = on.rules.lever.left_casts.value, on.build.spec.outlets
    end = "right" if casts == "left" else "left"
    out = ways["out"].split(" ", 1)[0]
    rod = "out" if out == end else "in"
    head = (
        f"Outlets {base}, cylinder base {base}, so the rod going out brings the {out} end forward. "
        f"Lever to the left is to bring the {end} end forward (snow goes {casts}): the rod goes {rod}"
    )
    if on.bare:
        return f"{head}; oil to the block's carrier {'A' if rod == 'out' else 'B'} does that."
    how = "hoses 1 and 2 cross at the block" if on.crossed else "hoses 1 and 2 go straight to the block"
    return (
        f"{head}, so {how}. A is the outlet that gets oil with the lever to the left. Works the lever the other way, "
        "swap the two hoses at the block: that swaps the lever's sense, not the times."
    )


def send(on: Judged) -> str:
    """What to send for the couplers, one sentence; "" where the hoses have none of ours.

    Args:
        on: The plumbing.
    """
    ours = [c for c in on.couplers if c.side == "blade"]
    if on.bare:
        return "No hoses and no couplers go with it: plugs in every port."
    if not ours:
        return "No couplers go with it: both loose ends capped."
    return f"On the hoses: {ours[0].family} {ours[0].size}, {ours[0].sex} on hose 1, {ours[1].sex} on hose 2."


def _side(on: Judged) -> Finding:
    wanted, title = on.build.spec.outlets, "outlet side"
    basis = Basis(
        kind="shop rule",
        formula="cylinder base and valve block go on the side of the carrier's outlets",
        inputs={"plumbed for": wanted},
    )
    fact = None if on.carrier is None else on.carrier.known("outlets")
    if fact is None:
        because = f"nobody said on which side the machine has its outlets; this blade is plumbed {wanted}: ask"
        return not_checked(title=title, because=because, basis=basis, place=_SIDE)
    fits = fact.text in (wanted, "both")
    if fits and not fact.certain:
        because = f"{fact.said()}; would hold if that is so: have it confirmed from the seat"
        return not_checked(title=title, because=because, basis=basis, place=_SIDE)
    said = f"plumbed {wanted}, {fact.said()}"
    return Finding(
        title=title,
        sentence=f"{title}: {said}" + ("" if fits else f"; plumb it {fact.text}: base, block and hoses change side"),
        value=wanted,
        limit=fact.text,
        margin="",
        verdict="holds" if fits else "fails",
        basis=basis,
        place=_SIDE,
    )


def _coupling(on: Judged) -> Finding:
    ours, title, known = [c for c in on.couplers if c.side == "blade"], "couplers meet", on.told
    standard = Basis(
        kind="standard",
        formula="same standard, same body size, one half female and one male",
        source="ISO 16028 (flat-face), ISO 7241 (poppet, series A)",
    )
    if not ours:
        what = f"the machine has {known.fact.text}" if known else "nobody said what the machine has"
        because = f"the hoses end plain, the couplers are the customer's own ({what})"
        return not_checked(title=title, because=because, basis=standard, place=_COUPLERS)
    sort = f"{ours[0].family} {ours[0].size}"
    if known is None:
        because = f"nobody said what couplers the machine has; the hoses get {sort}. {PHOTO}"
        return not_checked(title=title, because=because, basis=standard, place=_COUPLERS)
    meet = known.family == ours[0].family and known.size == ours[0].size and not known.series_b
    if known.family is None or (not known.size and known.family == ours[0].family):
        what = "which family" if known.family is None else "which size"
        because = f"'{known.fact.text}' does not say {what} they are; the hoses get {sort}. {PHOTO}"
        return not_checked(title=title, because=because, basis=standard, place=_COUPLERS)
    if meet and not known.fact.certain:
        because = f"{known.fact.said()}: {sort} would meet if that is so. {PHOTO}"
        return not_checked(title=title, because=because, basis=standard, place=_COUPLERS)
    sentence = f"{title}: {sort} on the hoses, {known.fact.said()}"
    return Finding(
        title=title,
        sentence=sentence if meet else f"{sentence}; they do not couple. {_instead(on, known)}",
        value=sort,
        limit=known.fact.text,
        margin="",
        verdict="holds" if meet else "fails",
        basis=standard,
        place=_COUPLERS,
    )


def _instead(on: Judged, known: Told) -> str:
    """What to send where the halves do not couple."""
    photo = "" if known.fact.certain else f" {PHOTO}"
    if known.series_b:
        return f"Series B poppets are another shape: send hoses with plain ends, or the machine gets series A.{photo}"
    family = known.family or on.couplers[0].family
    sizes = on.rules.couplers[family].sizes.value if family in on.rules.couplers else []
    if known.size and known.size not in sizes:
        return f"We keep {', '.join(sizes) or 'none'} of {family}: send plain ends, or have {known.size} got in.{photo}"
    choice = next((key for key, ending in on.rules.ends.items() if ending == family), "")
    return f"Choose hoses = {choice or 'hoses-only'} and send {family} {known.size}".rstrip() + f".{photo}"


def _one_pair(known: Told) -> Finding:
    return not_checked(
        title="one pair of outlets",
        because=(
            f"the machine has a single pair ({known.fact.said()}): what else hangs on it nobody said. While the blade "
            "is coupled nothing else can be; a pair shared with the bucket needs a diverter, which we do not fit"
        ),
        basis=Basis(kind="common practice", formula="angling takes one pair of outlets of its own"),
        place=_COUPLERS,
    )


def _length(on: Judged, hose: Hose) -> Finding:
    slack = on.rules.slack
    wanted = max(slack.least.value, slack.share.value * hose.longest)
    title = f"length of {hose.name}"
    basis = Basis(
        kind="shop rule",
        formula="cut length = longest way over all poses + slack, up to the next step",
        inputs={
            "shortest way": _said(hose.shortest),
            "longest way": _said(hose.longest),
            "slack wanted": f"{slack.share.said('-')} of it, at least {slack.least.said('length')}",
            "poses": "full angle and oscillation" + (_carrier_poses(on) if hose.carrier else ""),
            "least bend radius": on.rules.hose.bend.said("length"),
        },
        source="own geometry, sampled over poses",
    )
    if hose.carrier:
        return _would_hold(on, title, hose, basis)
    return against_limit(
        hose.slack, wanted, kind="length", title=title, basis=basis, place=_HOSES, least=True, near=1.0,
        sentence=(
            f"{title}: cut to {_said(hose.cut_length)}, {_said(hose.slack)} over its longest way "
            f"({_said(hose.longest)} at full angle); wanted at least {_said(wanted)}"
        ),
    )  # fmt: skip


def _bend(on: Judged, hose: Hose) -> Finding:
    title = f"bends of {hose.name}"
    basis = Basis(
        kind="standard",
        formula="tightest bend over all poses at the cut length, at least the hose's least bend radius",
        inputs={"least bend radius": on.rules.hose.bend.said("length"), "hose": hose.size},
        source="SAE J517 (from memory); shape of the hose: own, one cubic curve from end to end",
    )
    return against_limit(
        hose.bend, on.radius, kind="length", title=title, basis=basis, place=_HOSES, least=True, near=1.0
    )


def _would_hold(on: Judged, title: str, hose: Hose, basis: Basis) -> Finding:
    place = on.rules.outlets_of(on.kind)
    wide = hose.bend >= on.radius
    bends = f"tightest bend {_said(hose.bend)}, allowed {_said(on.radius)}"
    because = (
        f"the outlets are where a {on.kind} usually has them, not measured. {_said(hose.cut_length)} would "
        f"{'hold' if wide else 'bend too tight'} if they sit {_said(place.behind.value)} behind the mount plate, "
        f"{_said(place.aside.value)} off the middle and {_said(place.height.value)} up: {_said(hose.slack)} over the "
        f"longest way, {bends}. Measure, or cut it on the machine"
    )
    return not_checked(title=title, because=because, basis=basis, place=_HOSES)


def _carrier_poses(on: Judged) -> str:
    place = on.rules.outlets_of(on.kind)
    tilt = f", tilt {_angle(place.back.value)} back to {_angle(place.dump.value)} dumped"
    if place.on.value == "arm":
        return f"{tilt}; outlets ride on the arm, so float and lift do not pull on them"
    return f"{tilt}, arm {_angle(place.down.value)} down in float to {_angle(place.up.value)} up"


def _lever(on: Judged) -> Finding:
    return not_checked(
        title="lever sense",
        because=(
            "which outlet gets oil with the lever to the left is only known once it is tried: try it with nobody near, "
            "and swap hoses 1 and 2 at the block where it goes the wrong way. This swaps the lever, not the times"
        ),
        basis=Basis(
            kind="common practice",
            formula="swapping both hoses swaps cap side and rod side for the lever; areas, restrictors, times stay",
            inputs={"hoses": "crossed at the block" if on.crossed else "straight"},
        ),
        place=_HOSES,
    )


def _bare(on: Judged) -> Finding:
    return not_checked(
        title="restrictors on a bare blade",
        because=(
            "restrictors come in the hose set and this blade has none. Whoever fits hoses fits both restrictors into "
            "the block's carrier ports first; with 17 gpm and more a blade without them slams and can injure"
        ),
        basis=Basis(
            kind="common practice",
            formula="no hoses without restrictors",
            inputs={"hoses": on.build.spec.hoses},
        ),
        place=_HOSES,
    )


def _said(length: float) -> str:
    return units.say(length, "length")


def _angle(angle: float) -> str:
    return units.say(angle, "angle")
