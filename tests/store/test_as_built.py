"""An old serial answers as it was built: its rulebook lies in the records, and gives the same blade again."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

import pytest

from plowwright.blade import spec as specs
from plowwright.blade.build import Build, work_out
from plowwright.errors import NotFoundError, StoreError
from plowwright.rulebook import reading as rulebooks
from plowwright.shop import service
from plowwright.store import as_built
from plowwright.store import records as r
from plowwright.store.checking import check
from plowwright.store.workbook import Workbook

BUILT = date(2026, 11, 12)


@pytest.fixture
def live(demo_dir: Path, tmp_path: Path) -> Path:
    """A rulebook the owner goes on editing."""
    folder = tmp_path / "rulebook"
    shutil.copytree(demo_dir / "rulebook", folder, ignore=shutil.ignore_patterns("past"))
    return folder


@pytest.fixture
def build(live: Path, demo_dir: Path) -> Build:
    """A blade by the rules of today."""
    return work_out(specs.load(demo_dir / "specs" / "yard.toml"), rulebooks.load(live), level=0)


def heavier(live: Path) -> None:
    """The owner finds that steel weighs more than he thought."""
    materials = live / "materials.toml"
    text = materials.read_text(encoding="utf-8")
    materials.write_text(text.replace('"0.2836 lb/in3"', '"0.2950 lb/in3"'), encoding="utf-8")


def take(book: Workbook, build: Build) -> None:
    """The blade leaves the shop."""
    with book.command("as built", who="R.K.", key="1") as c:
        kept = as_built.keep(c, build)
        c.add(r.Blade, serial="X-26-001", build=kept.id, built=BUILT)


def test_a_blade_of_old_rules_comes_out_the_same_after_the_rules_have_changed(
    book: Workbook, build: Build, live: Path, tmp_path: Path
) -> None:
    take(book, build)
    heavier(live)
    with book.reading() as q:
        life = q.life("X-26-001")
    assert life.build and life.rulebook
    again = as_built.build_of(life.build, as_built.rules_of(life.rulebook, tmp_path / "kept rules"), level=0)
    assert again.rulebook.fingerprint == life.build.rulebook != rulebooks.load(live).fingerprint
    assert again.fingerprint == build.fingerprint
    facts = again.as_dict()
    assert facts["parts"] == life.build.facts["parts"] == build.as_dict()["parts"]
    assert facts["mass_lb"] == life.build.facts["mass_lb"]
    new = work_out(build.spec, rulebooks.load(live), level=0)
    assert new.as_dict()["mass_lb"] > facts["mass_lb"], "the change of rules shows nowhere: this test proves nothing"


def test_a_rulebook_edited_after_it_was_read_is_not_kept_under_the_old_mark(
    folder_book: Workbook, build: Build, live: Path
) -> None:
    heavier(live)
    with pytest.raises(StoreError, match="the rulebook was edited after it was read"):
        take(folder_book, build)
    with folder_book.reading() as q:
        assert q.count(r.KeptBuild) == 0


def test_kept_rules_that_somebody_edited_are_refused(folder_book: Workbook, build: Build, tmp_path: Path) -> None:
    take(folder_book, build)
    with folder_book.reading() as q:
        (kept,) = q.find(r.KeptRulebook)
    as_built.rules_of(kept, tmp_path / "kept rules")
    heavier(tmp_path / "kept rules" / kept.fingerprint)
    with pytest.raises(StoreError, match="does not come out as it was"):
        as_built.rules_of(kept, tmp_path / "kept rules")


def test_the_same_rules_and_the_same_blade_are_kept_once(folder_book: Workbook, build: Build) -> None:
    take(folder_book, build)
    folder_book.run("again", lambda c: as_built.keep(c, build).id, who="x", key="2")
    with folder_book.reading() as q:
        assert (q.count(r.KeptRulebook), q.count(r.KeptBuild)) == (1, 1)


def test_a_life_record_is_written_and_read_as_the_rules_of_service_make_it(book: Workbook, build: Build) -> None:
    take(book, build)
    edge = service.Fitted(item="edge", place="left half", lot="L7")
    wrong = service.write(
        service.Life(serial="X-26-001"), "edge", "new edge", day=BUILT, place="left half", fitted=(edge,)
    ).chapters[0]
    with book.command("life", who="M.S.", key="2") as c:
        first = as_built.write_chapter(c, "X-26-001", wrong)
    with book.reading() as q:
        life = as_built.life_of(q.life("X-26-001"))
    assert life.fitted_on() == {"left half": edge} and life.chapters[0].number == first.id
    right = service.write(life, "edge", "it was the right half", day=BUILT, place="right half", replaces=first.id)
    with book.command("life", who="M.S.", key="3") as c:
        as_built.write_chapter(c, "X-26-001", right.chapters[-1])
    with book.reading() as q:
        again = as_built.life_of(q.life("X-26-001"))
        assert [fitted.serial for fitted in q.recall("edge", "L7")] == ["X-26-001"]
    assert [chapter.said for chapter in again.standing] == ["it was the right half"]
    assert check(book).holds


def test_a_chapter_of_no_blade_or_of_another_one_is_refused(folder_book: Workbook, build: Build) -> None:
    take(folder_book, build)
    note = service.Chapter(number=1, kind="note", day=BUILT, said="seen at the roadside")
    with pytest.raises(NotFoundError, match="X-26-010"):
        folder_book.run("x", lambda c: as_built.write_chapter(c, "X-26-010", note), who="x", key="2")
    with folder_book.command("another", who="x", key="3") as c:
        c.add(r.Blade, serial="X-26-002")
        written = as_built.write_chapter(c, "X-26-001", note)
    other = service.Chapter(number=2, kind="note", day=BUILT, said="no, elsewhere", replaces=written.id)
    with pytest.raises(NotFoundError, match="X-26-002: the chapter put right is of another blade"):
        folder_book.run("x", lambda c: as_built.write_chapter(c, "X-26-002", other), who="x", key="4")
