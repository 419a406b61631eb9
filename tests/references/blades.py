"""Blades of a rulebook by series and width, for the tests of strength."""

from __future__ import annotations

from plowwright.blade.build import Build, work_out
from plowwright.blade.spec import Spec
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH


def built(rules: Rulebook, series: str, width: float, outlets: str = "left") -> Build:
    spec = Spec(
        series=series,
        width=width * INCH,
        mount="loader",
        carrier_kind="skid steer",
        hoses="flat-face",
        outlets=outlets,  # type: ignore[arg-type]
    )
    return work_out(spec, rules, level=0)
