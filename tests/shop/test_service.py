"""The life record: chapters, winters, recall; spares that fit an old blade; lessons."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from plowwright.blade import spec as specs
from plowwright.blade.build import Build, work_out
from plowwright.errors import EntryError, ModelError
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.service import Fitted, Life, recall, winters, write
from plowwright.shop.service_lessons import Out, before_and_after, grouped, places, poisson_band
from plowwright.shop.service_parts import follow, spares_for

OLD = "cylinder 2-1/2 x 1-1/4 x 10"
BUILT = date(2021, 11, 18)


def a_life() -> Life:
    life = write(Life(serial="F84-21-063"), "as-built", "built for L.K.", day=BUILT, facts={"owner": "L.K."},
                 fitted=[Fitted(item=OLD, place="angle cylinder", lot="C-21-03")])  # fmt: skip
    return write(life, "restrictor", "pair changed", day=date(2022, 1, 14),
                 fitted=[Fitted(item="restrictor pair", place="restrictor")])  # fmt: skip


def test_a_record_is_added_to_and_never_changed() -> None:
    before = a_life()
    after = write(before, "edge", "edge turned end for end", day=date(2023, 12, 2), place="edge")
    assert after.chapters[:2] == before.chapters
    assert [c.number for c in after.chapters] == [1, 2, 3]


def test_a_chapter_that_was_wrong_is_put_right_by_a_new_one_and_both_stay() -> None:
    life = write(a_life(), "owner", "sold on", day=date(2024, 10, 2), facts={"owner": "M.D."})
    life = write(life, "owner", "sold to G.H., not M.D.", day=date(2024, 10, 2), facts={"owner": "G.H."}, replaces=3)
    assert life.owner == "G.H."
    assert len(life.chapters) == 4
    assert [c.number for c in life.standing] == [1, 2, 4]
    with pytest.raises(EntryError, match=r"no such chapter to put right.*given: 3"):
        write(life, "owner", "again", day=date(2024, 10, 3), replaces=3)


def test_a_stamp_is_known_until_the_pair_is_changed_without_noting_the_new_one() -> None:
    life = write(Life(serial="F84-21-063"), "as-built", "built", day=BUILT)
    assert life.stamp == ("", "nobody noted it")
    life = write(life, "test card", "proved", day=BUILT, facts={"restrictor stamp": "#54"})
    assert life.stamp == ("#54", "test card of 18 Nov 2021")
    life = write(life, "note", "restrictors: pair stamped 55 (told on the phone)", day=date(2021, 12, 1))
    assert life.stamp == ("55", "note of 01 Dec 2021")
    life = write(life, "restrictor", "pair changed, slower to the left", day=date(2022, 1, 14))
    assert life.stamp == ("", "changed since, and the new stamp was not noted (restrictor of 14 Jan 2022)")


def test_nothing_happens_to_a_blade_before_it_is_built_and_an_owner_has_a_name() -> None:
    with pytest.raises(EntryError, match=r"not built yet on that day \(given: 2021-11-17\); limit: built 2021-11-18"):
        write(a_life(), "edge", "new edge", day=date(2021, 11, 17))
    with pytest.raises(EntryError, match="a new owner has a name"):
        write(a_life(), "owner", "sold on", day=date(2024, 10, 2))


def test_what_sits_on_the_blade_is_known_for_any_day() -> None:
    life = write(a_life(), "refit", "new cylinder", day=date(2024, 1, 5),
                 fitted=[Fitted(item=OLD, place="angle cylinder", lot="C-23-07")])  # fmt: skip
    assert life.fitted_on()["angle cylinder"].lot == "C-23-07"
    assert life.fitted_on(date(2023, 6, 1))["angle cylinder"].lot == "C-21-03"


def test_chapters_without_sense_are_refused() -> None:
    with pytest.raises(EntryError, match=r"no chapter is called that.*given: gossip"):
        write(a_life(), "gossip", "heard it squeaks", day=BUILT)
    with pytest.raises(EntryError, match=r"a failure has a place.*leg to hinge beam"):
        write(a_life(), "failure", "cracked", day=BUILT)
    with pytest.raises(EntryError, match=r"it was built once"):
        write(a_life(), "as-built", "built again", day=BUILT)
    with pytest.raises(EntryError, match=r"a chapter says what happened"):
        write(a_life(), "note", "", day=BUILT)


def test_winters_are_counted_from_november_to_april() -> None:
    cases = {
        (date(2021, 9, 1), date(2021, 10, 1)): 0,
        (date(2021, 9, 1), date(2021, 11, 20)): 1,
        (date(2021, 11, 18), date(2022, 3, 1)): 1,
        (date(2022, 2, 1), date(2022, 3, 1)): 1,
        (date(2022, 2, 1), date(2022, 12, 1)): 2,
        (date(2021, 11, 18), date(2026, 11, 11)): 6,
    }
    assert {days: winters(*days) for days in cases} == cases


def test_a_recall_names_who_has_the_lot_and_whether_it_is_still_on() -> None:
    kept = a_life()
    changed = write(replace(a_life(), serial="F84-21-048"), "refit", "new cylinder", day=date(2024, 1, 5),
                    fitted=[Fitted(item=OLD, place="angle cylinder", lot="C-23-07")])  # fmt: skip
    rows = recall([changed, kept, Life(serial="R60-21-049")], "C-21-03")
    assert [(row.serial, row.still) for row in rows] == [("F84-21-063", True), ("F84-21-048", False)]
    assert rows[0].text == f"F84-21-063, L.K.: {OLD} at angle cylinder since 18 Nov 2021, still on it"
    with pytest.raises(EntryError, match=r"names the lot"):
        recall([kept], " ")


def flint(rules: Rulebook) -> Build:
    return work_out(specs.from_dict({"series": "flint", "width": "84 in", "mount": "loader", "carrier": "skid steer",
                                     "hoses": "flat-face"}), rules, level=0)  # fmt: skip


def with_bought(rules: Rulebook, **changes: dict[str, object]) -> Rulebook:
    bought = dict(rules.bought)
    for name, update in changes.items():
        bought[name] = bought[name].model_copy(update=update)
    return replace(rules, data=rules.data.model_copy(update={"bought": bought}))


def test_spares_of_a_blade_as_built_fit_it(demo_rules: Rulebook) -> None:
    rows = {row.mark: row for row in spares_for(flint(demo_rules), demo_rules)}
    assert rows["angle cylinder"].now == OLD
    assert rows["trip spring"].count == 3
    assert rows["edge"].fit.verdict == "holds"
    assert "holes as built: 3-1/2, 14-1/2" in rows["edge"].fit.sentence
    assert {row.fit.verdict for row in rows.values() if row.mark != "restrictor"} == {"holds"}
    assert rows["restrictor"].fit.verdict == "not checked", "nobody noted its stamp"


def test_a_superseded_part_is_followed_and_what_differs_is_said(demo_rules: Rulebook) -> None:
    # A blade of before 2024 with the block that had no test ports.
    old_series = demo_rules.series["flint"].model_copy(update={"valve_block": "crossover relief block, two-port"})
    then = replace(
        demo_rules, data=demo_rules.data.model_copy(update={"series": {**demo_rules.series, "flint": old_series}})
    )
    row = next(r for r in spares_for(flint(then), demo_rules) if r.mark == "valve block")
    assert row.was == "crossover relief block, two-port"
    assert row.now == "crossover relief block"
    assert row.steps == ("crossover relief block, two-port", "crossover relief block")
    assert "length 5-1/2 in, was 5 in" in row.fit.sentence
    assert row.fit.verdict == "near limit"


def test_parts_that_lead_in_a_circle_are_refused(demo_rules: Rulebook) -> None:
    book = with_bought(demo_rules, **{"crossover relief block": {"superseded_by": "crossover relief block, two-port"}})
    with pytest.raises(ModelError, match=r"in a circle.*two-port"):
        follow("crossover relief block, two-port", book)


def test_a_part_nobody_sells_any_more_is_said_to_be_gone(demo_rules: Rulebook) -> None:
    bought = {name: part for name, part in demo_rules.bought.items() if name != OLD}
    today = replace(demo_rules, data=demo_rules.data.model_copy(update={"bought": bought}))
    row = next(r for r in spares_for(flint(demo_rules), today) if r.mark == "angle cylinder")
    assert (row.now, row.fit.verdict) == ("", "fails")
    assert f"{OLD} is not in today's rulebook and nothing is named in its place" in row.fit.sentence


def test_after_a_change_of_the_hole_rule_an_old_blade_gets_an_edge_of_its_own_layout(demo_rules: Rulebook) -> None:
    own = demo_rules.series["flint"]
    holes = own.holes.model_copy(update={"pitch": 12 * 0.0254})
    series = {**demo_rules.series, "flint": own.model_copy(update={"holes": holes})}
    today = replace(demo_rules, data=demo_rules.data.model_copy(update={"series": series}))
    row = next(r for r in spares_for(flint(demo_rules), today) if r.mark == "edge")
    assert row.fit.verdict == "near limit"
    assert "not off today's pile" in row.fit.sentence
    assert "Drill it by the old layout: 3-1/2, 14-1/2" in row.fit.sentence


def test_what_was_fitted_later_counts_before_what_it_was_built_with(demo_rules: Rulebook) -> None:
    life = write(a_life(), "refit", "larger cylinder", day=date(2024, 1, 5),
                 fitted=[Fitted(item="cylinder 3 x 1-1/2 x 12", place="angle cylinder")])  # fmt: skip
    row = next(r for r in spares_for(flint(demo_rules), demo_rules, life=life) if r.mark == "angle cylinder")
    assert row.was == "cylinder 3 x 1-1/2 x 12"


def out(serial: str, name: str, *, failures: tuple[tuple[date, str], ...] = (), built: date = BUILT) -> Out:
    life = write(Life(serial=serial), "as-built", "built", day=built)
    for day, place in failures:
        life = write(life, "failure", "cracked", day=day, place=place)
    return Out(serial=serial, duty_class=name, width=84 * 0.0254, carrier_kind="skid steer", built=built, life=life)


def test_failures_are_counted_against_the_winters_of_every_blade_out_there() -> None:
    blades = [out(f"F{n}", "Flint") for n in range(20)]
    blades += [out(f"R{n}", "Reed", failures=((date(2023, 1, 5), "web foot"),)) for n in range(4)]
    rows = {row.name: row for row in grouped(blades, "class", today=date(2026, 3, 1))}
    assert (rows["Reed"].failures, rows["Reed"].exposure) == (4, 20)
    assert rows["Reed"].rate == pytest.approx(20.0)
    assert rows["Reed"].verdict == "more than the rest"
    assert rows["Flint"].verdict == "fewer than the rest"
    assert places(blades) == ("web foot",)


def test_one_failure_among_few_blades_blames_nothing() -> None:
    blades = [out("F1", "Flint"), out("R1", "Reed", failures=((date(2023, 1, 5), "web foot"),))]
    rows = grouped(blades, "class", today=date(2026, 3, 1))
    assert {row.verdict for row in rows} == {"cannot be told apart"}
    assert rows[0].text.startswith("Reed: 1 in 5 blade-winters, 20.0 in a hundred (0.5 to 111.4)")


def test_the_winter_in_which_it_failed_is_counted_against_blades_that_saw_that_winter() -> None:
    blades = [out("F1", "Flint", failures=((date(2023, 1, 5), "leg"),)), out("F2", "Flint", built=date(2025, 10, 1))]
    rows = {row.name: row for row in grouped(blades, "winters", today=date(2026, 3, 1))}
    assert (rows["winter 2"].failures, rows["winter 2"].exposure) == (1, 1)
    assert rows["winter 1"].exposure == 2
    with pytest.raises(EntryError, match=r"not grouped by that.*given: mood"):
        grouped(blades, "mood", today=date(2026, 3, 1))


def test_the_band_of_a_count_agrees_with_the_poisson_law() -> None:
    from scipy.stats import poisson

    for count in (0, 1, 4, 17):
        low, high = poisson_band(count)
        assert poisson.cdf(count, high) == pytest.approx(0.025, abs=1e-9)
        if count:
            assert poisson.sf(count - 1, low) == pytest.approx(0.025, abs=1e-9)


def test_a_place_is_held_against_the_winters_of_all_blades() -> None:
    blades = [out(f"F{n}", "Flint") for n in range(9)]
    blades.append(out("F9", "Flint", failures=((date(2023, 1, 5), "leg"), (date(2024, 1, 5), "web foot"))))
    rows = {row.name: row for row in grouped(blades, "place", today=date(2026, 3, 1))}
    assert {name: (row.failures, row.exposure) for name, row in rows.items()} == {"leg": (1, 50), "web foot": (1, 50)}


def test_a_change_is_held_against_the_winters_before_and_after_it() -> None:
    def out(number: int, year: int, failures: int) -> Out:
        life = write(Life(serial=f"B96-{year % 100}-{number:03d}"), "as-built", "built", day=date(year, 9, 1))
        for at in range(failures):
            life = write(life, "failure", "cracked", day=date(year + 1, 1, 1 + at), place="leg to hinge beam")
        return Out(serial=life.serial, duty_class="Basalt", width=2.4384, carrier_kind="skid steer",
                   built=date(year, 9, 1), life=life)  # fmt: skip

    blades = [out(n, 2018, 2) for n in range(10)] + [out(n, 2022, 0) for n in range(10, 30)]
    before, after = before_and_after(blades, date(2020, 1, 1), ["leg to hinge beam"], today=date(2026, 4, 30))
    # Ten blades of eight winters, twenty of four.
    assert (before.failures, before.exposure, after.failures, after.exposure) == (20, 80, 0, 80)
    assert after.verdict == "fewer than the rest" and before.verdict == "more than the rest"
    few = before_and_after(blades[:1] + blades[10:12], date(2020, 1, 1), ["leg to hinge beam"], today=date(2026, 4, 30))
    assert [group.verdict for group in few] == ["cannot be told apart"] * 2
    assert before_and_after(blades, date(2020, 1, 1), ["web foot"], today=date(2026, 4, 30))[0].failures == 0
