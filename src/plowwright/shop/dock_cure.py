"""Whether a painted blade may be strapped: hours since the paint against the cure at the shop's temperature."""

from __future__ import annotations

from datetime import datetime, timedelta

from plowwright.findings import Basis, Finding, not_checked, verdict_of
from plowwright.units import say


def strap_from(painted: datetime, wait: float) -> datetime:
    """When a blade may be strapped, to the minute, rounded up.

    Args:
        painted: When its paint was done.
        wait: Time to strap at the shop's temperature [s].
    """
    at = painted + timedelta(seconds=wait)
    minute = at.replace(second=0, microsecond=0)
    return at if at == minute else minute + timedelta(minutes=1)


def strapping(
    painted: datetime | None, wait: float, now: datetime, *, temperature: float, source: str = "crew.toml, cure"
) -> Finding:
    """Hold the time since painting against the wait; the clock runs nights and weekends too.

    Args:
        painted: When the paint was done; None where nobody said.
        wait: Time to strap at that temperature [s].
        now: The shop's clock.
        temperature: Of the shop while it cured [degC].
        source: Where wait and temperature stand.
    """
    basis = Basis(
        kind="shop rule", formula="hours since the paint was done >= hours to strap, at the shop's temperature",
        inputs={"painted": f"{painted:%a %d %b %H:%M}" if painted else "not said",
                "shop": say(temperature, "temperature"), "to strap": _hours(wait)},
        source=source,
    )  # fmt: skip
    if painted is None:
        return not_checked(title="cure", because="nobody said when the paint was done", basis=basis)
    since = (now - painted).total_seconds()
    start = strap_from(painted, wait)
    cured = now >= start
    used = wait / since if since > 0 else float("inf")
    left = _hours(abs(since - wait))
    sentence = (
        f"the paint may be strapped since {start:%a %d %b %H:%M}"
        if cured
        else f"the paint is still curing: do not strap it before {start:%a %d %b %H:%M}"
    )
    return Finding(
        title="cure", sentence=sentence, value=_hours(max(since, 0.0)), limit=f"at least {_hours(wait)}",
        margin=f"{left} {'left' if cured else 'short'}", verdict=verdict_of(used, near=2.0) if cured else "fails",
        basis=basis, used=used if used != float("inf") else None,
    )  # fmt: skip


def _hours(seconds: float) -> str:
    return f"{seconds / 3600:.1f}".removesuffix(".0") + " h"
