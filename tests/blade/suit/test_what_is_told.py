"""Facts and verdicts: told numbers never hold, unknown ones are asked for, and a spread is carried through."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright import rulebook
from plowwright.blade.carrier_facts import fact
from plowwright.blade.carriers import Carrier
from plowwright.blade.suit.results import CAUTIONS, Suit
from plowwright.blade.suit.suits import suits, without_settings
from plowwright.rulebook.reading import Rulebook

from .machines import DAY, LOADER, TRACTOR, WHEEL_LOADER, blade, check_of, held, machine

MACHINES = {"tractor": TRACTOR, "skid steer": LOADER, "wheel loader": WHEEL_LOADER}
KINDS = st.sampled_from(sorted(MACHINES))
GEOMETRY_ONLY = {"mount", "gate", "travel"}
"""Checks that lean on no fact of the machine but its kind."""


def leaning(suit: Suit, names: set[str]) -> list[str]:
    """Verdicts of the checks that lean on any of these facts."""
    return [c.finding.verdict for c in suit.checks if names & set(c.facts)]


@pytest.mark.parametrize("kind", sorted(MACHINES))
def test_a_machine_of_which_everything_is_read_off_its_book_suits(demo_rules: Rulebook, kind: str) -> None:
    suit = held(blade(demo_rules, "reed", 72, kind), machine(kind, MACHINES[kind]))  # type: ignore[arg-type]
    assert suit.verdict == "suits", suit.sentence
    assert suit.missing == ()


@pytest.mark.parametrize("source", ["told", "guessed"])
@pytest.mark.parametrize("kind", sorted(MACHINES))
def test_the_same_machine_over_the_phone_never_holds(demo_rules: Rulebook, kind: str, source: str) -> None:
    suit = held(blade(demo_rules, "reed", 72, kind), machine(kind, MACHINES[kind], source=source))  # type: ignore[arg-type]
    assert suit.verdict == "would suit if", suit.sentence
    for check in suit.checks:
        if check.key not in GEOMETRY_ONLY:
            assert check.finding.verdict in ("not checked", "fails"), check.finding.sentence
    assert "would hold if" in suit.sentence and f"as {source}" in suit.sentence


@given(data=st.data(), kind=KINDS)
def test_one_told_fact_takes_the_holds_from_every_check_that_leans_on_it(
    demo_rules: Rulebook, data: st.DataObject, kind: str
) -> None:
    facts = MACHINES[kind]
    names = data.draw(st.sets(st.sampled_from(sorted(facts)), min_size=1))
    carrier = Carrier(name="machine", kind=kind).learn(
        *(fact(n, v, what=w, source="told" if n in names else "book", on=DAY) for n, (v, w) in facts.items())
    )
    suit = held(blade(demo_rules, "reed", 72, kind), carrier)  # type: ignore[arg-type]
    assert not {"holds", "near limit"} & set(leaning(suit, names))


@given(data=st.data(), kind=KINDS)
def test_what_is_not_known_blocks_only_what_leans_on_it(demo_rules: Rulebook, data: st.DataObject, kind: str) -> None:
    facts = MACHINES[kind]
    gone = data.draw(st.sets(st.sampled_from(sorted(facts)), min_size=1))
    whole = held(blade(demo_rules, "reed", 72, kind), machine(kind, facts))  # type: ignore[arg-type]
    suit = held(
        blade(demo_rules, "reed", 72, kind),  # type: ignore[arg-type]
        machine(kind, facts, **dict.fromkeys(gone)),
    )
    for before in whole.checks:
        if not gone & set(before.facts):
            after = suit.check(before.key)
            # The wheelbase also guesses the reach of the loader.
            assert after is not None and (after.finding.verdict == before.finding.verdict or "wheelbase" in gone)
    for check in suit.checks:
        if check.used is None and check.finding.verdict == "not checked" and check.facts:
            assert "not checked because" in check.finding.sentence


def test_of_a_machine_of_which_nothing_is_known_nothing_can_be_told(demo_rules: Rulebook) -> None:
    for kind in MACHINES:
        suit = held(blade(demo_rules, "reed", 72, kind), Carrier(name="caller", kind=kind))  # type: ignore[arg-type]
        assert suit.verdict == "cannot be told"
        assert suit.envelopes == () and suit.ballast is None
        assert "not checked because" in suit.sentence
    assert held(blade(demo_rules, "reed", 60), Carrier(name="caller")).verdict == "cannot be told"


def test_what_blocks_the_verdict_is_asked_for_first(demo_rules: Rulebook) -> None:
    suit = held(blade(demo_rules, "reed", 72, "tractor"), Carrier(name="caller", kind="tractor"))
    blocking = {"lift", "wheelbase", "front_axle", "rear_axle", "pins_ahead"}
    assert blocking <= set(suit.missing)
    assert suit.missing.index("width") > max(suit.missing.index(name) for name in blocking)


def test_a_told_number_may_fail_where_even_its_best_end_does(demo_rules: Rulebook) -> None:
    poor = machine("skid steer", LOADER, source="told", tipping_load="900 lb")
    suit = held(blade(demo_rules, "basalt", 84), poor)
    assert suit.verdict == "does not suit"
    assert "it fails even at the best end" in suit.sentence


def test_a_number_that_sounds_like_another_unit_is_questioned_and_carries_no_pass(demo_rules: Rulebook) -> None:
    # 140 psi where bar was meant, and a wheelbase of 190 in where cm was meant: read off a book, and still doubted.
    oil = fact("pressure", "140 psi", source="book", on=DAY, what="relief of the auxiliary outlets")
    assert "psi or bar" in oil.doubt and not oil.certain
    suit = held(blade(demo_rules, "reed", 72, "tractor"), machine("tractor", TRACTOR, wheelbase="190 in"))
    finding = check_of(suit, "front_axle").finding
    assert finding.verdict == "not checked" and "In or cm?" in finding.sentence
    assert suit.verdict == "would suit if"


@given(kind=KINDS, wide=st.floats(0.02, 0.25))
def test_a_wider_spread_of_a_fact_never_narrows_an_answer(demo_rules: Rulebook, kind: str, wide: float) -> None:
    key, name = ("front_axle", "front_axle") if kind == "tractor" else ("operating", "tipping_load")
    value, what = MACHINES[kind][name]
    pounds = float(value.removesuffix(" lb").replace(",", ""))

    def used(share: float) -> tuple[float, float, float]:
        low, high = (f"{pounds * (1 + s * share):.1f} lb" for s in (-1, 1))
        known = fact(name, value, what=what, source="book", on=DAY, low=low, high=high)
        carrier = machine(kind, MACHINES[kind], **{name: None}).learn(known)
        found = check_of(held(blade(demo_rules, "reed", 72, kind), carrier), key).used  # type: ignore[arg-type]
        assert found is not None
        return found.low, found.likely, found.high

    narrow, broad = used(0.01), used(wide)
    assert broad[0] <= narrow[0] and broad[2] >= narrow[2] and broad[1] == pytest.approx(narrow[1])


def test_the_machine_makers_limits_come_first_in_every_answer(demo_rules: Rulebook) -> None:
    for kind, facts in MACHINES.items():
        suit = held(blade(demo_rules, "reed", 72, kind), machine(kind, facts))  # type: ignore[arg-type]
        assert suit.cautions == CAUTIONS
        assert "the machine maker's limits come first" in suit.cautions[0]
        assert any("not the work of a licensed engineer" in text for text in suit.cautions)


def test_a_rulebook_without_the_settings_says_what_to_copy(tmp_path: Path, demo_dir: Path) -> None:
    folder = Path(shutil.copytree(demo_dir / "rulebook", tmp_path / "rulebook"))
    (folder / "suit.toml").unlink()
    old = blade(rulebook.load(folder), "reed", 60)
    assert suits(old, machine("skid steer", LOADER)) is None
    assert "this rulebook has no suit.toml: copy the one of a newer rulebook" in without_settings().sentence


def test_a_mount_that_does_not_couple_is_refused_before_anything_else(demo_rules: Rulebook) -> None:
    suit = held(blade(demo_rules, "reed", 60, "skid steer"), machine("tractor", TRACTOR))
    assert suit.verdict == "does not suit"
    assert "does not couple to a tractor" in suit.sentence


def test_the_answer_for_a_machine_has_stable_names(demo_rules: Rulebook) -> None:
    found = held(blade(demo_rules, "reed", 60), machine("skid steer", LOADER)).as_dict()
    assert {"blade", "carrier", "verdict", "sentence", "missing", "checks", "ballast_kg", "cautions"} <= set(found)
    assert {row["key"] for row in found["checks"]} >= {"mount", "operating", "clear_straight", "clear_angled", "travel"}
