"""Width curves of a series, and what a trial does to its margin."""

from __future__ import annotations

from dataclasses import replace

from plowwright.blade.evidence import Evidence, WidthPoint
from plowwright.blade.spans import Span
from plowwright.papers import evidence
from plowwright.papers.marks import Group, Label, walk
from plowwright.units.constants import INCH, LBF


def lb(low: float, high: float) -> Span:
    return Span(low=low * LBF, likely=(low + high) / 2 * LBF, high=high * LBF)


def point(width: float, first: float) -> WidthPoint:
    return WidthPoint(
        width=width * INCH, first_yield=first * LBF, yields="leg right", plastic=1.3 * first * LBF,
        hub=2000 * LBF, relief=lb(1000, 1500), trip=lb(300, 400),
    )  # fmt: skip


RULED = Evidence(
    series="reed", name="Reed", limit=72 * INCH, points=tuple(point(w, 1600 - 10 * w) for w in range(48, 97, 6)),
    strikes={"K1, 2,000 lb": lb(400, 800), "K9, 9,000 lb": lb(1700, 3300)}, sentences=("said",),
)  # fmt: skip
WIDER = replace(RULED, limit=84 * INCH, on_trial="leg = tube 3 x 3 x 1/4")


def texts(page) -> list[str]:
    return [m.text for m in walk(page.marks) if isinstance(m, Label)]


def test_curves_limit_and_strikes_are_named() -> None:
    found = texts(evidence.width_curves(RULED, width=180))
    assert {"frame first yields", "frame folds up", "hub first yields", "relief lifts", "trip, new edge"} <= set(found)
    assert {"limit of the rules", "strike of K1, 2,000 lb", "strike of K9, 9,000 lb", "width, in", "72"} <= set(found)


def test_a_trial_shows_both_limits_and_the_curve_as_ruled() -> None:
    found = texts(evidence.width_curves(WIDER, width=180, ruled=RULED))
    assert {"limit on trial", "limit of the rules", "first yield as ruled"} <= set(found)


def test_a_series_without_a_relief_has_no_curve_of_it() -> None:
    bare = replace(RULED, points=tuple(replace(p, relief=None) for p in RULED.points))
    curves = [m.title for m in evidence.width_curves(bare, width=180).marks if isinstance(m, Group)]
    assert "relief lifts" not in curves and "frame first yields" in curves


def test_metric_axes_read_metres_and_kilonewtons() -> None:
    found = texts(evidence.width_curves(RULED, width=180, system="metric"))
    assert {"width, m", "strike at the corner, kN", "1.5"} <= set(found)


def test_the_file_is_a_picture_with_its_name() -> None:
    said = evidence.as_svg(WIDER, ruled=RULED).decode()
    assert said.lstrip().startswith("<?xml") or "<svg" in said
    assert "Reed: corner strength over width, leg = tube 3 x 3 x 1/4 on trial" in said


def test_a_margin_disappears_grows_or_stays_short_and_is_said_so() -> None:
    # As ruled 880 lbf at 72 in, on trial 760 lbf at 84 in; the likely strikes are 600 and 2,500 lbf.
    said = evidence.compared(RULED, WIDER)
    assert "880 lbf at 72 in by the rules in force, 760 lbf at 84 in on trial" in said[0]
    assert said[1].endswith("the margin goes from 280 lbf to 160 lbf.")
    assert "were short" in said[2]
    middle = replace(RULED, strikes={"K5": lb(800, 840)})
    assert "the margin of 60 lbf disappears, 60 lbf are short" in evidence.compared(
        middle, replace(middle, limit=84 * INCH)
    )[1]
    assert "60 lbf were short, a margin of 60 lbf appears" in evidence.compared(
        replace(middle, limit=84 * INCH), middle
    )[1]
