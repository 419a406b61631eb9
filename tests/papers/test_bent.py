"""The blade bent by a strike."""

from __future__ import annotations

import re

import numpy as np
import pytest

from plowwright.errors import NotFoundError
from plowwright.papers import holding as parts
from plowwright.papers.bent import bent
from plowwright.papers.marks import Circle, Group, Label, Path, walk
from plowwright.shop.worked import Worked
from plowwright.units.constants import INCH, LBF


@pytest.fixture(scope="module")
def analysis(held: Worked):
    assert held.build.holding is not None
    return held.build.holding.analysis


CASE = "strike right corner, straight"


def texts(page) -> list[str]:
    return [m.text for m in walk(page.marks) if isinstance(m, Label)]


def test_it_says_how_many_times_too_far_it_is_bent_and_how_far_it_moves(analysis) -> None:
    page = bent(analysis, CASE, force=400 * LBF, width=160)
    said = next(t for t in texts(page) if "too far" in t)
    times, most = re.search(r"bent (\d+) times too far; the largest movement is ([\d.]+) in", said).groups()
    c = analysis.number(CASE)
    every = np.concatenate(
        [line.moved[c] for line in analysis.lines()] + [line.moved[c] for line in analysis.board.outlines]
    )
    assert float(most) == pytest.approx(np.linalg.norm(every, axis=1).max() * 400 * LBF / INCH, rel=0.01)
    assert int(times) >= 1


def test_twice_the_force_moves_twice_as_far(analysis) -> None:
    def most(force: float) -> float:
        page = bent(analysis, CASE, force=force, width=160)
        return float(re.search(r"([\d.]+) in", next(t for t in texts(page) if "Pale" in t)).group(1))

    assert most(400 * LBF) == pytest.approx(2 * most(200 * LBF), rel=0.02)


def test_the_three_parts_nearest_to_yield_are_named_with_their_share(analysis) -> None:
    page = bent(analysis, CASE, force=400 * LBF, width=160)
    named = [t for t in texts(page) if t.endswith("of yield") and ":" in t]
    assert len(named) == 3
    first = analysis.first_yield(CASE)
    assert named[0] == f"{first.part}: {400 * LBF / first.force * 100:.0f} % of yield"


@pytest.mark.parametrize("beside", [False, True])
@pytest.mark.parametrize("width", [104, 184])
def test_everything_stays_on_the_page_whatever_the_force(analysis, *, width: float, beside: bool) -> None:
    for force in (1.0, 400 * LBF, 20000 * LBF):
        page = bent(analysis, CASE, force=force, width=width, beside=beside)
        for mark in walk(page.marks):
            if isinstance(mark, Path):
                assert all(-4 <= x <= page.width + 4 and 0 <= y <= page.height for x, y, _ in mark.vertices)
            elif not isinstance(mark, Circle):
                assert 0 <= mark.y <= page.height


def test_parts_can_be_found_again_on_the_page(analysis, held: Worked) -> None:
    page = bent(analysis, CASE, force=400 * LBF, width=160)
    drawn = {m.part for m in page.marks if isinstance(m, Group) and m.part}
    assert {"leg left", "leg right", "hinge beam"} <= drawn & {part.id for part in held.build.parts}


def test_a_case_that_is_not_there_is_refused_with_those_that_are(analysis) -> None:
    with pytest.raises(NotFoundError, match="no such load case") as fault:
        bent(analysis, "strike at the moon", force=1.0, width=160)
    assert CASE in fault.value.way_out


def test_the_hardest_strikes_are_at_a_corner_straight_and_at_full_angle(held: Worked) -> None:
    holding = held.build.holding
    assert holding is not None
    straight, angled = (parts.hardest(holding, sort) for sort in ("straight", "angled"))
    assert "corner" in straight and "straight" in straight
    assert "corner" in angled and "end forward" in angled
