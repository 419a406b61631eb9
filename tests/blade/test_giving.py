"""The order in which things give, and what it means in sentences."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plowwright.blade import carriers, giving
from plowwright.blade.build import Build, work_out
from plowwright.blade.carriers import Carrier
from plowwright.blade.giving_inputs import Brings, Capacities, Limits, brings, capacities_of, relief_lifts
from plowwright.blade.spans import Span, against
from plowwright.blade.spec import Spec
from plowwright.blade.tripping import trip_of
from plowwright.errors import EntryError
from plowwright.findings import Basis
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.strength import Strength
from plowwright.units.constants import INCH, LBF, PSI


def lb(low: float, high: float | None = None) -> Span:
    top = low if high is None else high
    return Span(low=low * LBF, likely=(low + top) / 2 * LBF, high=top * LBF)


LIGHT = Capacities(
    name="Reed 72 in",
    duty_class="light",
    corner=Limits(
        first_yield=lb(900), yields="left leg", plastic=lb(1300), hinge_pins=lb(4000), edge_bolts=lb(9000),
        relief=lb(1050, 1530), mount=lb(6000),
    ),
    centre=Limits(first_yield=lb(2400), plastic=lb(3500), hinge_pins=lb(7000), edge_bolts=lb(9000, 27000)),
    trip=lb(300, 420),
    relief_setting=2500 * PSI,
    level="level 1",
)  # fmt: skip


@pytest.fixture(scope="module")
def settings(demo_rules: Rulebook) -> Strength:
    assert demo_rules.strength is not None
    return demo_rules.strength


@pytest.fixture(scope="module")
def known(demo_dir: Path) -> dict[str, Carrier]:
    return carriers.load_all(demo_dir / "carriers")


@pytest.fixture(scope="module")
def k6(known: dict[str, Carrier], settings: Strength) -> Brings:
    found = brings(known["k6"], settings, 72 * INCH)
    assert found is not None
    return found


@pytest.fixture(scope="module")
def flint(demo_rules: Rulebook) -> Build:
    spec = Spec(series="flint", width=84 * INCH, mount="loader", carrier_kind="skid steer", hoses="flat-face")
    return work_out(spec, demo_rules, level=0)


def test_the_order_goes_by_force_at_each_place(k6: Brings, settings: Strength) -> None:
    told = giving.order(LIGHT, k6, settings)
    for place in ("corner", "centre"):
        forces = [row.at(place) for row in told.order(place)]
        likely = [span.likely for span in forces if span]
        assert likely == sorted(likely)
    keys = [row.key for row in told.order("corner")]
    assert keys.index("trip") < keys.index("first yield") < keys.index("relief") < keys.index("edge bolts")


def test_the_relief_and_the_mount_are_not_made_up_where_they_are_not_known(k6: Brings, settings: Strength) -> None:
    keys = {row.key for row in giving.order(LIGHT, k6, settings).order("centre")}
    assert "relief" not in keys and "mount" not in keys and "swings round" not in keys
    assert {"trip", "ice", "packed snow", "pavement", "first yield", "plastic"} <= keys


def test_a_light_frame_that_yields_before_its_relief_wants_a_lower_one(k6: Brings, settings: Strength) -> None:
    told = giving.order(LIGHT, k6, settings)
    (said,) = [s for s in told.sentences if s.startswith("The light frame")]
    assert said == (
        "The light frame yields before a 2,500 psi relief lifts (900 lbf against 1,050 to 1,530 lbf at the corner). "
        "Set a lower relief, about 1,300 psi."
    )
    finding = next(f for f in told.findings if f.title.startswith("relief lifts"))
    assert finding.verdict == "fails"
    assert "Set a lower relief, about 1,300 psi" in finding.sentence
    assert finding.basis.inputs["first to yield"] == "left leg"


def test_the_advised_relief_does_lift_before_the_frame_yields(settings: Strength) -> None:
    advice = giving.relief_advice(LIGHT, settings)
    assert advice is not None and LIGHT.corner.relief is not None and LIGHT.corner.first_yield is not None
    assert LIGHT.corner.relief.high * advice / (2500 * PSI) <= 0.9 * LIGHT.corner.first_yield.low
    assert advice / PSI % 50 == pytest.approx(0.0, abs=1e-6)


def test_where_only_the_far_end_of_the_relief_is_over_it_says_may(settings: Strength) -> None:
    some = replace(LIGHT, corner=replace(LIGHT.corner, first_yield=lb(1250)))
    assert any("may yield before a 2,500 psi relief lifts" in s for s in giving.order(some, None, settings).sentences)


def test_a_strong_frame_lets_the_relief_lift_first(settings: Strength) -> None:
    strong = replace(LIGHT, duty_class="heavy", corner=replace(LIGHT.corner, first_yield=lb(4000)))
    told = giving.order(strong, None, settings)
    assert (
        "The 2,500 psi relief lifts before the frame yields (1,050 to 1,530 lbf against 4,000 lbf at the corner)."
        in (told.sentences)
    )
    assert giving.relief_advice(strong, settings) == 2500 * PSI


def test_a_frame_too_weak_for_any_relief_is_told_so(settings: Strength) -> None:
    weak = replace(LIGHT, corner=replace(LIGHT.corner, first_yield=lb(500)))
    said = " ".join(giving.order(weak, None, settings).sentences)
    assert "It would take 700 psi, under the 1,000 psi" in said
    assert "no setting of the relief protects this frame" in said


def test_the_trip_is_said_to_save_the_frame_or_not(settings: Strength) -> None:
    def said(trip: Span) -> str:
        return " ".join(giving.order(replace(LIGHT, trip=trip), None, settings).sentences)

    assert "lets go before the frame yields, with a new edge and with a worn one" in said(lb(300, 420))
    assert "worn it may not: re-set the springs" in said(lb(700, 1000))
    assert "The frame may yield before the trip lets go" in said(lb(1000, 1400))


def test_a_heavier_carrier_is_never_kinder_to_the_frame(known: dict[str, Carrier], settings: Strength) -> None:
    used: list[float] = []
    for key in ("k2", "k6", "k9"):
        told = giving.order(LIGHT, brings(known[key], settings, 72 * INCH), settings)
        strike = next(f for f in told.findings if f.title.startswith("strike of") and "corner" in f.title)
        assert strike.used is not None
        used.append(strike.used)
    assert used == sorted(used)


def test_the_contact_peak_is_named_and_not_held_against_the_frame(k6: Brings, settings: Strength) -> None:
    told = giving.order(LIGHT, k6, settings)
    assert any("first peak of the contact" in s and "is not held against these" in s for s in told.sentences)
    assert not any("contact" in f.title for f in told.findings)


def test_without_a_carrier_a_frame_or_settings_it_says_what_is_missing(settings: Strength) -> None:
    assert any(
        f.sentence == "strikes: not checked because the carrier's weight is not known"
        for f in giving.order(LIGHT, None, settings).findings
    )
    bare = replace(LIGHT, corner=Limits(), centre=Limits())
    told = giving.order(bare, None, settings)
    assert [f.sentence for f in told.findings] == [
        "order of giving: not checked because the frame has not been worked out"
    ]
    assert any("set its relief to 1,500 psi (assumed)" in s for s in told.sentences)
    (only,) = giving.order(LIGHT, None, None).findings
    assert only.sentence == "order of giving: not checked because this rulebook has no strength.toml"


def test_an_unknown_weight_brings_nothing(settings: Strength) -> None:
    assert brings(Carrier(name="a 40 horse", kind="tractor"), settings, 2.0) is None


def test_the_relief_lifts_by_cylinder_arm_and_half_width(flint: Build) -> None:
    """2-1/2 x 1-1/4 in cylinder at 2,500 psi on its arm, over 42 in."""
    arm = flint.assembly.facts["cylinder arm"] / INCH
    lifts = relief_lifts(flint, 2500 * PSI)
    assert lifts.high / LBF == pytest.approx(2500 * 4.9087 * arm / 42, rel=1e-3)
    assert lifts.low / LBF == pytest.approx(2500 * 3.6816 * arm / 42, rel=1e-3)


def test_what_follows_from_the_sizes_alone_is_filled_in(flint: Build) -> None:
    trip = trip_of(flint)
    found = capacities_of(flint, trip, corner=Limits(first_yield=lb(2900)))
    assert found.trip.low == pytest.approx(trip.release())
    assert found.trip.high == pytest.approx(trip.release(trip.wear or 0.0))
    assert found.corner.first_yield == lb(2900)
    assert set(found.protected()) == {"push frame", "relief", "edge bolts"}
    assert found.centre.relief is None


def test_a_span_out_of_order_is_refused() -> None:
    with pytest.raises(EntryError, match="not in that order"):
        Span(low=2.0, likely=1.0, high=3.0)


@given(st.floats(0.1, 10.0), st.floats(1.0, 3.0), st.floats(0.1, 10.0), st.floats(1.0, 3.0))
def test_a_verdict_on_bands_is_never_kinder_than_that_on_its_far_ends(
    a: float, up: float, b: float, wide: float
) -> None:
    value, limit = Span(low=a, likely=a, high=a * up), Span(low=b, likely=b * wide, high=b * wide)
    found = against(value, limit, kind="-", title="t", basis=Basis(kind="assumed", formula="f"))
    if found.verdict == "holds":
        assert value.high <= limit.low
    if found.verdict == "fails":
        assert value.likely > limit.likely


@given(st.floats(0.1, 10.0), st.floats(0.1, 10.0))
def test_products_and_quotients_of_spans_keep_their_order(a: float, b: float) -> None:
    one, two = Span(low=a, likely=a * 1.5, high=a * 2), Span(low=b, likely=b * 1.1, high=b * 3)
    product = one.times(two)
    assert product.low <= product.likely <= product.high
    again = product.over(b)
    assert again.low == pytest.approx(one.low)
    quotient = one.over(two)
    assert quotient.low == pytest.approx(one.low / two.high) and quotient.high == pytest.approx(one.high / two.low)


def test_a_frame_that_is_weaker_swung_over_stands_in_the_order_for_itself(settings: Strength) -> None:
    swung = replace(LIGHT, corner=replace(LIGHT.corner, angled=lb(700), angled_yields="king-pin plate"))
    keys = [row.key for row in giving.order(swung, None, settings).order("corner")]
    assert keys.index("angled") < keys.index("first yield")
    assert swung.protected()["push frame at full angle"] == lb(700)


def test_a_hub_weaker_than_its_frame_is_named(settings: Strength) -> None:
    weak = replace(LIGHT, corner=replace(LIGHT.corner, hub=lb(350), hub_yields="oscillation sleeve"))
    told = giving.order(weak, None, settings)
    assert "The oscillation sleeve holds less than the frame it carries (350 lbf against 900 lbf at the corner)." in (
        told.sentences
    )
    assert weak.protected()["oscillation sleeve"] == lb(350)
