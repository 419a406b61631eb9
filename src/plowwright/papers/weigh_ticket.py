"""The weigh ticket: what the scale said against what it should have, the stop, and what to measure first."""

from __future__ import annotations

from typing import Any, Final

from plowwright import units
from plowwright.papers import finding_rows
from plowwright.papers.content import DISCLAIMER, Paper, Sheet
from plowwright.papers.dock_sheet import about
from plowwright.shop.dock_ticket import WeighTicket

_CLEARED: Final = 3
"""So many causes stay on a ticket that was cleared [-]."""
_SAID: Final = {
    "holds": "The scale agrees with the build.",
    "stopped": "It is not loaded until somebody has measured it, or knows why.",
    "explained": "It was off, and somebody has measured it or knows why.",
}


def weigh_ticket(sheet: Sheet, ticket: WeighTicket) -> Paper:
    """The ticket of one blade.

    Args:
        sheet: The blade, its order and the units.
        ticket: As it was kept.
    """
    weighed = ticket.weighed
    finding = weighed.finding
    # Once it is cleared the causes are only the record of what was thought of.
    listed = ticket.shown[:_CLEARED] if ticket.cleared else ticket.shown
    likely = {cause.said for cause in ticket.shown}
    sign = "+" if weighed.difference >= 0 else "-"
    row = finding_rows.row(
        finding, name="Found against predicted", bar="bar", below="allowed: a share of the mass, or the least band"
    )
    off, band = abs(weighed.difference), weighed.allowed
    # The ticket was kept in the words of its day; the paper says its numbers in its own units.
    row |= {
        "value": f"{sheet.mass(off)} {'heavier' if weighed.difference > 0 else 'lighter'}",
        "limit": f"at most {sheet.mass(band)} either way",
        "margin": f"{sheet.mass(abs(band - off))} {'over' if finding.verdict == 'fails' else 'left'}",
    }
    data: dict[str, Any] = {
        "head": sheet.head("Weigh ticket", about(sheet, ticket.serial)),
        "verdict": ticket.verdict,
        "said": _SAID[ticket.verdict],
        "numbers": [
            ["On the scale", _both(weighed.found, sheet)],
            ["Predicted", _both(weighed.predicted, sheet)],
            ["Difference", f"{sign}{sheet.mass(abs(weighed.difference))}"],
            ["Let through", f"{sheet.mass(weighed.allowed)} either way"],
        ],
        "from": [
            ["Worked-out build", sheet.mass(ticket.build)],
            ["Oil in the cylinder", sheet.mass(ticket.oil)],
            ["Learned from earlier tickets", sheet.mass(ticket.learned)],
            ["Predicted", sheet.mass(weighed.predicted)],
        ],
        "learned": _learned(ticket, sheet),
        "finding": row,
        "causes": [
            [f"{100 * c.chance:.0f}", f"{c.said[:1].upper()}{c.said[1:]}", _change(c.change, sheet), c.look]
            for c in listed
        ],
        "looked": ", ".join(ticket.looked),
        "unseen": [one.said for one in weighed.unseen if one.said not in likely],
        "cleared": ticket.cleared.replace(". measured", ". Measured"),
        "signed": [
            ["Cleared by" if ticket.cleared else "Weighed by", ticket.by],
            ["When", f"{ticket.at:%a %d %b %Y, %H:%M}"],
        ],
        "disclaimer": DISCLAIMER,
    }
    return Paper(template="weigh-ticket.typ", data=data, pictures={"bar": finding_rows.bar(finding)})


def _both(value: float, sheet: Sheet) -> str:
    """To the tenth, so that the difference is the one a reader works out."""
    pair = (f"{units.pounds(value):,.1f} lb", f"{value:,.1f} kg")
    first, second = pair if sheet.system == "us" else pair[::-1]
    return f"{first} ({second})"


def _learned(ticket: WeighTicket, sheet: Sheet) -> str:
    if sheet.system == "us":
        return f"{ticket.learned_said[:1].upper()}{ticket.learned_said[1:]}."
    if not ticket.taught_by:
        return "No earlier ticket has taught anything yet."
    return f"{units.counted(ticket.taught_by, 'earlier ticket')} taught what is added."


def _change(change: float | None, sheet: Sheet) -> str:
    if change is None:
        return "any"
    return f"{'+' if change >= 0 else '-'}{sheet.mass(abs(change))}"
