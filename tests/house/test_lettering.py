"""The shipped letters have every sign the trade writes, and figures that stand in columns."""

from __future__ import annotations

import pytest
from fontTools.ttLib import TTFont

from tests.house.reading import SOURCE

FONTS = SOURCE / "papers" / "fonts"
FACES = {"Regular": 400, "Italic": 400, "Semibold": 600, "Bold": 700}
SIGNS = "°×±–—′″≤≥Ø½¼¾⅛⅜⅝⅞⁄√²³µ·→←↑↓−≈"


@pytest.mark.parametrize("face", FACES)
def test_every_face_has_the_signs_of_the_trade(face: str) -> None:
    with TTFont(FONTS / f"SourceSans3-{face}.ttf") as font:
        known = font.getBestCmap()
    assert not [sign for sign in SIGNS if ord(sign) not in known]


@pytest.mark.parametrize("face", FACES)
def test_figures_are_all_of_one_width_so_that_columns_line_up(face: str) -> None:
    with TTFont(FONTS / f"SourceSans3-{face}.ttf") as font:
        known, widths = font.getBestCmap(), font["hmtx"].metrics
        assert len({widths[known[ord(figure)]][0] for figure in "0123456789"}) == 1


@pytest.mark.parametrize(("face", "weight"), FACES.items())
def test_every_face_belongs_to_one_family_and_says_its_weight(face: str, weight: int) -> None:
    with TTFont(FONTS / f"SourceSans3-{face}.ttf") as font:
        family = font["name"].getDebugName(16) or font["name"].getDebugName(1)
        assert (family, font["OS/2"].usWeightClass) == ("Source Sans 3", weight)


def test_the_licence_lies_beside_the_letters() -> None:
    assert "SIL OPEN FONT LICENSE" in (FONTS / "LICENSE-source-sans.md").read_text(encoding="utf-8").upper()
