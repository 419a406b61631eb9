"""Couplers: which halves meet, who owns them, and what a told word is worth."""

from __future__ import annotations

import pytest

from plowwright.blade.plumbing.coupling import told
from plowwright.findings import Finding

from .conftest import Plumbed, machine


def met(found: object) -> Finding:
    findings = found.findings  # type: ignore[attr-defined]
    return next(f for f in findings if f.title == "couplers meet")


@pytest.mark.parametrize(
    ("words", "family", "size"),
    [
        ("flat-face 1/2", "flat-face", "1/2"),
        ("flat face 3/8", "flat-face", "3/8"),
        ("poppet 1/2, one pair", "poppet", "1/2"),
        ("ISO 16028 1/2", "flat-face", "1/2"),
        ("something brass", None, ""),
    ],
)
def test_what_was_said_is_read_for_family_and_size(words: str, family: str | None, size: str) -> None:
    found = told(machine(couplers=words))
    assert found is not None
    assert (found.family, found.size) == (family, size)
    assert found.one_pair == ("one pair" in words)


def test_the_blade_owns_the_halves_on_its_hoses_and_the_machine_those_that_meet_them(plumbed: Plumbed) -> None:
    found = plumbed(carrier=machine(couplers="flat-face 1/2"))
    blade = [c for c in found.couplers if c.side == "blade"]
    carrier = [c for c in found.couplers if c.side == "carrier"]
    assert [c.sex for c in blade] == ["female", "male"]
    assert [c.sex for c in carrier] == ["male", "female"]
    assert {c.owner for c in blade} == {"the blade"} and {c.pays for c in carrier} == {"the customer"}
    assert {c.standard for c in found.couplers} == {"ISO 16028"}


def test_the_size_follows_the_carriers_where_we_have_it(plumbed: Plumbed) -> None:
    found = plumbed(hoses="poppet", kind="tractor", carrier=machine("tractor", couplers="poppet 3/8"))
    assert {c.size for c in found.couplers} == {"3/8"}
    assert found.couplers[0].thread is not None and found.couplers[0].thread.short == "NPT 3/8"
    assert met(found).verdict == "holds"


def test_couplers_that_were_only_told_never_hold_and_ask_for_a_photo(plumbed: Plumbed) -> None:
    found = met(plumbed(carrier=machine(source="told", couplers="flat-face 1/2")))
    assert found.verdict == "not checked"
    assert "would meet if that is so" in found.sentence
    assert "Send a photo" in found.sentence


def test_couplers_nobody_spoke_of_are_not_checked_and_ask_for_a_photo(plumbed: Plumbed) -> None:
    found = met(plumbed())
    assert found.verdict == "not checked"
    assert "nobody said what couplers the machine has" in found.sentence and "photo" in found.sentence


def test_the_other_family_fails_and_names_what_to_send(plumbed: Plumbed) -> None:
    found = met(plumbed(carrier=machine(couplers="poppet 1/2")))
    assert found.verdict == "fails"
    assert "they do not couple. Choose hoses = poppet and send poppet 1/2." in found.sentence


def test_a_size_nobody_keeps_fails_with_the_sizes_we_have(plumbed: Plumbed) -> None:
    found = met(plumbed(carrier=machine(couplers="flat-face 3/4")))
    assert found.verdict == "fails"
    assert "We keep 3/8, 1/2 of flat-face" in found.sentence


def test_series_b_poppets_are_told_from_series_a(plumbed: Plumbed) -> None:
    found = met(plumbed(hoses="poppet", kind="tractor", carrier=machine("tractor", couplers="poppet 1/2 series B")))
    assert found.verdict == "fails"
    assert "Series B poppets are another shape" in found.sentence


def test_a_family_without_a_size_asks_for_the_size(plumbed: Plumbed) -> None:
    found = met(plumbed(carrier=machine(couplers="flat-face")))
    assert found.verdict == "not checked" and "does not say which size" in found.sentence


def test_one_pair_is_said(plumbed: Plumbed) -> None:
    found = plumbed(hoses="poppet", kind="tractor", carrier=machine("tractor", couplers="poppet 1/2, one pair"))
    said = next(f for f in found.findings if f.title == "one pair of outlets")
    assert "single pair" in said.sentence


@pytest.mark.parametrize(
    ("side", "source", "verdict"),
    [("left", "book", "holds"), ("both", "book", "holds"), ("right", "book", "fails"), ("right", "told", "fails"),
     ("left", "told", "not checked")],
)  # fmt: skip
def test_the_side_of_the_outlets_is_held_against_the_machine(
    plumbed: Plumbed, side: str, source: str, verdict: str
) -> None:
    found = plumbed(carrier=machine(source=source, outlets=side))
    said = next(f for f in found.findings if f.title == "outlet side")
    assert said.verdict == verdict
    if verdict == "fails":
        assert "plumb it right: base, block and hoses change side" in said.sentence


def test_plain_ends_leave_the_couplers_to_the_customer_and_are_capped(plumbed: Plumbed) -> None:
    found = plumbed(hoses="hoses-only", kind="wheel loader")
    assert not found.couplers
    assert met(found).verdict == "not checked"
    assert [p.on for p in found.plugs if p.name.startswith("cap for a swivel")] == [
        "loose end of hose 1", "loose end of hose 2",
    ]  # fmt: skip
