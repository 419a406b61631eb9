from __future__ import annotations

from pathlib import Path

import pytest

from plowwright.blade.spec import Spec, check, from_dict, load
from plowwright.errors import NotFoundError, SpecError, UnitError
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH

GOOD = {"series": "flint", "width": "84 in", "mount": "loader", "carrier": "skid steer", "hoses": "flat-face"}


def made(**changes: object) -> Spec:
    return from_dict({**GOOD, **changes})


def test_a_complete_spec_is_taken_and_reads_back_the_same(demo_rules: Rulebook) -> None:
    spec = made(extras=["markers"], number="420A")
    check(spec, demo_rules)
    assert from_dict(spec.as_dict()) == spec
    assert spec.width == pytest.approx(84 * INCH)


@pytest.mark.parametrize("field", sorted(GOOD))
def test_what_is_not_chosen_is_named(field: str) -> None:
    with pytest.raises(SpecError, match=f"not complete: {field} not chosen"):
        from_dict({k: v for k, v in GOOD.items() if k != field})


def test_an_unknown_field_is_refused_and_the_fields_are_listed() -> None:
    with pytest.raises(SpecError, match=r"unknown field.*colour.*Fields are: carrier"):
        made(colour="red")


def test_a_width_without_a_unit_is_refused_with_an_example() -> None:
    with pytest.raises(UnitError, match=r"width.*90 in"):
        made(width="84")


def test_a_width_between_steps_is_refused_with_the_nearest_two(demo_rules: Rulebook) -> None:
    with pytest.raises(SpecError, match=r"not built 80 in wide.*in steps of 6 in.*78 in or 84 in"):
        check(made(width="80 in"), demo_rules)


def test_a_mount_that_does_not_couple_names_the_ones_that_do(demo_rules: Rulebook) -> None:
    with pytest.raises(SpecError, match=r"does not couple to a tractor.*pin-on, hook"):
        check(made(carrier="tractor"), demo_rules)


def test_extras_that_clash_say_why_and_what_would_work(demo_rules: Rulebook) -> None:
    with pytest.raises(SpecError, match=r"cannot go with extras\.rush.*second day.*Choose either"):
        check(made(extras=["rush", "second-colour"]), demo_rules)


def test_all_faults_are_told_at_once(demo_rules: Rulebook) -> None:
    with pytest.raises(SpecError) as caught:
        check(made(width="80 in", carrier="tractor"), demo_rules)
    assert "80 in" in str(caught.value) and "tractor" in str(caught.value)


def test_names_the_rulebook_does_not_know_are_refused_with_those_it_knows(demo_rules: Rulebook) -> None:
    with pytest.raises(SpecError, match=r"no series 'granite'.*reed, flint, basalt"):
        check(made(series="granite"), demo_rules)
    with pytest.raises(SpecError, match=r"no extra 'radio'.*shoes"):
        check(made(extras=["radio"]), demo_rules)


def test_outlets_and_carrier_are_checked_when_read() -> None:
    with pytest.raises(SpecError, match=r"left or the right"):
        made(outlets="top")
    with pytest.raises(SpecError, match=r"unknown kind of carrier.*lorry"):
        made(carrier="lorry")


def test_a_spec_file_is_read_and_a_broken_or_missing_one_is_named(tmp_path: Path) -> None:
    file = tmp_path / "one.toml"
    file.write_text("\n".join(f'{k} = "{v}"' for k, v in GOOD.items()))
    assert load(file) == from_dict(GOOD)
    file.write_text("series = flint")
    with pytest.raises(SpecError, match=r"one\.toml: this is not TOML"):
        load(file)
    with pytest.raises(NotFoundError, match=r"absent\.toml"):
        load(tmp_path / "absent.toml")
