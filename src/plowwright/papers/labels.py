"""Labels: one for each body of a blade, for its edge and its box, and for every drop that goes back to the rack."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from plowwright import units
from plowwright.papers import qr
from plowwright.papers.content import Paper, Sheet
from plowwright.papers.elevations import System
from plowwright.rulebook.schema import Shop
from plowwright.shop.cutting_model import CutPlan

BOX: Final = "box of bought parts"
BODIES: Final = ("moldboard", "push frame", "hub and mount", "cutting edge", BOX)


_LATER: Final = "_" * 16
"""Written in by hand when the blade is stamped."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """One label.

    Attributes:
        big: What is read from across the shop: the order number or the drop's tag.
        what: What it is stuck to.
        lines: The rest.
        link: What its QR code opens.
    """

    big: str
    what: str
    lines: tuple[str, ...]
    link: str


def of_blade(sheet: Sheet, *, serial: str = "") -> tuple[Label, ...]:
    """Labels of one blade; the box of bought parts travels with it, so it says which blade it belongs to.

    Args:
        sheet: The blade, its order and the units.
        serial: The blade's serial number, "" where it has none yet.
    """
    build = sheet.build
    lines = (
        f"{build.name}, {build.series.duty_class}, {units.counted(build.series.notches, 'notch', 'notches')}",
        f"build {build.fingerprint}",
    )
    extra = {
        "moldboard": f"skin {build.datum.series.moldboard.skin}",
        "push frame": f"legs {build.datum.row.leg}",
        "hub and mount": build.datum.mount.name,
        "cutting edge": f"{build.datum.edge.edge}, {sheet.length(build.spec.width)}",
        BOX: build.datum.cylinder.cylinder,
    }
    return tuple(
        Label(big=sheet.number or build.fingerprint, what=body, link=sheet.link(),
              lines=(*lines, extra[body], *([f"serial {serial or _LATER}"] if body == BOX else [])))
        for body in BODIES
    )  # fmt: skip


def of_drops(plan: CutPlan, shop: Shop, system: System) -> tuple[Label, ...]:
    """A label for every drop that is kept.

    Args:
        plan: The cut plan.
        shop: Whose rack it is.
        system: Units on it.
    """
    return tuple(
        Label(
            big=c.drop_tag,
            what=c.stick.stock,
            lines=(units.say(c.drop, "length", system=system), "rack; measure before you cut"),
            link=f"{shop.address_on_network.rstrip('/')}/cutting",
        )
        for c in plan.sticks
        if c.kept
    )


def labels(found: Sequence[Label], *, shop: Shop, paper: str) -> Paper:
    """A sheet of labels, two across and five down.

    Args:
        found: The labels.
        shop: Who sticks them on.
        paper: Sheet size as typst names it.
    """
    codes = {f"code{at}": qr.svg(one.link) for at, one in enumerate(found)}
    rows: list[dict[str, Any]] = [
        {"big": one.big, "what": one.what, "lines": list(one.lines), "code": f"code{at}"}
        for at, one in enumerate(found)
    ]
    return Paper(
        template="labels.typ",
        data={"paper": paper, "shop": shop.name, "labels": rows, "title": "labels"},
        pictures=codes,
    )
