"""Verdicts and margins."""

from __future__ import annotations

import pytest

from plowwright.findings import Basis, against_limit, not_checked
from plowwright.units import LBF

RULE = Basis(kind="shop rule", formula="force below the frame's", inputs={"frame": "1,000 lb"})


@pytest.mark.parametrize(
    ("pounds", "verdict", "margin"),
    [(800, "holds", "200 lbf left"), (900, "holds", "100 lbf left"), (950, "near limit", "50 lbf left"),
     (1000, "near limit", "0 lbf left"), (1050, "fails", "50 lbf over")],
)  # fmt: skip
def test_a_force_is_held_against_the_most_it_may_be(pounds: float, verdict: str, margin: str) -> None:
    found = against_limit(pounds * LBF, 1000 * LBF, kind="force", title="corner strike", basis=RULE)
    assert (found.verdict, found.margin) == (verdict, margin)
    assert found.limit == "at most 1,000 lbf"
    assert found.used == pytest.approx(pounds / 1000)


def test_a_least_is_held_the_other_way_round() -> None:
    found = against_limit(0.75, 1.0, kind="-", least=True, title="safety", basis=RULE)
    assert (found.verdict, found.margin, found.limit) == ("fails", "0.25 short", "at least 1")


def test_what_is_not_checked_says_why() -> None:
    found = not_checked(title="lift", because="nobody read the plate", basis=RULE, place="K3")
    assert found.text == "K3: lift: not checked because nobody read the plate"
    assert found.as_dict()["used"] is None


def test_not_a_number_never_holds() -> None:
    assert against_limit(float("nan"), 1.0, kind="-", title="x", basis=RULE).verdict == "fails"
