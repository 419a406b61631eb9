"""The paper 'will it hold', and its part on the build sheet."""

from __future__ import annotations

import io
from datetime import date
from pathlib import Path

import pytest
from pypdf import PdfReader

from plowwright.desk.desk import Desk
from plowwright.findings import Basis, Finding
from plowwright.papers import content, finding_rows, sheets
from plowwright.papers import holding as parts
from plowwright.papers.content import Sheet
from plowwright.papers.holding_sheet import holding_sheet
from plowwright.shop.worked import Worked

DAY = date(2026, 11, 11)


def text_of(pdf: bytes) -> str:
    pages = PdfReader(io.BytesIO(pdf)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


@pytest.fixture(scope="module")
def sheet(held: Worked) -> Sheet:
    return Sheet(worked=held, system="us", paper="us-letter", on=DAY, number="420A")


@pytest.fixture(scope="module")
def papers(held: Worked) -> dict[str, bytes]:
    wanted = ("will it hold.pdf", "build sheet.pdf")
    jobs = sheets.jobs(held, system="us", paper="letter", on=DAY, number="420A", solids=False)
    return {name: make() for name, _, make in jobs if name in wanted}


def test_every_finding_of_strength_stands_in_one_chapter_and_none_is_lost(held: Worked) -> None:
    holding = held.build.holding
    assert holding is not None
    chapters = parts.chapters(holding)
    told = [f for chapter in chapters for f in chapter.findings]
    assert len(told) == len(holding.findings)
    assert {id(f) for f in told} == {id(f) for f in holding.findings}
    assert [c.name for c in chapters] == [name for name in parts.CHAPTERS if name in {c.name for c in chapters}]


def test_findings_stand_where_a_person_looks_for_them(held: Worked) -> None:
    holding = held.build.holding
    assert holding is not None
    where = {f.title: chapter.name for chapter in parts.chapters(holding) for f in chapter.findings}
    assert where["frame under strikes, straight"] == "Frame and moldboard"
    assert where["least leg of a fillet"] == "Welds"
    assert where["eyebolt of a spring"] == "Pins and bolts"
    assert where["springs for this kind of carrier"] == "Trip"
    assert where["kick after the edge is turned or renewed"] == "Edge, kick and wear"
    for check in holding.joints.checks:
        if check.kind == "web foot":
            assert where.get(f"{check.family}: {check.way}", "Welds") == "Welds"


def test_the_worst_of_a_chapter_comes_first(held: Worked) -> None:
    holding = held.build.holding
    assert holding is not None
    for chapter in parts.chapters(holding):
        ranks = [parts.WORST_FIRST.index(f.verdict) for f in chapter.findings]
        assert ranks == sorted(ranks)


def test_the_paper_says_carrier_model_order_of_giving_and_every_check(held: Worked, papers: dict[str, bytes]) -> None:
    said = text_of(papers["will it hold.pdf"])
    holding = held.build.holding
    assert holding is not None
    assert "Will it hold" in said and "on K6, skid steer" in said and "420A" in said
    assert "level 2, shell moldboard and beam frame" in said
    assert "struck at the corner of the edge" in said and "moldboard trips" in said
    assert parts.counted(holding.findings) in said
    assert "times too far" in said
    plain = said.replace(" ", "")
    for finding in holding.findings:
        assert finding.title.replace(" ", "") in plain
    for caution in parts.CAUTIONS:
        assert caution[:40] in said
    assert "not the work of a licensed engineer" in said


def test_what_checks_rest_on_stands_there_with_its_numbers(held: Worked, papers: dict[str, bytes]) -> None:
    plain = text_of(papers["will it hold.pdf"]).replace(" ", "")
    holding = held.build.holding
    assert holding is not None
    for finding in holding.findings:
        if finding.verdict == "not checked":
            continue
        assert finding.basis.formula.replace(" ", "") in plain
        for value in finding.basis.inputs.values():
            assert value.replace(" ", "") in plain


def test_the_build_sheet_says_what_fails_or_is_near_and_leaves_the_rest_to_the_other_sheet(
    held: Worked, papers: dict[str, bytes]
) -> None:
    said = text_of(papers["build sheet.pdf"])
    holding = held.build.holding
    assert holding is not None
    assert "Will it hold: on K6, skid steer" in said
    plain = said.replace(" ", "")
    for finding in holding.findings:
        listed = finding.title.replace(" ", "") in plain
        if finding.verdict in ("fails", "near limit"):
            assert listed
    assert "eyebolt of a spring" not in said


def test_a_blade_whose_strength_was_not_looked_at_has_no_such_paper(desk: Desk, tmp_path: Path) -> None:
    worked = desk.worked(desk.spec_of("420A")[0])
    names = [j[0] for j in sheets.jobs(worked, system="us", paper="letter", on=DAY, number="", solids=False)]
    assert "will it hold.pdf" not in names and "build sheet.pdf" in names
    plain = Sheet(worked=worked, system="us", paper="us-letter", on=DAY, number="")
    assert content.build_sheet(plain).data["strength"] is None


def test_geometry_and_strength_are_told_apart(held: Worked, desk: Desk) -> None:
    own = parts.own_findings(held.build)
    bare = desk.worked(held.build.spec).build
    geometry = [f.title for f in bare.findings if f.title != "carrier"]
    assert [f.title for f in own] == [*geometry, "moving parts clear of each other"]
    on = held.build.on_carrier
    assert on and held.build.findings[len(own) : len(own) + len(on)] == on
    assert parts.own_findings(bare) == bare.findings


def test_without_a_carrier_the_sheet_says_so_and_still_tells_the_trip(desk: Desk, sheet: Sheet) -> None:
    worked = desk.strength.holding(desk.worked(sheet.build.spec), None)
    data = holding_sheet(Sheet(worked=worked, system="us", paper="a4", on=DAY, number="")).data
    assert "carrier not known" in data["head"]["about"]
    assert "what the trip lets through" in data["model"]
    unsaid = [title for chapter in data["chapters"] for title, _ in chapter["unsaid"]]
    assert "strikes" in unsaid


def test_counts_read_as_a_person_would_say_them() -> None:
    def found(verdict) -> Finding:
        basis = Basis(kind="assumed", formula="")
        return Finding(title="", sentence="", value="", limit="", margin="", verdict=verdict, basis=basis)

    one = [found("holds"), found("fails")]
    assert parts.counted(one) == "2 checks: 1 fails, 1 holds."
    more = [found("near limit"), found("near limit"), found("not checked"), found("holds"), found("holds")]
    assert parts.counted(more) == "5 checks: 2 are near the limit, 1 was not checked, 2 hold."
    assert parts.counted([]) == "Nothing was checked."


def test_what_several_checks_share_is_said_once() -> None:
    def found(title: str, **inputs: str) -> Finding:
        basis = Basis(kind="standard", formula="F = k", inputs=inputs, source="a table")
        return Finding(title=title, sentence="", value="", limit="", margin="", verdict="holds", basis=basis)

    first, second = found("a", leg="1/4 in", metal="70 ksi", ground="x"), found("b", leg="1/8 in", metal="70 ksi")
    rows = [("1", first), ("2", second)]
    (ground,) = finding_rows.grounds(rows, said=("ground",))
    assert ground.shared == (("metal", "70 ksi"),)
    assert ground.as_dict()["rows"] == [["1", "a", "leg 1/4 in"], ["2", "b", "leg 1/8 in"]]


def test_a_least_limit_is_drawn_as_one() -> None:
    basis = Basis(kind="assumed", formula="")
    least = Finding(
        title="t", sentence="t: 2, wanted at least 1", value="2", limit="at least 1", margin="", verdict="holds",
        basis=basis, used=0.5,
    )  # fmt: skip
    most = Finding(
        title="t", sentence="", value="1", limit="at most 2", margin="", verdict="holds", basis=basis, used=0.5
    )
    assert finding_rows.bar(least) != finding_rows.bar(most)
    assert finding_rows.said(least) == "2, wanted at least 1."
