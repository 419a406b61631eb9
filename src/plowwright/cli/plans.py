"""Commands at the saw and the plate table: how a released plan stands, what is cut or spoilt, what is laid back."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from typing import Annotated, Any, Final

import typer

from plowwright import units
from plowwright.cli.common import Demo, Json, Key, Records, Rules, Who, app, desk_of, hand_of, say
from plowwright.desk.acting import Hand
from plowwright.desk.cuts_kept import CutInHand, CutsKept
from plowwright.desk.desk import Desk
from plowwright.desk.nests_kept import NestInHand, NestsKept
from plowwright.desk.plans_called_off import Off
from plowwright.desk.plans_kept import Sort, Version, done_before, ready
from plowwright.errors import EntryError

Plan = Annotated[int | None, typer.Argument(help="Number of the plan; left out, the plans that are open.", min=1)]
Cut = Annotated[list[str] | None, typer.Option("--cut", help="Tag that is cut well; may be given again.")]
NotCut = Annotated[list[str] | None, typer.Option("--not-cut", help="Tag whose tick was a slip; may be given again.")]
LayBack = Annotated[bool, typer.Option("--lay-back", help="Lay back what an order called off leaves uncut.")]
_ONE_THING: Final = "Ticks, a mishap and laying back are three commands; give one of them."


@app.command()
def saw(
    plan: Plan = None,
    cut: Cut = None,
    not_cut: NotCut = None,
    stick: Annotated[list[int] | None, typer.Option("--stick", help="Stick all of which is cut.")] = None,
    miscut: Annotated[list[str] | None, typer.Option("--miscut", help="Tag of a spoilt piece.")] = None,
    bent: Annotated[list[int] | None, typer.Option("--bent", help="Number of a bent stick.")] = None,
    lay_back: LayBack = False,
    who: Who = "",
    key: Key = "",
    records: Records = None,
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Tell how a released cut plan stands; tick what is cut; plan the rest again after a mishap; lay sticks back."""
    kept = CutsKept(desk_of(rulebook, demo=demo, records=records))
    ticks, mishap = bool(cut or not_cut or stick) and not (miscut or bent), bool(miscut or bent)
    if not _acts(plan, ticks=ticks, mishap=mishap, lay_back=lay_back):
        _shown([kept.at(plan)] if plan else kept.open(), _of_cut, "cut plan", whole=bool(plan), as_json=as_json)
        return
    number, hand = plan or 0, hand_of(who, key)
    if lay_back:
        _told(kept.lay_back(hand, number), as_json=as_json)
    elif mishap:
        if not_cut or stick:
            raise EntryError("a mishap is said with --cut, --miscut and --bent alone", way_out=_ONE_THING)
        _told(kept.mend(hand, number, cut=cut or (), miscut=miscut or (), bent=bent or ()), as_json=as_json)
    else:
        _told(kept.tick(hand, number, cut=cut or (), not_cut=not_cut or (), whole=stick or ()), as_json=as_json)


@app.command()
def table(
    plan: Plan = None,
    cut: Cut = None,
    not_cut: NotCut = None,
    sheet: Annotated[list[int] | None, typer.Option("--sheet", help="Sheet all of which is cut.")] = None,
    lay_back: LayBack = False,
    who: Who = "",
    key: Key = "",
    records: Records = None,
    rulebook: Rules = None,
    demo: Demo = False,
    as_json: Json = False,
) -> None:
    """Tell how a released nest stands at the plate table; tick what is cut; lay sheets back."""
    kept = NestsKept(desk_of(rulebook, demo=demo, records=records))
    if not _acts(plan, ticks=bool(cut or not_cut or sheet), mishap=False, lay_back=lay_back):
        _shown([kept.at(plan)] if plan else kept.open(), _of_nest, "nest", whole=bool(plan), as_json=as_json)
        return
    number, hand = plan or 0, hand_of(who, key)
    if lay_back:
        _told(kept.lay_back(hand, number), as_json=as_json)
    else:
        _told(kept.tick(hand, number, cut=cut or (), not_cut=not_cut or (), whole=sheet or ()), as_json=as_json)


def released(answer: dict[str, Any], command: str) -> list[str]:
    """What is said of a plan that was released.

    Args:
        answer: What the records answered.
        command: The command that tells how it stands.
    """
    return [f"{answer['said']}.", f"How it stands: plowwright {command} {answer['plan']}."]


def _acts(plan: int | None, *, ticks: bool, mishap: bool, lay_back: bool) -> bool:
    wanted = ticks + mishap + lay_back
    if wanted > 1:
        raise EntryError("more than one thing is said at once", way_out=_ONE_THING)
    if wanted and plan is None:
        raise EntryError("the plan is not said", where="PLAN", way_out="Its number stands on its sheet.")
    return bool(wanted)


def _told(answer: dict[str, Any], *, as_json: bool) -> None:
    say(answer, [f"{answer['said']}."], as_json=as_json)


def _of_cut(held: CutInHand) -> tuple[Version, Off, int, list[tuple[int, str, list[str]]]]:
    rows = [(s.number, s.stick.in_words(), [p.piece.tag for p in s.placed]) for s in held.week.plan.sticks]
    return held.version, held.off, held.left, rows


def _of_nest(held: NestInHand) -> tuple[Version, Off, int, list[tuple[int, str, list[str]]]]:
    rows = [(s.number, s.sheet.in_words(), [p.outline.tag for p in s.placed]) for s in held.nests.plan.sheets]
    return held.version, held.off, held.left, rows


def _shown(
    plans: Iterable[Any],
    of: Callable[[Any], tuple[Version, Off, int, list[tuple[int, str, list[str]]]]],
    name: str,
    *,
    whole: bool,
    as_json: bool,
) -> None:
    answers: list[dict[str, Any]] = []
    lines: list[str] = []
    bar = "stick" if name == "cut plan" else "sheet"
    for held in plans:
        version, off, left, rows = of(held)
        pieces = sum(len(tags) for _, _, tags in rows)
        answers.append({
            "plan": version.number, "orders": list(version.orders), "released_by": version.who, "left": left,
            "pieces": pieces, "cut": sorted(version.ticked), "called_off": list(off.orders),
            f"{bar}s": [
                {"number": number, "what": what, "tags": tags, "state": _state(number, version, off)}
                for number, what, tags in rows
            ],
        })  # fmt: skip
        lines.append(
            f"{name} {version.number} for {', '.join(version.orders)}: {len(version.ticked)} of "
            f"{units.counted(pieces, 'piece')} cut, {units.counted(left, bar)} to cut from."
        )
        lines += [f"{off.in_words}."] if off.in_words else []
        if whole:
            lines += [
                f"{bar} {number}, {what}, {_state(number, version, off)}: {_tags(tags, version.ticked)}"
                for number, what, tags in rows
            ]
    words = lines or [f"No {name} is open."]
    say(answers[0] if whole else {"plans": answers}, words, as_json=as_json)


def _state(number: int, version: Version, off: Off) -> str:
    if number in version.laid_back:
        return "laid back"
    if number in version.done:
        return "done"
    if number in off.waiting:
        return "to lay back"
    if number in off.idle:
        return "not to be cut"
    return "to cut" if number in version.fetched else "not here yet"


def _tags(tags: Collection[str], ticked: Collection[str]) -> str:
    return "  ".join(f"{tag} (cut)" if tag in ticked else tag for tag in tags)


def ready_or_done(
    desk: Desk, by: Hand, sort: Sort, orders: Collection[str], asked: Mapping[str, Any], *, as_json: bool
) -> list[str] | None:
    """Orders a release is planned for; None where the same command was done before, which is then said.

    Args:
        desk: The shop.
        by: Who releases, and by which key.
        sort: Cut plan or nest.
        orders: Numbers of the orders; none for all that are ready.
        asked: What the plan is asked for by.
        as_json: Whether a machine asked.

    Raises:
        EntryError: An order may not be cut, or nothing is ready.
    """
    command, shows = ("release a cut plan", "saw") if sort == "cut" else ("release a nest", "table")
    before = done_before(desk, by, command, asked)
    if before is None:
        return list(ready(desk, sort, orders))
    say(before, released(before, shows), as_json=as_json)
    return None


def hand_for(*, release: bool, who: str, key: str, lists: bool) -> Hand | None:
    """Who releases a plan that is made now; None where it is only planned.

    Args:
        release: Whether it is to be released.
        who: Who does it.
        key: The key, or "".
        lists: Whether it is made from lists and not from orders.

    Raises:
        EntryError: A plan of lists is no plan of the records, or nobody is named.
    """
    if not release:
        return None
    if lists:
        raise EntryError("only a plan of orders is released", where="--release",
                         way_out="Leave the lists out; the open orders are then planned.")  # fmt: skip
    return hand_of(who, key)
