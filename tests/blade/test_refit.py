"""An existing blade on another carrier: the four lists, the two rulebooks, the lever, and what is refused."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from plowwright import rulebook as rulebooks
from plowwright.blade import carriers
from plowwright.blade.carriers import Carrier
from plowwright.blade.refit import Existing, Known, Refit, refit
from plowwright.blade.refit_rows import RefitRow
from plowwright.blade.refit_rules import both, judged, superseded
from plowwright.blade.spec import Spec
from plowwright.errors import EntryError, NotFoundError, SpecError
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH

OLD_DAY = date(2022, 3, 1)
BASALT = Spec(
    series="basalt", width=90 * INCH, mount="loader", carrier_kind="skid steer", hoses="flat-face", outlets="left",
    extras=("shoes", "crate"),
)  # fmt: skip


@pytest.fixture(scope="module")
def today(demo_dir: Path) -> Rulebook:
    return rulebooks.load(demo_dir / "rulebook")


@pytest.fixture(scope="module")
def old(demo_dir: Path) -> Rulebook:
    return rulebooks.load(demo_dir / "rulebook", on=OLD_DAY)


@pytest.fixture(scope="module")
def machines(demo_dir: Path) -> dict[str, Carrier]:
    return carriers.load_all(demo_dir / "carriers")


@pytest.fixture(scope="module")
def existing(old: Rulebook, machines: dict[str, Carrier]) -> Existing:
    stamp = Known(what="restrictors", said="pair stamped 54", source="test card", on=date(2022, 10, 14))
    return Existing(
        serial="B90-22-017", spec=BASALT, rulebook=old, carrier=machines["k7"], carrier_name="K7", known=(stamp,)
    )


@pytest.fixture(scope="module")
def found(existing: Existing, machines: dict[str, Carrier], today: Rulebook) -> Refit:
    return refit(existing, machines["k4"], today, level=0)


def row(rows: tuple[RefitRow, ...], part: str, act: str = "") -> RefitRow:
    return next(r for r in rows if r.part == part and act in ("", r.act))


def parts(rows: tuple[RefitRow, ...]) -> set[str]:
    return {r.part for r in rows}


def test_the_blade_from_a_skid_steer_to_a_tractor_gets_a_pin_on_plate_poppets_and_outlets_on_the_right(
    found: Refit,
) -> None:
    spec = found.new.spec
    assert (spec.mount, spec.carrier_kind, spec.hoses, spec.outlets) == ("pin-on", "tractor", "poppet", "right")
    assert row(found.change, "mount plate").why == (
        "pin-on plate instead of universal skid-steer plate: K4 is a tractor"
    )
    assert row(found.change, "lug").count == 4
    assert row(found.buy, "hose set").stock == "hose set, poppet"
    assert row(found.change, "hose set", "take off").stock == "hose set, flat-face"


def test_every_piece_of_the_new_blade_stands_in_exactly_one_list(found: Refit) -> None:
    ids = [i for r in (*found.keep, *found.change, *found.buy) if r.act != "take off" for i in r.ids]
    assert sorted(ids) == sorted(part.id for part in found.new.parts)


def test_every_piece_of_the_old_blade_stays_or_comes_off(found: Refit) -> None:
    gone = {part.id for part in found.compared.gone}
    moved = {before.id for before, _ in found.compared.moved}
    kept = {part.id for part in found.compared.kept}
    assert gone | moved | kept == {part.id for part in found.old.parts}


def test_the_frame_stays_because_brackets_are_welded_on_both_sides(found: Refit) -> None:
    assert {"leg left", "leg right", "base bracket", "cylinder lug", "cylinder arm", "king pin"} <= parts(found.keep)
    turned = row(found.change, "angle cylinder")
    assert turned.act == "turn over" and turned.count == 1
    assert "brackets and lugs are on both sides, nothing is welded or cut" in turned.why
    made = {p.group for p in found.compared.made}
    assert made == {"mount"}


def test_what_is_welded_to_the_old_plate_is_made_new_and_the_old_mount_stays_whole(found: Refit) -> None:
    assert {"oscillation sleeve", "oscillation stop", "rub pad"} <= parts(found.change)
    off = row(found.change, "old mount")
    mount = sum(p.mass() for p in found.old.parts if p.body == "mount")
    assert off.mass == pytest.approx(mount)


def test_the_new_sleeve_goes_on_the_old_tube_not_on_todays(found: Refit, today: Rulebook) -> None:
    assert row(found.change, "oscillation sleeve").stock == "round tube 5 x 5/16"
    assert today.series["basalt"].oscillation_sleeve == "round tube 5-1/4 x 5/16"
    asked = row(found.check, "oscillation sleeve", "ask")
    assert asked.why == "round tube 5 x 5/16 is not in today's lists: who has it, and at what price"


def test_a_superseded_part_that_stays_is_named_with_what_takes_its_place(found: Refit, today: Rulebook) -> None:
    block = row(found.change, "valve block")
    assert block.stock == "crossover relief block, two-port"
    assert block.instead == superseded(block.stock, today) == "crossover relief block"
    assert "it stays while it is sound" in block.why


def test_a_superseded_part_that_must_be_bought_is_bought_as_what_took_its_place(
    existing: Existing, machines: dict[str, Carrier], today: Rulebook
) -> None:
    bought = dict(today.bought)
    bought["hose set, poppet 2"] = bought["hose set, poppet"]
    bought["hose set, poppet"] = bought["hose set, poppet"].model_copy(update={"superseded_by": "hose set, poppet 2"})
    newer = replace(today, data=today.data.model_copy(update={"bought": bought}))
    hoses = row(refit(existing, machines["k4"], newer, level=0).buy, "hose set")
    assert hoses.instead == "hose set, poppet 2"
    assert "hose set, poppet is no longer bought, hose set, poppet 2 takes its place" in hoses.why


def test_restrictors_stay_with_the_blade_and_their_stamp_is_on_file(found: Refit) -> None:
    kept = row(found.keep, "restrictors")
    assert "a property of the blade" in kept.why
    assert "pair stamped 54 (test card, 2022-10-14)" in kept.why
    assert found.swinging and found.swinging_before
    assert found.swinging.fitted.drill == found.swinging_before.fitted.drill


def test_the_lever_note_says_which_end_goes_forward_now_and_what_to_swap(found: Refit) -> None:
    assert "The cylinder's base goes from the left to the right" in found.lever_note
    assert "brought the left end forward on K7, on K4 it brings the right end forward" in found.lever_note
    assert "so hoses 1 and 2 now go straight to the valve block (they did cross)" in found.lever_note
    assert "swap the two carrier hoses at the valve block, never at the cylinder" in found.lever_note


def test_without_plumbing_rules_the_lever_note_says_to_cross_the_hoses(
    existing: Existing, machines: dict[str, Carrier], today: Rulebook
) -> None:
    bare = replace(today, data=today.data.model_copy(update={"plumbing": None}))
    note = refit(existing, machines["k4"], bare, level=0).lever_note
    assert "the lever works the other way round: cross the two carrier hoses to keep the driver's habit" in note


def test_without_any_settings_the_lists_still_stand_and_every_check_says_why_it_was_not_made(
    existing: Existing, machines: dict[str, Carrier], today: Rulebook
) -> None:
    none = dict.fromkeys(("strength", "suit", "swing", "plumbing", "refit"))
    found = refit(existing, machines["k4"], replace(today, data=today.data.model_copy(update=none)), level=1)
    assert row(found.change, "mount plate") and row(found.buy, "hose set")
    said = " ".join(f.sentence for f in found.findings if f.verdict == "not checked")
    assert all(f"this rulebook has no {name}.toml" in said for name in ("suit", "swing", "plumbing"))


def test_the_blade_is_held_against_the_new_machine_in_every_way(found: Refit) -> None:
    assert found.suit is not None and found.suit.carrier.name == "K4"
    assert found.suit.verdict == "would suit if" and "2,900 lb" in found.suit.sentence
    assert found.plumbing is not None and found.plumbing.base_side == "right"
    places = {f.place for f in found.findings}
    assert {"carrier", "hoses", "crossover relief", "trip springs", "B90-22-017"} <= places


def test_a_new_hose_set_is_ordered_with_its_cut_lengths(found: Refit) -> None:
    assert found.plumbing is not None
    why = row(found.buy, "hose set").why
    assert all(f"{hose.name} " in why for hose in found.plumbing.hoses) and "; cut hose 1 " in why


def test_hoses_that_stay_are_measured_where_the_outlets_change_sides(
    existing: Existing, machines: dict[str, Carrier], today: Rulebook
) -> None:
    found = refit(existing, machines["k7"], today, changes={"outlets": "right"}, level=0)
    assert "hose set" in parts(found.keep)
    assert found.plumbing is not None
    have = refit(existing, machines["k7"], today, level=0).plumbing
    assert have is not None
    short = [
        new.name
        for old, new in zip(
            sorted(have.hoses, key=lambda h: -h.cut_length),
            sorted(found.plumbing.hoses, key=lambda h: -h.cut_length),
            strict=True,
        )
        if old.cut_length < new.longest
    ]
    assert [r.part for r in found.buy] == short
    assert all("does not reach" in r.why for r in found.buy)


def test_what_nobody_has_told_of_the_machine_is_asked_in_one_row(
    existing: Existing, machines: dict[str, Carrier], today: Rulebook
) -> None:
    tractor = replace(machines["k4"], facts=tuple(f for f in machines["k4"].facts if f.name != "pressure"))
    asked = row(refit(existing, tractor, today, level=0).check, "K4", "ask")
    assert asked.why.startswith("not known of it: ") and "pressure" in asked.why


def test_on_a_machine_with_outlets_on_the_same_side_the_lever_works_as_before(
    existing: Existing, machines: dict[str, Carrier], today: Rulebook
) -> None:
    same = refit(existing, machines["k8"], today, level=0)
    assert "The cylinder's base stays on the left" in same.lever_note
    assert same.buy == () and same.compared.made == ()
    assert {r.part for r in same.change} == set()


def test_a_blade_that_goes_to_a_machine_of_its_own_kind_keeps_its_mount(
    existing: Existing, machines: dict[str, Carrier], today: Rulebook
) -> None:
    assert refit(existing, machines["k6"], today, level=0).new.spec.mount == "loader"


def test_a_standard_blade_loses_a_spring_on_a_tractor(
    existing: Existing, machines: dict[str, Carrier], today: Rulebook
) -> None:
    flint = replace(existing, spec=replace(BASALT, series="flint", width=84 * INCH, extras=()))
    found = refit(flint, machines["k4"], today, level=0)
    off = row(found.change, "trip spring", "take off")
    assert off.count == 1 and off.why == "Flint has 2 springs on a tractor, 3 on a skid steer"
    assert row(found.keep, "trip spring").count == 2
    assert row(found.change, "spring lug", "take off").why.endswith("; welded on, it may stay where it is, unused")


def test_a_standard_blade_gains_a_spring_on_a_skid_steer(
    existing: Existing, machines: dict[str, Carrier], today: Rulebook
) -> None:
    spec = replace(
        BASALT, series="flint", width=84 * INCH, mount="pin-on", carrier_kind="tractor", hoses="poppet", extras=()
    )
    found = refit(replace(existing, spec=spec, carrier=machines["k4"]), machines["k7"], today, level=0)
    assert row(found.buy, "trip spring").count == 1


def test_packing_and_rush_of_the_old_order_are_no_part_of_a_refit(found: Refit) -> None:
    assert found.old.spec.extras == found.new.spec.extras == ("shoes",)


def test_wear_is_said_to_be_unknown_and_everything_is_asked(found: Refit, today: Rulebook) -> None:
    wear = found.findings[0]
    assert wear.verdict == "not checked" and "nobody has measured it" in wear.sentence
    assert today.refit is not None
    assert {ask.part for ask in today.refit.asks} <= parts(found.check)
    assert {"edge bolts", "posts and lugs", "king pin", "cutting edge"} <= parts(found.check)
    assert "over 1/8 in pin and bores are renewed" in row(found.check, "king pin", "look over").why


def test_what_the_shop_builds_otherwise_since_is_looked_at(found: Refit) -> None:
    assert row(found.check, "cylinder arm").why == "tube 4 x 4 x 1/4 here, tube 4 x 4 x 3/8 on new ones: look why"
    assert (
        "first hole 3 in from the end, 3-1/2 in on new ones: a spare edge of today does not fit"
        in row(found.check, "edge holes").why
    )


def test_a_mount_cut_by_drawing_is_measured_first(found: Refit) -> None:
    assert "never to a photo" in row(found.check, "pin-on plate", "measure").why
    assert row(found.check, "mount", "ask").why.startswith("a tractor may carry a hook plate instead")


def test_a_machine_whose_couplers_and_outlets_nobody_knows_is_asked_for_them(
    existing: Existing, today: Rulebook
) -> None:
    found = refit(existing, Carrier(name="his tractor", kind="tractor"), today, level=0)
    assert found.new.spec.hoses == "flat-face" and found.new.spec.outlets == "left"
    assert "a photo of both halves" in row(found.check, "couplers", "ask").why
    assert "taken as left, as before" in row(found.check, "outlets", "ask").why


def test_the_customer_can_have_it_otherwise(existing: Existing, machines: dict[str, Carrier], today: Rulebook) -> None:
    wish = {"mount": "hook", "hoses": "hoses-only", "extras": "markers, deflector"}
    spec = refit(existing, machines["k4"], today, changes=wish, level=0).new.spec
    assert (spec.mount, spec.hoses, spec.extras) == ("hook", "hoses-only", ("markers", "deflector"))


def test_a_wish_a_refit_cannot_have_is_refused(
    existing: Existing, machines: dict[str, Carrier], today: Rulebook
) -> None:
    with pytest.raises(EntryError, match="a refit cannot change this") as fault:
        refit(existing, machines["k4"], today, changes={"width": "84 in"}, level=0)
    assert fault.value.value == "width" and "mount, hoses, outlets, extras" in fault.value.limit


def test_a_kind_no_mount_serves_is_refused_with_the_kinds_that_are_served(
    existing: Existing, machines: dict[str, Carrier], today: Rulebook
) -> None:
    mounts = {key: m for key, m in today.mounts.items() if "tractor" not in m.carriers}
    without = replace(today, data=today.data.model_copy(update={"mounts": mounts}))
    with pytest.raises(SpecError, match="no mount couples to a tractor") as fault:
        refit(existing, machines["k4"], without, level=0)
    assert "skid steer" in fault.value.limit and "mounts.toml" in fault.value.way_out


def test_a_machine_of_no_known_kind_is_asked_about(existing: Existing, today: Rulebook) -> None:
    with pytest.raises(EntryError, match="what kind of machine it goes to is not known") as fault:
        refit(existing, Carrier(name="the new one"), today, level=0)
    assert fault.value.value == "the new one" and "Ask" in fault.value.way_out


def test_rules_of_a_day_before_the_first_rulebook_are_refused(demo_dir: Path) -> None:
    with pytest.raises(NotFoundError, match="no rules were in force on that day") as fault:
        rulebooks.load(demo_dir / "rulebook", on=date(2019, 1, 1))
    assert "2022-03-01" in fault.value.limit


def test_the_two_rulebooks_together_keep_old_sizes_and_take_todays_prices(old: Rulebook, today: Rulebook) -> None:
    rules = both(old, today, "basalt", 90 * INCH)
    assert rules.series["basalt"].cylinders == old.series["basalt"].cylinders
    assert rules.series["basalt"].oscillation_pin == old.series["basalt"].oscillation_pin
    cylinder = "cylinder 3 x 1-1/2 x 12"
    assert rules.bought[cylinder].price == today.bought[cylinder].price != old.bought[cylinder].price
    assert rules.prices == today.prices and rules.mounts == {**old.mounts, **today.mounts}
    assert rules.strength == today.strength and old.strength is None
    assert rules.fingerprint not in (old.fingerprint, today.fingerprint)


def test_the_old_blade_is_judged_by_todays_settings_without_a_change_to_its_parts(
    old: Rulebook, today: Rulebook
) -> None:
    rules = judged(old, today)
    assert rules.series == old.series and rules.mounts == old.mounts and rules.prices == old.prices
    assert rules.swing == today.swing


def test_the_old_build_is_that_of_its_own_rulebook(found: Refit, old: Rulebook) -> None:
    assert found.old.rulebook is old
    assert found.new.rulebook.version.date == OLD_DAY


def test_strength_on_the_new_machine_is_compared_with_the_old_one(
    existing: Existing, machines: dict[str, Carrier], today: Rulebook
) -> None:
    found = refit(existing, machines["k4"], today, level=1)
    worse = [f for f in found.findings if found.worse(f)]
    assert worse, "a heavier machine with another mount makes something worse"
    assert all(found.was(f) not in (None, f.verdict) for f in worse)
    relief = row(found.check, "crossover relief", "set")
    assert "left the shop set to 2,500 psi" in relief.why and "On K4" in relief.why
