"""Forces at the edge at which frame, pins and mount give, read off a strength model for the order of giving."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from plowwright.blade.giving_inputs import Limits, Place
from plowwright.blade.loads import spot, stance
from plowwright.blade.spans import Span
from plowwright.blade.strength.analysis_results import Analysis
from plowwright.blade.strength.joint_checks import JointCheck
from plowwright.blade.strength.joints import JointChecks
from plowwright.blade.strength.plan import Role

FRAME_ROLES: tuple[Role, ...] = ("frame", "hub")
"""Members of the push frame and of what holds it to the mount."""
FRAME: tuple[Role, ...] = ("frame",)
"""Members of the push frame alone, with hinge and towers."""
HUB: tuple[Role, ...] = ("hub",)
"""King pin, hub, oscillation and cylinder arm."""


def cases_at(place: Place) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Names of the straight strikes at a place of the edge: along the ground, and with uplift.

    Args:
        place: corner or centre.
    """
    shares = (-1.0, 1.0) if place == "corner" else (0.0,)
    plain = tuple(f"strike {spot(share)}, {stance(0.0)}" for share in shares)
    return plain, tuple(f"{name} with uplift" for name in plain)


def limits(analysis: Analysis, joints: JointChecks, place: Place, *, plastic: Analysis | None = None) -> Limits:
    """What gives at a place of the edge, and at which force.

    The likely value is that of the weaker side for a strike along the ground; the band runs from the worst of these
    with uplift to the stronger side.

    Args:
        analysis: The blade under all its load cases.
        joints: Its joints.
        place: corner or centre.
        plastic: A level 1 analysis to work the collapse out with, or None to leave it out.
    """
    plain, lifted = cases_at(place)
    # Strikes at full angle are looked at where they are hardest, at the corners.
    swung = [c.name for c in analysis.cases if c.kind == "strike" and c.angle and "uplift" not in c.name]
    angled = tuple(swung) if place == "corner" else ()

    def span(force: Callable[[str], float]) -> Span | None:
        return _span([force(case) for case in plain], [force(case) for case in lifted])

    weakest, hub_weakest, angled_weakest = (
        min(cases, key=lambda case: analysis.first_yield(case, roles).force)
        for cases, roles in ((plain, FRAME), (plain, HUB), (angled or plain, FRAME_ROLES))
    )
    return Limits(
        first_yield=span(lambda case: analysis.first_yield(case, FRAME).force),
        yields=analysis.first_yield(weakest, FRAME).part,
        angled=_span([analysis.first_yield(case, FRAME_ROLES).force for case in angled], []),
        angled_yields=analysis.first_yield(angled_weakest, FRAME_ROLES).part,
        plastic=None if plastic is None else _collapse(plastic, weakest),
        hinge_pins=span(_least(joints.checks, _is_hinge)),
        hub=span(lambda case: analysis.first_yield(case, HUB).force),
        hub_yields=analysis.first_yield(hub_weakest, HUB).part,
        king_pin=span(_least(joints.checks, _is_king_or_cylinder)),
        mount=span(_least(joints.checks, _is_mount)),
    )


def _collapse(analysis: Analysis, case: str) -> Span | None:
    force = analysis.collapse(case, FRAME).force
    return Span.sure(force) if force < float("inf") else None


def _span(plain: Sequence[float], lifted: Sequence[float]) -> Span | None:
    finite = [force for force in plain if force < float("inf")]
    if not finite:
        return None
    likely = min(finite)
    return Span(low=min((likely, *lifted)), likely=likely, high=max(finite))


def _least(checks: Sequence[JointCheck], wanted: Callable[[JointCheck], bool]) -> Callable[[str], float]:
    rows = [check for check in checks if wanted(check)]
    return lambda case: min((check.capacity(case) for check in rows), default=float("inf"))


def _is_hinge(check: JointCheck) -> bool:
    return check.kind in ("pin", "lug") and check.place.startswith("hinge")


def _is_king_or_cylinder(check: JointCheck) -> bool:
    return check.kind in ("pin", "lug") and check.place.startswith(("king pin", "cylinder"))


def _is_mount(check: JointCheck) -> bool:
    return "mount plate" in check.place or check.place.startswith("oscillation")
