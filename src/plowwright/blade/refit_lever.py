"""Which way the lever works after a refit: the cylinder's base may have gone to the other side."""

from __future__ import annotations

from plowwright.blade.plumbing.results import Plumbing
from plowwright.blade.refit_machine import OnMachine


def lever_note(before: OnMachine, after: OnMachine, old_carrier: str, new_carrier: str) -> str:
    """What the lever does now against what it did, and which hoses to swap where that is wrong.

    Args:
        before: The blade on its old machine.
        after: The blade on the new one.
        old_carrier: What the old machine is called, or "".
        new_carrier: What the new one is called.
    """
    was, now, old = before.build.spec.outlets, after.build.spec.outlets, old_carrier or "the old machine"
    out_before = before.swinging.ways["out"] if before.swinging else ""
    out_after = after.swinging.ways["out"] if after.swinging else ""
    try_it = (
        f"Which lever position feeds which outlet is {new_carrier}'s own: first swing slowly, nobody near the blade's"
        " ends; if it goes the wrong way, swap the two carrier hoses at the valve block, never at the cylinder, and tag"
        " them."
    )
    if was == now:
        same = f": oil into its cap end still brings the {out_after}" if out_after else ""
        return f"The cylinder's base stays on the {now}{same}. Plumbed as before, the lever works as before. {try_it}"
    turned = f"The cylinder's base goes from the {was} to the {now}"
    if out_before and out_after:
        turned += (
            f": oil into its cap end brought the {out_before} on {old}, on {new_carrier} it brings the {out_after}"
        )
    return f"{turned}. {_hoses(before.plumbing, after.plumbing)} {try_it}"


def _hoses(before: Plumbing | None, after: Plumbing | None) -> str:
    """How the two carrier hoses run now, so that the lever keeps its sense."""
    if before is None or after is None or after.bare or before.crossed == after.crossed:
        return (
            "Plumbed cap to cap and rod to rod as before, the lever works the other way round: cross the two carrier"
            " hoses to keep the driver's habit."
        )
    ways = {True: "cross at the valve block", False: "go straight to the valve block"}
    return (
        f"Plumbed as before, the lever would work the other way round: so hoses 1 and 2 now {ways[after.crossed]}"
        f" (they did {'cross' if before.crossed else 'not cross'}), and the lever to the left still throws the snow to"
        " the same side."
    )
