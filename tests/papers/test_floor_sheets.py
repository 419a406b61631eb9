"""Fitting sheet, kit list and labels: from the same model, nothing missing, legible."""

from __future__ import annotations

import io
from datetime import date
from pathlib import Path

import pytest
from pypdf import PdfReader

from plowwright import rulebook as rulebooks
from plowwright.blade.carriers import load as load_carrier
from plowwright.blade.spec import Spec
from plowwright.blade.welding import order_of
from plowwright.papers import content, labels, pdf, qr
from plowwright.papers.content import Paper, Sheet
from plowwright.papers.fitting_sheet import differs, fitting_sheet, usual_of
from plowwright.papers.kit_list import kit_list, pairs_of
from plowwright.papers.weld_views import BODIES, body_view
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.worked import work_out
from plowwright.units.constants import INCH


@pytest.fixture(scope="module")
def rules(demo_dir: Path) -> Rulebook:
    return rulebooks.load(demo_dir / "rulebook")


def sheet_of(rules: Rulebook, *, size: str = "us-letter", system: str = "us", **changes: object) -> Sheet:
    choices: dict[str, object] = {
        "series": "flint", "width": 84 * INCH, "mount": "pin-on", "carrier_kind": "tractor", "hoses": "poppet",
        "outlets": "right", "extras": ("markers",),
    }  # fmt: skip
    spec = Spec(**{**choices, **changes})  # type: ignore[arg-type]
    worked = work_out(spec, rules, level=0)
    return Sheet(worked=worked, system=system, paper=size, on=date(2026, 11, 11), number="422D")  # type: ignore[arg-type]


def text_of(paper: Paper) -> str:
    pictures = {"qr": qr.svg("x"), **paper.pictures}
    found = PdfReader(io.BytesIO(pdf.compile(content.source(paper.template), pictures=pictures, data=paper.data)))
    return "\n".join(page.extract_text() for page in found.pages)


def test_only_what_differs_from_the_usual_is_marked(rules: Rulebook) -> None:
    marked = {row["name"]: row["usual"] for row in differs(sheet_of(rules)) if row["usual"]}
    assert marked == {
        "Hoses": "hoses with flat-face couplers", "Outlets": "left side", "Extras": "none",
    }  # fmt: skip
    plain = sheet_of(rules, hoses="flat-face", outlets="left", extras=())
    assert not [row for row in differs(plain) if row["usual"]]


def test_a_wide_blade_shows_its_deeper_edge_as_unusual(rules: Rulebook) -> None:
    marked = {row["name"]: row["value"] for row in differs(sheet_of(rules, width=102 * INCH)) if row["usual"]}
    assert marked["Edge"].startswith("flat 8 x 1/2")


def test_usual_is_worked_out_once_for_a_rulebook(rules: Rulebook) -> None:
    assert usual_of(rules, "flint", "tractor", "us") is usual_of(rules, "flint", "tractor", "us")


@pytest.mark.parametrize("size", ["us-letter", "a4"])
def test_every_seam_is_on_the_fitting_sheet_with_its_number_and_leg(rules: Rulebook, size: str) -> None:
    sheet = sheet_of(rules, size=size)
    paper = fitting_sheet(sheet)
    rows = [row for body in paper.data["bodies"] for row in body["rows"]]
    seams = order_of(sheet.build)
    assert [row[1] for row in rows] == [
        f"{s.joins[0]} to {s.joins[1]}" for b in BODIES for s in seams if s.body == b.key
    ]
    said = text_of(paper)
    assert "Diagonals, within 1/8 in" in said and "hoses with poppet couplers" in said and "licensed engineer" in said
    assert "not 1/8" in said, "the tube that looks alike is named"


def test_each_balloon_points_at_its_seam_in_the_model(rules: Rulebook) -> None:
    build = sheet_of(rules).build
    for body in BODIES:
        own = [s for s in order_of(build) if s.body == body.key]
        page, _ = body_view(build, body, own, width=184.0, height=112.0)
        from plowwright.papers.marks import Circle, Label

        dots = [m for m in page.marks if isinstance(m, Circle) and m.fill == "ink"]
        numbers = [m.text for m in page.marks if isinstance(m, Label) and m.weight == "bold"]
        rims = [m for m in page.marks if isinstance(m, Circle) and m.fill == "paper" and m.radius > 2]
        assert sorted(map(int, numbers)) == [s.number for s in own]
        assert len(dots) == len(rims) == len(own)
        assert all(c.y - c.radius > 0 and c.y + c.radius < page.height for c in rims)
        for one in rims:
            others = [o for o in rims if o is not one and abs(o.x - one.x) < 1]
            assert all(abs(o.y - one.y) > 0.8 * one.radius for o in others)


def test_the_pairs_that_must_match_carry_their_figures(rules: Rulebook, demo_dir: Path) -> None:
    sheet = sheet_of(rules)
    tractor = load_carrier(demo_dir / "carriers" / "k4.toml")
    pairs = {p[0]: p for p in pairs_of(sheet.build, tractor, sheet)}
    assert pairs["edge and bottom angle"][3] == "match"
    assert "bore 2-1/2 in" in pairs["bore and relief"][1] and "2,500 psi" in pairs["bore and relief"][2]
    assert "drill #" in pairs["restrictor and carrier flow"][1] and "15 gpm" in pairs["restrictor and carrier flow"][2]
    assert pairs["couplers and carrier"][3] == "match"
    loader = load_carrier(demo_dir / "carriers" / "k7.toml")
    assert {p[0]: p for p in pairs_of(sheet.build, loader, sheet)}["couplers and carrier"][3] == "do NOT match"
    assert "photo" in {p[0]: p for p in pairs_of(sheet.build, None, sheet)}["couplers and carrier"][3]


def test_every_piece_and_bought_part_is_on_the_kit_list(rules: Rulebook) -> None:
    sheet = sheet_of(rules)
    paper = kit_list(sheet)
    rows = sheet.build.bill.rows
    assert sum(int(r[2]) for r in paper.data["made"]) == sum(r.quantity for r in rows if r.kind != "bought")
    said = text_of(paper)
    assert all(r.stock in said for r in rows if r.kind == "bought") and "Oil under pressure" in said


def test_each_label_carries_the_order_the_class_and_a_code(rules: Rulebook) -> None:
    sheet = sheet_of(rules)
    found = labels.of_blade(sheet)
    assert [one.what for one in found] == list(labels.BODIES)
    paper = labels.labels(found, shop=rules.shop, paper="us-letter")
    said = text_of(paper)
    assert said.count("422D") == len(found) and said.count(sheet.build.fingerprint) == len(found)
    assert len([name for name in paper.pictures if name.startswith("code")]) == len(found)


def test_the_label_of_the_box_says_which_blade_it_belongs_to(rules: Rulebook) -> None:
    found = {one.what: one.lines for one in labels.of_blade(sheet_of(rules), serial="F84-26-001")}
    assert "serial F84-26-001" in found[labels.BOX]
    assert not any("serial" in line for what, lines in found.items() if what != labels.BOX for line in lines)
    bare = {one.what: one.lines for one in labels.of_blade(sheet_of(rules))}
    assert any(line.startswith("serial ____") for line in bare[labels.BOX]), "room to write it in by hand"
