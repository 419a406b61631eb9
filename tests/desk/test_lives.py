"""Life records: an old serial answers as it was built, chapters by anyone, recall, and a blade that leaves."""

from __future__ import annotations

import csv
import io
import shutil
import tomllib
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from plowwright import units
from plowwright.blade import spec as specs
from plowwright.blade.build import work_out
from plowwright.blade.carried import moved
from plowwright.blade.differ import differ
from plowwright.desk.acting import hand
from plowwright.desk.desk import Desk
from plowwright.desk.life_handing import hand_over, handing_of
from plowwright.desk.life_refit import refit_of
from plowwright.desk.life_timed import Timed, brought_over
from plowwright.desk.lives import Lives, Photo, apart
from plowwright.desk.order_more import more_of
from plowwright.errors import EntryError, NotFoundError
from plowwright.rulebook import load
from plowwright.rulebook.trial import tried
from plowwright.shop.service import Fitted
from plowwright.shop.service_marks import marks_of
from plowwright.shop.service_search import Scraps, find
from plowwright.store import records as r
from plowwright.store.checking import check

RK = hand("R.K.", "form 1")
TODAY = date(2026, 11, 11)



@pytest.fixture
def changed_rules(shop: Desk, demo_dir: Path, tmp_path: Path) -> Desk:
    """The same records after the owner made steel heavier, moved the edge's holes and threw the old rules away."""
    folder = tmp_path / "later" / "rulebook"
    shutil.copytree(demo_dir / "rulebook", folder, ignore=shutil.ignore_patterns("past"))
    for name, was, now in (("materials.toml", '"0.2836 lb/in3"', '"0.2950 lb/in3"'),
                           ("version.toml", "date = 2026-09-01", "date = 2026-11-11")):  # fmt: skip
        text = (folder / name).read_text(encoding="utf-8")
        assert was in text
        (folder / name).write_text(text.replace(was, now), encoding="utf-8")
    return Desk(folder, records=shop.book)


def test_an_old_serial_answers_as_it_was_built_after_the_rules_have_changed(shop: Desk, changed_rules: Desk) -> None:
    before, after = Lives(shop).blade("B90-22-017"), Lives(changed_rules).blade("B90-22-017")
    assert before.built and after.built and before.built is not after.built
    assert after.built.rulebook.version.date == date(2022, 3, 1) != changed_rules.rulebook.version.date
    assert after.built.as_dict()["parts"] == before.built.as_dict()["parts"]
    assert after.built.mass == before.built.mass and not after.doubts
    today = Lives(changed_rules).differs(after)
    assert not isinstance(today, str) and today.mass_apart > 1.0, "the new rules show nowhere: this proves nothing"


def test_a_blade_older_than_its_rules_says_so(shop: Desk) -> None:
    (doubt,) = Lives(shop).blade("f84-21-063").doubts
    assert doubt.startswith("It left on 18 Nov 2021, before the oldest rules that are kept (01 Mar 2022)")


def test_kept_facts_that_no_longer_come_out_are_named(shop: Desk) -> None:
    file = Lives(shop).blade("B90-22-017")
    assert file.built and file.record.build
    facts = dict(file.record.build.facts)
    assert apart(facts, file.built) == []
    facts["parts"] = [{**one, "quantity": 5} if one["mark"] == "web" else one for one in facts["parts"]]
    (said,) = apart(facts, file.built)
    assert "do not agree" in said and "; web)" in said and "go by the facts kept with it" in said


def trials() -> list[tuple[str, dict[str, object]]]:
    file = Path(__file__).resolve().parents[2] / "demo" / "serials-past.toml"
    found = tomllib.loads(file.read_text(encoding="utf-8"))["trials"]
    assert len(found) == 4
    return [(one["serial"], one["scraps"]) for one in found]


@pytest.mark.parametrize(("serial", "told"), trials())
def test_every_trial_call_finds_its_blade_first_in_the_records(
    shop: Desk, serial: str, told: dict[str, object]
) -> None:
    given = {
        name: units.si(value, "length") if name in ("width", "bore")
        else tuple(units.si(one, "length") for one in value) if isinstance(value, list) else value
        for name, value in told.items()
    }  # fmt: skip
    found = Lives(shop).find(Scraps(**given))  # type: ignore[arg-type]
    assert found.candidates[0].marks.serial == serial
    assert found.candidates[0].chance >= 0.9 or found.questions, "not sure, and nothing to ask"


def test_a_chapter_is_written_once_however_often_its_form_is_sent(either_shop: Desk) -> None:
    lives = Lives(either_shop)
    told = {"said": "crack in the throat", "place": "leg to hinge beam", "day": date(2026, 11, 2)}
    first = lives.write(RK, "B84-24-077", "failure", **told)
    assert lives.write(RK, "B84-24-077", "failure", **told) == first
    assert first["said"] == "B84-24-077: failure of 02 Nov 2026 written."
    life = lives.blade("B84-24-077").life
    assert [one.said for one in life.standing if one.kind == "failure"] == ["crack in the throat"]
    lives.write(hand("M.S.", "2"), "B84-24-077", "failure", "it was the right leg", place="leg to hinge beam",
                replaces=first["chapter"])  # fmt: skip
    life = lives.blade("B84-24-077").life
    assert [one.said for one in life.standing if one.kind == "failure"] == ["it was the right leg"]
    assert check(either_shop.book).holds


def test_a_new_owner_is_in_the_search_and_on_the_call_list(either_shop: Desk) -> None:
    lives = Lives(either_shop)
    lives.write(RK, "B108-20-071", "owner", "sold on", facts={"owner": "M.M."})
    file = lives.blade("B108-20-071")
    assert file.owner == "M.M." and file.record.customer and file.record.customer.name == "M.M."
    rows = {row.serial: row for row in lives.recall("C-20-04")}
    assert rows["B108-20-071"].owner == "M.M." and len(rows) == 5 and all(row.still for row in rows.values())
    lines = list(csv.DictReader(io.StringIO(lives.call_list("C-20-04").decode("utf-8-sig"))))
    assert {line["serial"]: line["owner"] for line in lines}["B108-20-071"] == "M.M."
    assert lines[0].keys() >= {"phone", "still on it", "called"}


def test_a_part_that_was_changed_is_no_longer_recalled(shop: Desk) -> None:
    lives = Lives(shop)
    lives.write(RK, "F72-20-009", "note", "new cylinder fitted",
                fitted=[Fitted(item="cylinder 2-1/2 x 1-1/4 x 10", place="angle cylinder", lot="C-26-02")])  # fmt: skip
    rows = lives.recall("C-20-04")
    assert [row.serial for row in rows if not row.still] == ["F72-20-009"] and rows[-1].serial == "F72-20-009"


def test_a_superseded_part_is_followed_and_the_old_holes_are_kept(shop: Desk) -> None:
    rows = {row.mark: row for row in Lives(shop).spares("F84-21-063")}
    block = rows["valve block"]
    assert (block.was, block.now) == ("crossover relief block, two-port", "crossover relief block")
    assert "length 5-1/2 in, was 5 in" in block.fit.sentence
    assert "Drill it by the old layout: 3, 9, 20" in rows["edge"].fit.sentence
    assert "changed since, and the new stamp was not noted" in rows["restrictor"].fit.sentence
    assert "stamped 54" in {row.mark: row for row in Lives(shop).spares("B90-22-017")}["restrictor"].fit.sentence


def test_a_photo_goes_with_its_chapter(shop: Desk) -> None:
    lives = Lives(shop)
    done = lives.write(RK, "F84-21-063", "note", "seen in the yard",
                       photos=[Photo(data=b"picture", name="yard.jpg", media="image/jpeg")])  # fmt: skip
    (photo,) = lives.blade("F84-21-063").record.attachments
    assert photo.note == f"chapter {done['chapter']}: seen in the yard" and photo.file
    assert shop.book.filing.read(photo.file) == b"picture"


@pytest.mark.parametrize(("told", "said"), [
    ({"kind": "edge", "said": "new edge", "day": date(2026, 12, 1)},
     "F84-21-063: that day has not come yet (given: 2026-12-01); limit: today, 2026-11-11"),
    ({"kind": "failure", "said": "cracked"}, "a failure has a place"),
    ({"kind": "refit", "said": "new mount"}, "a refit is written when its order is loaded"),
    ({"kind": "owner", "said": "sold on"}, "a new owner has a name"),
    ({"kind": "edge", "said": "new", "day": date(2020, 1, 1)}, "it was not built yet on that day"),
    ({"kind": "note", "said": "wrong", "replaces": 1}, "there is no such chapter to put right (given: 1)"),
])  # fmt: skip
def test_what_cannot_be_is_refused_and_nothing_is_written(shop: Desk, told: dict[str, object], said: str) -> None:
    lives = Lives(shop)
    with shop.book.reading() as reads:
        before = reads.count(r.Chapter), reads.count(r.Event)
    with pytest.raises(EntryError) as refused:
        lives.write(RK, "F84-21-063", **told)  # type: ignore[arg-type]
    assert said in refused.value.sentence()
    with shop.book.reading() as reads:
        assert (reads.count(r.Chapter), reads.count(r.Event)) == before


def test_a_serial_with_swapped_figures_names_the_right_one(shop: Desk) -> None:
    with pytest.raises(NotFoundError, match="Near it: F84-21-063"):
        Lives(shop).blade("F84-21-036")


# A blade leaves ---------------------------------------------------------------------------------------------------


def loadable(shop: Desk, number: str = "421M", **more: object) -> None:
    """An order with its stamp, its test card and lots on its issue lines."""
    with shop.book.command("made ready", who="D.V.", key=f"ready {number} {sorted(more)}") as c:
        row = c.get(r.Order, number)
        told = replace(more_of(row.more), **{"serial": "B84-26-001",
                       "test": {"left": "7.2 s", "right": "8.9 s", "oil": "104 F"}, **more})  # type: ignore[arg-type]
        c.change(r.Order, number, state="weighed", more=told.as_dict())
        c.line(kind="receive", item="cylinder 3 x 1-1/2 x 12", lot="C-26-09", count=2)
        c.line(kind="receive", item="trip spring 3/8", lot="S-1", count=3)
        c.line(kind="receive", item="trip spring 3/8", lot="S-2", count=3)
        c.line(kind="issue", item="cylinder 3 x 1-1/2 x 12", lot="C-26-09", count=2, order=number)
        c.line(kind="return", item="cylinder 3 x 1-1/2 x 12", lot="C-26-09", count=1, order=number)
        c.line(kind="issue", item="trip spring 3/8", lot="S-1", count=3, order=number)
        c.line(kind="issue", item="trip spring 3/8", lot="S-2", count=1, order=number)


def test_a_loaded_blade_begins_its_life_record_with_lots_test_card_and_advice(either_shop: Desk) -> None:
    loadable(either_shop)
    handing = handing_of(either_shop, "421M")
    with either_shop.book.command("load", who="M.S.", key="load 421M") as c:
        c.answer(hand_over(c, handing))
        assert hand_over(c, handing) == "B84-26-001 has its life record."
    assert c.answered == "The life record of B84-26-001 begins with 3 chapters."
    file = Lives(either_shop).blade("B84-26-001")
    assert [one.kind for one in file.life.standing] == ["as-built", "test card", "advice"]
    assert (file.owner, file.record.blade.order, file.record.blade.built) == ("H.L.", "421M", TODAY)
    on = file.life.fitted_on()
    assert on["angle cylinder"].lot == "C-26-09"
    assert (on["trip spring"].lot, on["trip spring, 2nd lot"].lot) == ("S-1", "S-2")
    card = file.life.last("test card")
    assert card and card.facts["left end forward"] == "7.2 s" and card.facts["on K7, left end forward"].endswith(" s")
    assert file.life.stamp[0].startswith("drill #") and "not read off" in file.life.stamp[1]
    assert file.built and file.built.fingerprint == either_shop.build_of(either_shop.order("421M")).fingerprint
    assert [row.serial for row in Lives(either_shop).recall("S-2")] == ["B84-26-001"]
    found = Lives(either_shop).find(Scraps(width=84 * units.INCH, notches=3, year=2026))
    assert found.candidates[0].marks.serial == "B84-26-001"
    assert check(either_shop.book).holds


def test_a_number_that_is_another_blades_or_an_order_that_changed_stops_the_loading(shop: Desk) -> None:
    loadable(shop, serial="B84-25-066")
    handing = handing_of(shop, "421M")
    with pytest.raises(EntryError, match="this serial number is another blade's"):
        shop.book.run("load", lambda c: hand_over(c, handing), who="M.S.", key="a")
    with shop.book.command("other stamp", who="D.V.", key="b") as c:
        row = c.get(r.Order, "421M")
        c.change(r.Order, "421M", more={**row.more, "serial": "B84-26-002"})
    with pytest.raises(EntryError, match="changed while it was loaded"):
        shop.book.run("load", lambda c: hand_over(c, handing), who="M.S.", key="c")


def test_a_loaded_refit_is_a_chapter_and_the_blade_stands_as_refitted(shop: Desk) -> None:
    lives = Lives(shop)
    assert lives.blade("B90-22-017").stands is lives.blade("B90-22-017").built
    handing = handing_of(shop, "430W")
    for key in ("one", "two"):
        with shop.book.command("load", who="M.S.", key=key) as c:
            c.answer(hand_over(c, handing))
    file = lives.blade("B90-22-017")
    assert [one.kind for one in file.life.standing].count("refit") == 1
    assert file.built and file.stands and file.built.spec.mount == "loader" and file.stands.spec.mount == "pin-on"
    assert file.record.carrier and file.record.carrier.name == "K4"
    with shop.book.reading() as reads:
        assert reads.get(r.Blade, "B90-22-017").marks["mount"] == "pins"


def test_fetched_spares_are_noted_in_the_record_of_their_blade(shop: Desk) -> None:
    handing = handing_of(shop, "431G")
    with shop.book.command("load", who="M.S.", key="one") as c:
        c.answer(hand_over(c, handing))
    last = Lives(shop).blade("F84-21-063").life.standing[-1]
    assert last.said.startswith("spares fetched: 84 in edge with bolts, spring pair, seal kit") and last.kind == "note"


def test_a_refit_is_worked_out_from_the_record_with_what_is_known_there(shop: Desk) -> None:
    found = refit_of(shop, "430W", level=0)
    assert found.refit.existing.serial == "B90-22-017" and found.refit.carrier.name == "K4"
    assert any("stamped 54" in row.why for row in found.refit.keep)
    with pytest.raises(NotFoundError, match="421M is for blade and refits nothing"):
        refit_of(shop, "421M")
    # A blade of the list that has no file of its own goes on another machine as well.
    assert refit_of(shop, "F84-21-063", "K7", level=0).refit.new.spec.mount == "loader"


# What the stopwatch showed ----------------------------------------------------------------------------------------


def test_times_as_the_model_has_them_on_the_pack_come_out_as_it_has_them_on_the_machine(shop: Desk) -> None:
    order = shop.order("421M")
    build, carrier = shop.build_of(order), shop.strength.of_order(order.carrier)
    swing = moved(build, carrier).swinging
    assert swing and swing.on_carrier
    out_is_left = swing.ways["out"] == "left end forward"
    ideal = brought_over(build, carrier, Timed(left=7.0, right=8.6)).expected
    assert ideal
    found = brought_over(build, carrier, ideal).carrier
    assert found
    there = swing.on_carrier
    left, right = (there.out, there.in_) if out_is_left else (there.in_, there.out)
    # The hole is found to a part in six hundred, and time goes with its square.
    assert found.left == pytest.approx(left.likely, rel=0.01) and found.right == pytest.approx(right.likely, rel=0.01)


def test_slower_on_the_pack_is_slower_on_the_machine_and_nonsense_is_not_brought_over(shop: Desk) -> None:
    order = shop.order("421M")
    build, carrier = shop.build_of(order), shop.strength.of_order(order.carrier)
    quick, slow = (brought_over(build, carrier, Timed(left=t, right=1.23 * t)).carrier for t in (6.5, 8.5))
    assert quick and slow and quick.left < slow.left and quick.right < slow.right
    odd = brought_over(build, carrier, Timed(left=2.0, right=9.0))
    assert odd.carrier is None and not odd.sound and "no one size of hole gives both times" in odd.said
    assert "ask for pressure, flow" in brought_over(build, None, Timed(left=7.2, right=8.9)).said
    with pytest.raises(EntryError, match="two times are needed"):
        brought_over(build, carrier, Timed(left=0.0, right=9.0))


def test_near_identical_blades_are_told_apart_only_by_wall_springs_and_weight(demo_dir: Path) -> None:
    # Common practice of the trade: two that look alike are measured and weighed, not looked at.
    now = load(demo_dir / "rulebook")
    entry = {"series": "flint", "width": "84 in", "mount": "loader", "carrier": "skid steer", "hoses": "flat-face"}
    spec = specs.from_dict(entry)
    one = work_out(spec, now, level=0)
    thin = work_out(spec, tried(now, "flint", changes={"web": "plate 3/16"}), level=0)
    (looks,) = differ([one, thin]).looks
    assert looks.by_eye == () and len(looks.by_tool) == 2
    assert "caliper" in looks.by_tool[0] and looks.by_tool[1].startswith("weigh")
    # The marks a caller can tell are the same: the search holds both for as likely, and no scrap but a number splits.
    twins = [marks_of(build, serial=f"F84-25-00{at}", built=date(2025, 10, 1), phone=f"{at}{at}{at}{at}")
             for at, build in enumerate((one, thin), 1)]  # fmt: skip
    found = find(Scraps(width=84 * units.INCH, springs=3), twins)
    assert found.candidates[0].chance == pytest.approx(found.candidates[1].chance)
    assert {question.key for question in found.questions} == {"phone_ends"}
    fewer = work_out(specs.from_dict({**entry, "mount": "pin-on", "carrier": "tractor"}), now, level=0)
    (springs,) = differ([one, fewer]).looks
    assert any("3 springs against 2" in reason for reason in springs.by_eye)
