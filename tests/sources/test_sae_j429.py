"""Strengths of bolt grades, and the loads they give.

Source: SAE J429 and ASTM A307, A325, A449, A490 as tabulated in Shigley and Mischke, 5th edition.
"""

from __future__ import annotations

import pytest

from plowwright.errors import ModelError
from plowwright.physics.bolts import coarse_pitch, grade, proof_load, tensile_area
from plowwright.units.constants import INCH, LBF, PSI

KSI = 1000 * PSI
STRENGTHS = [
    ("grade 2", 0.5, 55, 57, 74), ("grade 5", 0.5, 85, 92, 120), ("grade 5", 1.0, 85, 92, 120),
    ("grade 5", 1.25, 74, 81, 105), ("grade 8", 0.75, 120, 130, 150),
]  # fmt: skip


@pytest.mark.parametrize(("name", "size", "proof", "first", "tensile"), STRENGTHS)
def test_a_grade_has_the_standards_strengths(
    name: str, size: float, proof: float, first: float, tensile: float
) -> None:
    found = grade(name, size * INCH)
    given = (found.proof / KSI, found.yield_strength / KSI, found.tensile / KSI)
    assert given == pytest.approx((proof, first, tensile))


@pytest.mark.parametrize(
    ("name", "proof", "tensile"),
    [("A307", 33, 60), ("A325", 85, 120), ("A449", 85, 120), ("A490", 120, 150)],
)
def test_the_structural_bolts_have_the_tables_strengths(name: str, proof: float, tensile: float) -> None:
    found = grade(name, 0.75 * INCH)
    assert (found.proof / KSI, found.tensile / KSI) == pytest.approx((proof, tensile))


@pytest.mark.parametrize(
    ("size", "name", "proof", "tensile"),
    [(0.5, "grade 5", 12061, 17028), (0.625, "grade 5", 19210, 27120), (0.75, "grade 8", 40135, 50169)],
)
def test_a_bolt_bears_its_proof_and_tensile_load(size: float, name: str, proof: float, tensile: float) -> None:
    d, g = size * INCH, grade(name, size * INCH)
    assert proof_load(d, coarse_pitch(d), g.proof) / LBF == pytest.approx(proof, rel=0.003)
    assert g.tensile * tensile_area(d, coarse_pitch(d)) / LBF == pytest.approx(tensile, rel=0.003)


def test_a_grade_nobody_sells_is_refused_with_those_there_are() -> None:
    with pytest.raises(
        ModelError, match=r"no such bolt grade \(given: grade 6\)\. There are: grade 2, grade 5, grade 8"
    ):
        grade("grade 6", 0.5 * INCH)
    with pytest.raises(
        ModelError, match=r"grade 2 bolts are not made in this size \(given: 1 in\); limit: 1/4 in to 3/4 in"
    ):
        grade("grade 2", INCH)
