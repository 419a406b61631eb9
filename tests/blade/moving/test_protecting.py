"""The crossover relief: where it sits, which end it protects, what it may be set to; never full protection."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plowwright.blade.build import held
from plowwright.blade.moving.results import Swinging
from plowwright.blade.moving.striking import Struck, look
from plowwright.blade.moving.swinging import swinging
from plowwright.blade.poses import Pose, stretch
from plowwright.findings import Finding
from plowwright.units.constants import INCH, PSI

from .conftest import Known, Made, told
from .test_restrictors import with_rules


def named(found: Swinging, title: str) -> Finding:
    return next(f for f in found.findings if f.title.startswith(title))


def moved(build, carrier=None, **given) -> Swinging:  # type: ignore[no-untyped-def]
    found = swinging(build, carrier, **given)
    assert found is not None
    return found


@pytest.mark.parametrize("outlets", ["left", "right"])
def test_the_end_it_does_not_protect_is_the_one_whose_strike_pushes_the_rod_in(
    made: Made, known: Known, outlets: str
) -> None:
    build = made(outlets=outlets)
    found = moved(build, known("K7"))
    bad = next(f for f in found.findings if f.title.endswith("rod in"))
    assert bad.verdict == "fails" and "nowhere to go" in bad.sentence
    assert "a path to tank, an accumulator or a cylinder of equal areas" in bad.sentence
    # A strike drives its end back: left end back is a turn to minus.
    turn = -0.2 if "left end" in bad.title else 0.2
    rod = build.assembly.part("cylinder rod").link
    assert rod is not None
    assert stretch(rod, build.assembly, Pose(angle=turn)) < stretch(rod, build.assembly, Pose())


@given(series=st.sampled_from(["reed", "flint", "basalt"]), width=st.sampled_from([54.0, 60.0, 72.0]))
@settings(max_examples=9)
def test_one_cylinder_with_one_rod_is_never_called_fully_protected(made: Made, series: str, width: float) -> None:
    found = moved(made(series, width), told(pressure="3,000 psi", flow="20 gpm"))
    assert not found.protection.full
    said = " ".join(f.sentence for f in found.findings).lower()
    assert "full protection" not in said and "fully protected" not in said
    assert "never full protection" in named(found, "strike on").basis.source


def test_a_path_to_tank_protects_while_it_is_open_and_says_how_much_it_must_take(made: Made, known: Known) -> None:
    found = moved(with_rules(made(), "relief", to_tank=True), known("K7"))
    bad = next(f for f in found.findings if f.title.endswith("rod in"))
    assert bad.verdict == "holds" and "as long as the path to tank is open" in bad.sentence


def test_a_small_accumulator_protects_in_part_only(made: Made, known: Known) -> None:
    found = moved(with_rules(made(), "relief", accumulator=2.0 * INCH**3), known("K7"))
    bad = next(f for f in found.findings if f.title.endswith("rod in"))
    assert bad.verdict == "near limit" and "too small for the" in bad.sentence


def test_a_restrictor_between_cylinder_and_relief_is_flagged_with_the_figure(made: Made, known: Known) -> None:
    right = named(moved(made(), known("K7")), "order on the cylinder")
    wrong = named(moved(made(), known("K7"), order="restrictor between cylinder and relief"), "order on the cylinder")
    assert right.verdict == "holds" and wrong.verdict == "fails"
    assert "makes the relief useless" in wrong.sentence
    assert "build it cylinder, relief, restrictors, hoses" in wrong.sentence
    assert right.used is not None and wrong.used is not None and wrong.used > 3.0 * right.used
    assert wrong.value in wrong.sentence and wrong.value.endswith("psi")


def test_a_small_relief_valve_is_flagged_for_the_flow_of_a_strike(made: Made, known: Known) -> None:
    small = with_rules(made(), "relief", flow=8 * 6.30902e-5)
    finding = named(moved(small, known("K7")), "flow through the relief")
    assert finding.verdict == "fails" and "through a valve made for 8 gpm" in finding.sentence


def test_the_setting_is_not_judged_while_the_frame_has_not_been_looked_at(made: Made, known: Known) -> None:
    finding = named(moved(made(), known("K7")), "relief setting")
    assert finding.verdict == "not checked"
    assert "the frame has not been looked at: work the blade out at level 1 or 2" in finding.sentence


def test_with_the_strength_worked_out_the_window_names_what_gives_first(made: Made, known: Known) -> None:
    build = held(made("basalt", 84.0), known("K7"), level=1)
    found = moved(build, known("K7"))
    assert found.window is not None and build.holding is not None
    held_by = build.holding.capacities.protected()
    weakest = min((span.low, name) for name, span in held_by.items() if name not in ("relief", "edge bolts"))
    assert found.window.high_by == weakest[1]
    arm, half, area = found.linkage.greatest_arm, found.turns.half_width, found.cylinder.cap_area
    assert found.window.high == pytest.approx(weakest[0] * half / (arm * area))
    finding = named(found, "relief setting")
    assert finding.verdict == "fails" and "gives before the relief lifts" in finding.sentence


def test_a_carrier_of_higher_relief_lifts_it_at_the_stops_and_that_is_said(made: Made, known: Known) -> None:
    sentence = named(moved(made(), known("K7")), "relief setting").sentence
    assert "so let go of the lever there" in sentence


def test_a_strike_followed_through_shows_what_the_relief_is_worth(made: Made, known: Known) -> None:
    found = look(made(), known("K7"))
    assert isinstance(found, Struck)
    assert 2500 * PSI < found.end.pressure < 0.7 * found.blocked.pressure
    # The end has the smaller contact force and turns the blade; the middle does not.
    assert found.end.peak < found.middle.peak and found.middle.yaw < 0.01 * found.end.yaw
    assert (
        found.finding.verdict == "not checked" and "for comparing settings, not for a limit" in found.finding.sentence
    )


def test_without_the_carriers_weight_the_deeper_look_says_so(made: Made) -> None:
    found = look(made(), told(pressure="3,000 psi"))
    assert isinstance(found, Finding)
    assert found.sentence.endswith("not checked because the carrier's weight is not known")
