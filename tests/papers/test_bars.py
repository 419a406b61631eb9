"""Findings as bars against one limit line."""

from __future__ import annotations

import pytest

from plowwright.errors import EntryError
from plowwright.papers.bars import LIMIT_LINE, LIMIT_SHARE, bar, bar_svg, margin_bar
from plowwright.papers.drawing import Picture
from plowwright.papers.marks import Label, Path, walk


def drawn(ratio: float, verdict: str, sense: str = "at most") -> list[Path]:
    picture = Picture(100, 20)
    bar(picture, 0, 5, 100, ratio=ratio, verdict=verdict, sense=sense)  # type: ignore[arg-type]
    return [mark for mark in walk(picture.marks) if isinstance(mark, Path)]


def end_of_bar(paths: list[Path]) -> float:
    return max(x for x, _, _ in next(path for path in paths if path.closed).vertices)


@pytest.mark.parametrize(
    ("ratio", "verdict", "end"),
    [(0.5, "holds", 36.0), (1.0, "near limit", 72.0), (1.25, "fails", 90.0), (9.0, "fails", 100.0)],
)
def test_a_bar_stops_short_of_touches_or_passes_its_limit_line(
    ratio: float, verdict: str, end: float
) -> None:
    paths = drawn(ratio, verdict)
    assert end_of_bar(paths) == pytest.approx(end)
    (line,) = [path for path in paths if path.pen is LIMIT_LINE]
    assert line.vertices[0][0] == line.vertices[1][0] == 100 * LIMIT_SHARE


def test_each_verdict_has_a_shape_of_its_own_without_any_colour() -> None:
    shapes = set()
    for verdict in ("holds", "near limit", "fails", "not checked"):
        paths = drawn(0.9, verdict)
        body = next(path for path in paths if path.closed)
        shapes.add((body.fill, body.pen.dash if body.pen else (), len(paths)))
    assert len(shapes) == 4


def test_a_bar_that_runs_off_its_field_has_a_torn_end() -> None:
    assert len(next(path for path in drawn(2.0, "fails") if path.closed).vertices) == 6
    assert len(next(path for path in drawn(1.2, "fails") if path.closed).vertices) == 4


def test_the_strokes_on_the_limit_line_stand_where_the_value_must_not_be() -> None:
    for sense, side in (("at most", 1), ("at least", -1)):
        strokes = [p.vertices for p in drawn(0.5, "holds", sense) if p.vertices[0][0] == 72 and not p.closed]
        ends = {run[1][0] for run in strokes} - {72.0}
        assert all((end - 72) * side > 0 for end in ends) and ends


def test_value_limit_margin_and_verdict_stand_in_words_beside_the_bar() -> None:
    picture = Picture(180, 20)
    margin_bar(
        picture,
        5,
        5,
        70,
        name="Hinge pins",
        value=30,
        limit=50,
        value_text="30 ksi",
        limit_text="50 ksi",
        verdict="holds",
        margin_text="40 % left",
    )
    words = [mark.text for mark in walk(picture.marks) if isinstance(mark, Label)]
    assert words == ["Hinge pins", "holds, 40 % left", "30 ksi; at most 50 ksi"]


def test_a_finding_without_a_limit_is_refused() -> None:
    with pytest.raises(EntryError) as refused:
        margin_bar(
            Picture(180, 20), 5, 5, 70, name="Hinge pins", value=30, limit=0, value_text="", limit_text="",
            verdict="holds",
        )  # fmt: skip
    assert "the bar of 'Hinge pins' needs a limit to be measured against (given: 0)" in str(refused.value)


def test_a_fifth_verdict_is_refused_with_the_four_that_exist() -> None:
    with pytest.raises(EntryError, match="given: fine\\); limit: holds, near limit, fails, not checked"):
        bar_svg(name="pins", ratio=0.5, verdict="fine")  # type: ignore[arg-type]
