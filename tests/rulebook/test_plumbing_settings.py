"""Settings of plumbing.toml: named, with their ground, refused when they cannot be."""

from __future__ import annotations

from pathlib import Path

import pytest

from plowwright.blade.plumbing.threads import thread
from plowwright.blade.spec import CARRIER_KINDS
from plowwright.errors import NotFoundError, RulebookError
from plowwright.rulebook import load
from plowwright.rulebook.plumbing import Plumbing
from plowwright.units.constants import INCH, PSI

from .conftest import Edit


@pytest.fixture(scope="module")
def settings(repo_root: Path) -> Plumbing:
    found = load(repo_root / "demo" / "rulebook").plumbing
    assert found is not None
    return found


def refused(folder: Path) -> str:
    with pytest.raises(RulebookError) as caught:
        load(folder)
    return str(caught.value)


def test_the_demo_settings_read_in_si(settings: Plumbing) -> None:
    assert settings.hose.bend.value == pytest.approx(2.5 * INCH)
    assert settings.couplers["poppet"].rated.value == pytest.approx(3000 * PSI)
    assert settings.outlets["skid steer"].aside.value == pytest.approx(20 * INCH)


def test_every_kind_of_carrier_and_every_choice_of_hoses_has_its_place(settings: Plumbing, repo_root: Path) -> None:
    rules = load(repo_root / "demo" / "rulebook")
    for kind in CARRIER_KINDS:
        assert settings.outlets_of(kind).behind.rests_on == "assumed"
    for choice in rules.options["hoses"]:
        assert settings.ending(choice) in ("flat-face", "poppet", "none", "bare")


def test_every_thread_named_in_settings_and_bought_parts_exists(settings: Plumbing, repo_root: Path) -> None:
    named = [settings.hose.end.value, settings.ports.cylinder.value, settings.ports.block.value]
    for family in settings.couplers.values():
        named += family.threads.values()
    bought = load(repo_root / "demo" / "rulebook").bought.values()
    for written in [*named, *(part.port for part in bought if part.port)]:
        assert thread(written).short == written


def test_ratings_from_memory_or_labels_say_so(settings: Plumbing) -> None:
    for rated in (settings.hose.rated, settings.hose.bend, settings.hose.fittings):
        assert "from memory" in rated.note
    for family in settings.couplers.values():
        assert family.rated.rests_on == "assumed" and "read its label" in family.rated.note


def test_an_unknown_kind_is_refused_with_the_kinds_there_are(settings: Plumbing) -> None:
    with pytest.raises(NotFoundError, match=r"barge.*skid steer.*Add \[outlets"):
        settings.outlets_of("barge")


def test_a_hose_choice_without_an_end_is_refused_with_the_way_out(settings: Plumbing) -> None:
    with pytest.raises(NotFoundError, match=r"what this choice of hoses ends in.*braided.*Add braided ="):
        settings.ending("braided")


def test_a_hose_size_that_does_not_exist_is_refused_with_those_that_do(copied: Path, edit: Edit) -> None:
    edit("plumbing", "dash = { value = 6", "dash = { value = 7")
    assert "no such hose size (given: dash 7); there are dash 4, 6, 8, 12, 16" in refused(copied)


def test_a_bare_number_for_the_bend_radius_is_refused_with_an_example(copied: Path, edit: Edit) -> None:
    edit("plumbing", 'bend = { value = "2-1/2 in"', 'bend = { value = "2.5"')
    said = refused(copied)
    assert "plumbing.toml" in said and "2.5" in said and "in" in said


def test_a_usual_size_that_is_not_kept_is_refused(copied: Path, edit: Edit) -> None:
    edit("plumbing", 'usual = { value = "1/2"', 'usual = { value = "3/4"')
    assert "the usual size 3/4 is not among the sizes 3/8, 1/2" in refused(copied)


def test_a_size_without_a_thread_is_refused(copied: Path, edit: Edit) -> None:
    edit("plumbing", 'threads = { "3/8" = "ORB 6", "1/2" = "ORB 8" }', 'threads = { "1/2" = "ORB 8" }')
    assert "no thread for size 3/8: add it to threads" in refused(copied)


def test_a_field_nobody_knows_is_refused_not_ignored(copied: Path, edit: Edit) -> None:
    edit("plumbing", "[slack]", "[slack]\nshrink = 1")
    assert "shrink" in refused(copied)
