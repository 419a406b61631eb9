"""The four lists of a refit with their reasons: keep, change, buy, check."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from plowwright import units
from plowwright.blade.build import Build, work_out
from plowwright.blade.carrier_facts import NAMES
from plowwright.blade.carriers import Carrier
from plowwright.blade.parts import Part
from plowwright.blade.refit_machine import OnMachine
from plowwright.blade.refit_rows import WELDED, Compared, RefitRow, alike, row_of
from plowwright.blade.refit_rules import known_today, superseded
from plowwright.errors import PlowwrightError
from plowwright.rulebook.reading import Rulebook

CYLINDER = ("angle cylinder", "valve block")
"""Marks of what goes over to the other side with the cylinder's base."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Case:
    """What the reasons are made of.

    Attributes:
        carrier: The new machine.
        today: The rules in force.
        old: The blade as it is.
        new: The blade as it will be.
        compared: Parts against parts.
        before: The blade on its old machine.
        after: The blade on the new one.
        known: What is known of the blade: what it is about, and the line that says it.
    """

    carrier: Carrier
    today: Rulebook
    old: Build
    new: Build
    compared: Compared
    before: OnMachine
    after: OnMachine
    known: tuple[tuple[str, str], ...]

    def about(self, what: str) -> str:
        """What is known about one thing, in words, or "".

        Args:
            what: What it is about.
        """
        return "; ".join(line for name, line in self.known if name == what)


def keep(case: Case) -> tuple[RefitRow, ...]:
    """What stays as it is, and the restrictors, which are the blade's own.

    Args:
        case: The refit.
    """
    built = f"as built by the rules of {case.old.rulebook.version.date.isoformat()}"
    rows: list[RefitRow] = []
    for group in alike(case.compared.kept):
        instead = superseded(group[0].stock, case.today)
        why = f"{built}; {_still(instead)}" if instead else built
        rows.append(row_of(group, sort="keep", act="keep", why=why, instead=instead))
    return (*rows, *_restrictors(case))


def change(case: Case) -> tuple[RefitRow, ...]:
    """What is made, turned over, moved and taken off.

    Args:
        case: The refit.
    """
    found = case.compared
    made = [row_of(group, sort="change", act="make", why=_why_made(case, group[0])) for group in alike(found.made)]
    moved = [_moved(case, group) for group in alike(after for _, after in found.moved)]
    return (*made, *moved, *_off(case))


def buy(case: Case) -> tuple[RefitRow, ...]:
    """What is bought; a part that is no longer made is bought as what took its place.

    Args:
        case: The refit.
    """
    rows: list[RefitRow] = []
    for group in alike(case.compared.bought):
        instead = superseded(group[0].stock, case.today)
        why = _why_bought(case, group[0])
        if instead:
            why = f"{why}; {group[0].stock} is no longer bought, {instead} takes its place"
        rows.append(row_of(group, sort="buy", act="buy", why=why, instead=instead))
    return (*rows, *_reach(case))


def check(case: Case) -> tuple[RefitRow, ...]:
    """What is measured on the machine, looked over on the blade, set and asked.

    Args:
        case: The refit.
    """
    since = {row.part: row for row in _since(case)}
    asks = [_with(row, since.pop(row.part, None)) for row in _asks(case)]
    return (*_measures(case), *_settings(case), *since.values(), *asks, *_unlisted(case), *_questions(case))


def _with(row: RefitRow, other: RefitRow | None) -> RefitRow:
    """Two reasons to look at one part in one row."""
    return row if other is None else replace(row, why=f"{row.why}. {other.why}", stock=other.stock)


def _still(instead: str) -> str:
    return f"superseded: it stays while it is sound, then {instead}"


def _restrictors(case: Case) -> Iterator[RefitRow]:
    known = case.about("restrictors").removeprefix("restrictors: ")
    drill = "" if case.after.swinging is None else f"drill {case.after.swinging.fitted.drill.text} by today's sizing; "
    said = known or "nothing is written of the pair it left with"
    yield RefitRow(
        sort="keep",
        act="keep",
        part="restrictors",
        why=(
            f"a property of the blade, sized for any pump, not for the machine: {drill}{said}. They stay behind "
            "the relief, seen from the cylinder; the pair in a new hose set goes on the shelf"
        ),
        count=2,
    )


def _why_made(case: Case, part: Part) -> str:
    mount, was = case.new.datum.mount, case.old.datum.mount
    if part.mark == "mount plate" and mount.name == was.name:
        return f"the {mount.name} is made otherwise now"
    if part.mark == "mount plate":
        return f"{mount.name} instead of {was.name}: {case.carrier.name} is a {case.carrier.kind}"
    if part.body == WELDED and part.mark not in {p.mark for p in case.old.parts}:
        return f"part of the {mount.name}"
    if part.body == WELDED:
        return "welded to the plate; the old mount stays whole"
    if part.group == "springs":
        return _springs(case)
    return "by the choices for the new machine"


def _springs(case: Case) -> str:
    now, was = case.new.datum.springs.count, case.old.datum.springs.count
    return (
        f"{case.new.series.name} has {now} springs on a {case.new.spec.carrier_kind}, {was} on a "
        f"{case.old.spec.carrier_kind}"
    )


def _why_bought(case: Case, part: Part) -> str:
    if part.group == "springs":
        return _springs(case)
    if part.group == "hoses":
        fact = case.carrier.known("couplers")
        asked = f": {case.carrier.name} has {fact.text}" if fact else ""
        return f"{case.new.spec.hoses} instead of {case.old.spec.hoses}{asked}{_cut(case)}"
    return "chosen with the refit"


def _moved(case: Case, group: tuple[Part, ...]) -> RefitRow:
    part, side = group[0], case.new.spec.outlets
    instead = superseded(part.stock, case.today)
    if part.mark == "angle cylinder":
        why = (
            f"outlets are on the {side}, so is its base; brackets and lugs are on both sides, nothing is welded or cut"
        )
        return row_of(group, sort="change", act="turn over", why=why, instead=instead)
    if part.mark == "valve block":
        why = f"to the {side}, beside the cylinder's base"
        why = f"{why}; {_still(instead)}" if instead else why
        return row_of(group, sort="change", act="move", why=why, instead=instead)
    welded = part.kind != "bought" and part.group == "springs"
    why = f"{_springs(case)}; the old one may stay where it is" if welded else "sits at another place now"
    return row_of(group, sort="change", act="move", why=why, instead=instead)


def _off(case: Case) -> Iterator[RefitRow]:
    mount = [part for part in case.compared.gone if part.body == WELDED]
    if mount:
        name, kind = case.old.datum.mount.name, case.old.spec.carrier_kind
        yield RefitRow(
            sort="change", act="take off", part="old mount", stock=f"{name}, whole", count=1,
            why=f"all that is welded to it stays on; tagged: the customer's own, serves again on a {kind}",
            mass=sum(part.mass() for part in mount), ids=tuple(part.id for part in mount),
        )  # fmt: skip
    for group in alike(part for part in case.compared.gone if part.body != WELDED):
        why = _springs(case) if group[0].group == "springs" else "does not fit the new machine"
        if group[0].group == "springs" and group[0].kind != "bought":
            why += "; welded on, it may stay where it is, unused"
        if group[0].group == "hoses":
            why = "drained, plugged, back to the customer with the mount"
        yield row_of(group, sort="change", act="take off", why=why)


def _measures(case: Case) -> Iterator[RefitRow]:
    mount = case.new.datum.mount
    new_plate = any(part.mark == "mount plate" for part in case.compared.made)
    if mount.by_drawing and new_plate:
        sizes = [f"plate {units.say(mount.width, 'length')} by {units.say(mount.height, 'length')}"]
        if mount.pin_diameter:
            sizes.append(f"pins {units.say(mount.pin_diameter, 'length')}")
        if mount.lug_spread:
            sizes.append(f"lugs {units.say(mount.lug_spread, 'length')} over all")
        yield RefitRow(
            sort="check", act="measure", part=mount.name,
            why=f"cut to the machine's own measures, never to a photo; drawn with {', '.join(sizes)}",
        )  # fmt: skip
    others = [m.name for m in case.today.mounts.values() if case.carrier.kind in m.carriers and m.name != mount.name]
    if new_plate and others:
        yield RefitRow(
            sort="check", act="ask", part="mount",
            why=f"a {case.carrier.kind} may carry a {' or a '.join(others)} instead: a photo of what its arms end in",
        )  # fmt: skip
    couplers = case.carrier.known("couplers")
    if couplers is None and case.new.spec.hoses != "none":
        yield RefitRow(
            sort="check", act="ask", part="couplers",
            why=f"standard, size and sex of {case.carrier.name}'s couplers are not known: a photo of both halves",
        )  # fmt: skip
    elif couplers is not None and case.new.spec.hoses != "none":
        yield RefitRow(
            sort="check", act="ask", part="couplers",
            why=f"{couplers.text} ({couplers.source}): which half is on the machine, how many pairs; a photo first",
        )  # fmt: skip
    if case.carrier.known("outlets") is None:
        yield RefitRow(
            sort="check", act="ask", part="outlets",
            why=f"which side is not known; taken as {case.new.spec.outlets}, as before",
        )  # fmt: skip


def _settings(case: Case) -> Iterator[RefitRow]:
    swing = case.after.swinging
    if swing is not None and swing.relief is not None:
        judged = next((f for f in swing.findings if f.title == "relief setting"), None)
        said = f"left the shop set to {units.say(swing.relief.setting, 'pressure')}: read it on the test pack"
        told = judged.sentence.removeprefix("relief setting: ") if judged else ""
        yield RefitRow(sort="check", act="set", part="crossover relief", why=f"{said}. On {case.carrier.name}: {told}")
    row, preload = case.new.datum.springs, case.new.series.tower.preload
    yield RefitRow(
        sort="check", act="set", part="trip springs", count=row.count,
        why=f"preload {units.say(preload, 'length')} each, eyebolts locked; trip it by the hoist and see it come back",
    )  # fmt: skip


def _since(case: Case) -> Iterator[RefitRow]:
    """What the shop has built otherwise since: it had a reason, and this blade is older than that."""
    try:
        today = work_out(case.new.spec, case.today, level=0)
    except PlowwrightError:
        return  # no longer offered like this, so nothing to compare with
    now = {part.mark: part for part in today.parts}
    kept = [*case.compared.kept, *(after for _, after in case.compared.moved)]
    for part in {part.mark: part for part in kept}.values():
        other = now.get(part.mark)
        # A bought part that took another's place is said where the part stands.
        if other and other.stock != part.stock and superseded(part.stock, case.today) != other.stock:
            yield RefitRow(
                sort="check", act="look over", part=part.mark, stock=part.stock,
                why=f"{part.stock} here, {other.stock} on new ones: look why",
            )  # fmt: skip
    layout, holes = case.new.datum.layout.positions, today.datum.layout.positions
    if len(layout) != len(holes) or any(abs(a - b) > 1e-4 for a, b in zip(layout, holes, strict=True)):
        yield RefitRow(
            sort="check", act="look over", part="edge holes",
            why=(
                f"first hole {units.say(layout[0], 'length')} from the end, {units.say(holes[0], 'length')} on new"
                " ones: a spare edge of today does not fit"
            ),
        )  # fmt: skip


def _asks(case: Case) -> Iterator[RefitRow]:
    settings = case.today.refit
    for ask in settings.asks if settings else ():
        known = case.about(ask.part)
        why = ask.ask
        if ask.part == "king pin" and settings:
            why += f"; over {units.say(settings.pin_play.value, 'length')} pin and bores are renewed"
        if known:
            why += f". On file: {known.removeprefix(f'{ask.part}: ')}"
        yield RefitRow(sort="check", act="look over", part=ask.part, why=why)


def _unlisted(case: Case) -> Iterator[RefitRow]:
    for group in alike(part for part in case.compared.new if not known_today(part.stock, case.today)):
        yield RefitRow(
            sort="check", act="ask", part=group[0].mark, stock=group[0].stock,
            why=f"{group[0].stock} is not in today's lists: who has it, and at what price",
        )  # fmt: skip


def _questions(case: Case) -> Iterator[RefitRow]:
    """What nobody has told of the machine, most important first."""
    suit, swing = case.after.suit, case.after.swinging
    missing = dict.fromkeys((*(suit.missing if suit else ()), *(swing.missing if swing else ())))
    if missing:
        yield RefitRow(
            sort="check", act="ask", part=case.carrier.name,
            why=f"not known of it: {', '.join(NAMES[name].noun if name in NAMES else name for name in missing)}",
        )  # fmt: skip
    if suit is not None and suit.ballast is not None:
        yield RefitRow(sort="check", act="set", part="ballast", why=suit.ballast.finding.sentence)


def _reach(case: Case) -> Iterator[RefitRow]:
    """Hoses of a set that stays, where they no longer reach: the longest serves where the longest is asked for."""
    was, now = case.before.plumbing, case.after.plumbing
    if was is None or now is None or not any(part.group == "hoses" for part in case.compared.kept):
        return
    have = sorted(was.hoses, key=lambda hose: -hose.cut_length)
    want = sorted(now.hoses, key=lambda hose: -hose.cut_length)
    for old, new in zip(have, want, strict=False):
        if old.cut_length < new.longest or old.size != new.size:
            yield RefitRow(
                sort="buy", act="buy", part=new.name, stock=new.size, count=1, length=new.cut_length,
                why=f"{units.say(old.cut_length, 'length')} does not reach {units.say(new.longest, 'length')} now",
            )  # fmt: skip


def _cut(case: Case) -> str:
    """Cut lengths of a new hose set, or ""."""
    plumbing = case.after.plumbing
    if plumbing is None or not plumbing.hoses:
        return ""
    return "; cut " + ", ".join(f"{h.name} {units.say(h.cut_length, 'length')}" for h in plumbing.hoses)
