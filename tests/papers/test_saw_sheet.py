"""The saw sheet: every piece once with its tag, to scale, mitres as they lie, boxes for all."""

from __future__ import annotations

import io
from collections import Counter
from datetime import date
from pathlib import Path

import pytest
from pypdf import PdfReader

from plowwright import rulebook
from plowwright.papers import content, pdf
from plowwright.papers.fonts import text_width
from plowwright.papers.marks import Label, walk
from plowwright.papers.marks import Path as Run
from plowwright.papers.saw_sheet import SawSheet, groups_of, mark_of, mitre_sketch, saw_sheet, stick_picture
from plowwright.rulebook.schema import Shop
from plowwright.shop.cutting import plan
from plowwright.shop.cutting_model import CutPlan, Mitre, Piece, RemnantRule, Stick
from plowwright.shop.replan import replan
from plowwright.units.constants import DEGREE, INCH

STOCK = "tube 3 x 3 x 1/4"
STICKS = [Stick(stock=STOCK, length=240 * INCH, price=132.0), Stick(stock=STOCK, length=288 * INCH, price=152.0)]
RULE = RemnantRule(least=18 * INCH, value_share=0.5)


@pytest.fixture(scope="module")
def made() -> CutPlan:
    lean = Mitre(angle=25 * DEGREE, depth=3 * INCH, side="the wide side")
    back = Mitre(angle=-25 * DEGREE, depth=3 * INCH, side="the wide side")
    pieces = [
        *(Piece(stock=STOCK, length=30 * INCH, tag=f"421M cross {n}/3", order="421M", mark="cross") for n in (1, 2, 3)),
        *(
            Piece(stock=STOCK, length=84 * INCH, tag=f"42{n}M leg", order=f"42{n}M", mark="leg", ends=(lean, back),
                  flips=True, rush=n == 7)
            for n in (5, 6, 7)
        ),
    ]  # fmt: skip
    return plan(pieces, STICKS, INCH / 8, INCH / 2, RULE, 1.0)


@pytest.fixture(scope="module")
def shop(demo_dir: Path) -> Shop:
    return rulebook.load(demo_dir / "rulebook").shop


def text_of(sheet: SawSheet) -> str:
    paper = saw_sheet(sheet)
    found = PdfReader(io.BytesIO(pdf.compile(content.source(paper.template), pictures=paper.pictures, data=paper.data)))
    return "\n".join(page.extract_text() for page in found.pages)


def test_every_piece_is_on_the_sheet_once_with_a_box_of_its_own(made: CutPlan, shop: Shop) -> None:
    paper = saw_sheet(SawSheet(plan=made, shop=shop, on=date(2026, 11, 11)))
    boxes = sum(len(row["done"]) for stick in paper.data["sticks"] for row in stick["rows"])
    assert boxes == len(made.pieces)
    grouped = Counter(p.piece.tag for c in made.sticks for _, group in groups_of(c) for p in group)
    assert grouped == Counter(p.tag for p in made.pieces)


@pytest.mark.parametrize("size", ["us-letter", "a4"])
def test_the_paper_says_lengths_tags_plan_and_page(made: CutPlan, shop: Shop, size: str) -> None:
    said = text_of(SawSheet(plan=made, shop=shop, on=date(2026, 11, 11), paper=size, alike=[["a", "b"]]))  # type: ignore[arg-type]
    assert "84 in" in said and "30 in" in said and mark_of(made) in said and "rush: cut first" in said
    assert "421M cross 1/3" in said and "25 deg" in said and "told apart only by their walls: a, b" in said


def test_a_metric_sheet_says_millimetres(made: CutPlan, shop: Shop) -> None:
    said = text_of(SawSheet(plan=made, shop=shop, on=date(2026, 11, 11), system="metric"))
    assert "2,134 mm" in said or "2134 mm" in said


def test_pieces_are_drawn_to_the_scale_of_the_stick(made: CutPlan) -> None:
    for c in made.sticks:
        page = stick_picture(c, width=184.0, longest=288 * INCH)
        scale = 182.0 / (288 * INCH)
        drawn = [m for m in page.marks if isinstance(m, Run) and m.fill == "tint"]
        for shape, placed in zip(drawn, c.placed, strict=True):
            wide = max(v[0] for v in shape.vertices) - min(v[0] for v in shape.vertices)
            assert wide == pytest.approx(placed.piece.length * scale, rel=1e-6)


def test_a_mitre_is_sketched_at_its_true_angle(made: CutPlan) -> None:
    placed = next(p for c in made.sticks for p in c.placed if p.piece.mark == "leg")
    (shape,) = (m for m in mitre_sketch(placed).marks if isinstance(m, Run))
    (x0, y0, _), *_, (x3, y3, _) = shape.vertices
    assert abs(x3 - x0) / (y3 - y0) == pytest.approx(0.4663, abs=1e-3)


def test_a_mended_plan_prints_only_its_changed_sticks_with_the_new_tags(made: CutPlan, shop: Shop) -> None:
    bent = made.sticks[0]
    mended = replan(made, STICKS, cut=[], bent=[bent.number], seconds=1.0)
    only = {c.now for c in mended.changes}
    said = text_of(SawSheet(plan=mended.plan, shop=shop, on=date(2026, 11, 11), only=only, changes=mended.changes))
    assert "changed sticks" in said and "Tags to write again" in said and "(bent bar)" in said and "new tag" in said


def test_two_plans_have_two_marks(made: CutPlan) -> None:
    other = plan(made.pieces[:-1], STICKS, INCH / 8, INCH / 2, RULE, 1.0)
    assert mark_of(made) == mark_of(made) != mark_of(other)


def test_the_ruler_under_a_stick_speaks_the_sheets_units_and_stays_on_the_paper(made: CutPlan) -> None:
    stick = made.sticks[0]
    for system, unit in (("us", " ft"), ("metric", " m")):
        page = stick_picture(stick, width=184.0, longest=stick.stick.length, system=system)  # type: ignore[arg-type]
        ruled = [m for m in walk(page.marks) if isinstance(m, Label) and m.text.endswith(unit)]
        assert len(ruled) >= 4
        assert all(m.x + text_width(m.text, size=m.size) / 2 <= page.width for m in ruled)
