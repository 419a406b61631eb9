"""What the audit says, sentence by sentence."""

from __future__ import annotations

from pathlib import Path

import pytest

from plowwright.rulebook import load

from .conftest import Edit


def faults(folder: Path) -> list[str]:
    return [finding.sentence for finding in load(folder).audit() if finding.verdict != "holds"]


@pytest.mark.parametrize(
    "folder", ["demo/rulebook", "demo/rulebook/past/2022-03-01", "tests/rulebooks/common"]
)
def test_the_rulebooks_we_ship_have_nothing_to_complain_of(repo_root: Path, folder: str) -> None:
    assert faults(repo_root / folder) == []


def test_a_rulebook_broken_in_six_ways_gets_exactly_six_sentences(copied: Path, edit: Edit) -> None:
    edit("series", 'over = "60 in"', 'over = "66 in"')
    edit("series", 'end = "3-1/2 in"', 'end = "3/4 in"')
    edit("shop", ', "120 in"]', "]")
    edit("bought", 'mass = "9.5 lb"\n', "")
    edit("prices", 'step = "USD 57"', 'step = "USD 570"')
    edit("options", 'excludes = ["extras.second-colour"]', 'needs = ["extras.second-colour"]')
    assert faults(copied) == [
        "Reed is offered 66 in wide, but no row of its class table serves that.",
        "Basalt is offered 108 to 120 in wide, but the longest edge blank is 102 in.",
        "Reed has its first edge hole 3/4 in from the end; a 1/2 in bolt wants 1 in at least.",
        "skid shoe has no mass, so no blade that carries it can be weighed out.",
        "Flint goes up USD 570 a step, 27.0 % of its base of USD 2,110; "
        "the middle one of the series goes up 3.0 %.",
        "extras.rush can never be chosen: extras.rush needs extras.second-colour, and "
        "extras.second-colour excludes extras.rush.",
    ]


def test_a_fault_carries_value_limit_basis_and_the_line_in_the_file(copied: Path, edit: Edit) -> None:
    edit("shop", ', "120 in"]', "]")
    found = next(finding for finding in load(copied).audit() if finding.verdict == "fails")
    assert found.place == "shop.toml line 12"
    assert (found.value, found.limit, found.margin) == ("108 to 120 in", "at most 102 in", "18 in short")
    assert found.basis.kind == "shop rule"
    assert found.as_dict()["basis"]["formula"] == "a blank at least as long as the width"


def test_a_width_in_two_rows_is_named_with_both(copied: Path, edit: Edit) -> None:
    edit("series", 'over = "60 in"', 'from = "60 in"')
    assert faults(copied) == ["Reed 60 in is in rows 1 and 2 of its class table at once."]


def test_up_to_and_including_means_the_width_itself(demo_dir: Path) -> None:
    basalt = load(demo_dir / "rulebook").series["basalt"]
    served = {
        round(w / 0.0254): [r.cylinder for r in basalt.cylinders if r.serves(w)] for w in basalt.widths()
    }
    assert served[78] == ["cylinder 2-1/2 x 1-1/4 x 10"]
    assert served[84] == ["cylinder 3 x 1-1/2 x 12"]


def test_a_wall_typed_wrong_shows_against_the_suppliers_mass(copied: Path, edit: Edit) -> None:
    edit("sections", 'wall = "3/16 in"\nmass = "9.42 lb/ft"', 'wall = "1/4 in"\nmass = "9.42 lb/ft"')
    assert len(faults(copied)) == 1
    assert faults(copied)[0].startswith(
        "tube 4 x 4 x 3/16 is listed at 9.42 lb/ft, but its sizes make 12.2 lb/ft: "
    )


def test_the_gauge_standards_own_sheet_weight_is_found_too_heavy(copied: Path, edit: Edit) -> None:
    edit("plates", 'mass = "4.88 lb/ft2"', 'mass = "5.00 lb/ft2"')
    assert "2.4 % heavier than it can be" in faults(copied)[0]


def test_a_bolt_line_below_the_foot_of_the_angle_is_found(copied: Path, edit: Edit) -> None:
    edit("series", 'edge_hang = "1-5/8 in"', 'edge_hang = "3 in"')
    assert faults(copied) == [
        "Reed: the bolt line of flat 6 x 3/8 stands 0 in above the foot of the bottom angle; "
        "a 1/2 in bolt wants 7/8 in at least."
    ]


def test_a_skin_wider_than_its_sheet_is_found(copied: Path, edit: Edit) -> None:
    edit("plates", 'sheet_length = "120 in"', 'sheet_length = "60 in"')
    assert faults(copied) == ["Reed 72 in needs a skin 72 in long, but sheet 11 ga comes 60 in long."]


def test_an_arc_that_cannot_reach_the_height_is_found(copied: Path, edit: Edit) -> None:
    edit("series", 'skin_radius = "28 in"', 'skin_radius = "12 in"')
    assert "an arc of radius 12 in never gets as high as its body, 27 in" in faults(copied)[0]


def test_a_heavier_class_that_is_cheaper_is_found(copied: Path, edit: Edit) -> None:
    edit("prices", 'base = "USD 2,440"', 'base = "USD 2,110"')
    assert faults(copied) == [
        "Basalt 54 in costs USD 2,110, no more than Flint 54 in at USD 2,110, "
        "although it is the heavier class."
    ]


def test_a_series_without_price_or_hours_is_found(copied: Path, edit: Edit) -> None:
    edit("prices", 'reed = { base = "USD 1,720", step = "USD 48" }\n', "")
    edit("hours", "[reed]", "[flint_old]")
    text = (copied / "hours.toml").read_text()
    (copied / "hours.toml").write_text(text[text.index("[flint]") :])
    assert faults(copied) == ["Reed has no price.", "Reed has no hours, so its cost cannot be worked out."]


def test_work_without_a_rate_is_found(copied: Path, edit: Edit) -> None:
    edit("prices", 'clean = "USD 27/h"\n', "")
    assert faults(copied) == ["There is no rate for clean."]


def test_an_option_charged_below_its_parts_is_found(copied: Path, edit: Edit) -> None:
    edit("prices", '"extras.shoes" = "USD 94"', '"extras.shoes" = "USD 40"')
    assert faults(copied) == ["skid shoes is charged USD 40, but its bought parts cost USD 44."]


def test_a_spare_far_above_its_part_is_only_suspicious(copied: Path, edit: Edit) -> None:
    edit("prices", '"seal kit" = "USD 41"', '"seal kit" = "USD 141"')
    found = [f for f in load(copied).audit() if f.verdict != "holds"]
    assert [f.verdict for f in found] == ["near limit"]
    assert found[0].sentence == "The spare seal kit sells for USD 141, more than 4 times the USD 17 it costs."


def test_two_options_that_clash_through_what_they_need_are_found(copied: Path, edit: Edit) -> None:
    edit("options", 'name = "skid shoes"', 'name = "skid shoes"\nneeds = ["hoses.poppet"]')
    edit("options", 'name = "pair of edge markers"', 'name = "pair of edge markers"\nneeds = ["hoses.none"]')
    said = faults(copied)
    assert any(
        s.startswith(
            "extras.shoes and extras.markers can never be chosen together, although neither excludes"
        )
        for s in said
    )
    assert all("can never be chosen together" in s for s in said)


def test_a_superseded_part_still_used_is_found_and_so_is_a_ring(copied: Path, edit: Edit) -> None:
    edit(
        "series", 'valve_block = "crossover relief block"', 'valve_block = "crossover relief block, two-port"'
    )
    assert faults(copied) == [
        "Reed still uses crossover relief block, two-port, which is superseded by crossover relief block."
    ]
    edit("bought", 'mass = "7 lb"', 'mass = "7 lb"\nsuperseded_by = "crossover relief block, two-port"')
    assert any("that goes in a ring" in sentence for sentence in faults(copied))


def test_stock_nobody_uses_is_told_but_holds(copied: Path, edit: Edit) -> None:
    edit("mounts", 'lug_plate = "plate 5/8"', 'lug_plate = "plate 5/8"')
    edit("options", '  { name = "clamp bar", section = "flat 1-1/2 x 1/4", place = "top" },\n', "")
    told = [f.text for f in load(copied).audit() if "uses flat 1-1/2" in f.sentence]
    assert len(told) == 1
    assert faults(copied) == []


def test_closed_rules_that_were_changed_are_found(copied: Path, edit: Edit) -> None:
    edit("past/2022-03-01/prices", "USD 1,705", "USD 1,805")
    said = faults(copied)
    assert len(said) == 1
    assert said[0].startswith("The rules of 2022-03-01 were changed after they were sealed: fingerprint ")


def test_closed_rules_that_cannot_be_read_are_found(copied: Path, edit: Edit) -> None:
    edit("past/2022-03-01/prices", '"USD 1,705"', '"a lot"')
    assert faults(copied)[0].startswith("The rules of 2022-03-01 can no longer be read: prices.toml line ")


def test_past_rules_without_a_seal_are_suspicious_and_the_seal_is_given(copied: Path) -> None:
    past = copied / "past/2022-03-01"
    file = past / "version.toml"
    file.write_text("".join(line for line in file.read_text().splitlines(True) if "sealed" not in line))
    assert faults(copied) == [
        "The rules of 2022-03-01 are past but not sealed; a change to them would not show. "
        f'Write sealed = "{load(past).fingerprint}" into its version.toml.'
    ]
