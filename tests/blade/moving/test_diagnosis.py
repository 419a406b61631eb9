"""Two times from a customer's yard: what was done to the blade is found back, told by the end that goes forward."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plowwright.blade.build import Build
from plowwright.blade.carriers import Carrier
from plowwright.blade.moving.diagnosis import Diagnosis, diagnose
from plowwright.blade.moving.geometry import LEFT, ways_of
from plowwright.blade.moving.swinging import circuit_of
from plowwright.errors import ModelError
from plowwright.physics import drills
from plowwright.physics.circuits import Circuit, Restrictors
from plowwright.physics.hydraulics import swing_times
from plowwright.physics.orifices import Restrictor
from plowwright.units.constants import GPM

from .conftest import Known, Made, told

WARM = 35.0


def timed(build: Build, circuit: Circuit) -> tuple[float, float]:
    """Times as the customer reads them: left end forward, right end forward."""
    times = swing_times([circuit])[0]
    pair = times.rod_out.time, times.rod_in.time
    return pair if ways_of(build)["out"] == LEFT else (pair[1], pair[0])


def drilled(name: str) -> Restrictors:
    hole = Restrictor(diameter=drills.named(name).diameter)
    return Restrictors(cap=hole, rod=hole)


def asked(build: Build, carrier: Carrier, really: Circuit, at: float = WARM) -> Diagnosis:
    return diagnose(build, carrier, *timed(build, really), at)


@pytest.mark.parametrize("outlets", ["left", "right"])
def test_a_drilled_out_pair_is_found_with_its_drill_and_what_to_send(made: Made, known: Known, outlets: str) -> None:
    build, k7 = made(outlets=outlets), known("K7")
    found = asked(build, k7, circuit_of(build, k7, restrictors=drilled("#45"), temperature=WARM))
    assert found.best is not None and found.best.name == "drilled out"
    assert found.send == "restrictor pair" and found.stop
    assert "drill #45 (0.0820 in)" in found.sentence and "restrictors stamped #55 (0.0520 in)" in found.sentence
    assert "do not use it until they are fitted" in found.sentence


@given(at=st.sampled_from(range(20, 45)))
@settings(max_examples=12)
def test_drilling_is_found_whatever_drill_was_used(made: Made, known: Known, at: int) -> None:
    build, k7 = made(), known("K7")
    found = asked(build, k7, circuit_of(build, k7, restrictors=drilled(f"#{at}"), temperature=WARM))
    assert found.best is not None
    # Once the hole is so wide that the pump sets the pace, a hole too many and none at all look alike.
    assert found.best.name == "drilled out" or "drilled out" in found.alike or found.send == "restrictor pair"
    assert found.stop


def test_a_blade_as_it_was_built_sends_nothing(made: Made, known: Known) -> None:
    build, k7 = made(), known("K7")
    found = asked(build, k7, circuit_of(build, k7, temperature=WARM))
    assert found.best is not None and found.best.name == "as built"
    assert found.send == "nothing" and not found.stop
    assert found.expected == pytest.approx(timed(build, circuit_of(build, k7, temperature=WARM)))


@pytest.mark.parametrize("outlets", ["left", "right"])
@pytest.mark.parametrize("side", ["cap", "rod"])
def test_one_missing_restrictor_is_told_by_its_port_on_either_hand(
    made: Made, known: Known, side: str, outlets: str
) -> None:
    build, k7 = made(outlets=outlets), known("K7")
    pair = circuit_of(build, k7).restrictors
    left = Restrictors(cap=None, rod=pair.rod) if side == "cap" else Restrictors(cap=pair.cap, rod=None)
    found = asked(build, k7, circuit_of(build, k7, restrictors=left, temperature=WARM))
    assert found.best is not None and found.best.name == f"{side}-side restrictor missing"
    assert found.send == "one restrictor"


def test_a_weak_pump_sends_nothing_and_says_where_to_look(made: Made, known: Known) -> None:
    build, k7 = made("basalt", 108.0), known("K7")
    circuit = circuit_of(build, k7, temperature=WARM)
    weak = replace(circuit, supply=replace(circuit.supply, flow=1.2 * GPM))
    found = asked(build, k7, weak)
    assert found.best is not None and found.best.name == "pump too small"
    assert found.send == "nothing" and "the blade needs nothing" in found.sentence


def test_cold_oil_is_found_when_the_temperature_told_was_too_warm(made: Made, known: Known) -> None:
    build, k7 = made("basalt", 108.0), known("K7")
    found = asked(build, k7, circuit_of(build, k7, temperature=-5.0))
    names = {c.name for c in found.causes if c.fits}
    assert "oil colder than told" in names


def test_what_leans_on_a_told_pressure_says_so(made: Made) -> None:
    build = made()
    caller = told(pressure="3,000 psi", flow="20 gpm", source="told")
    found = asked(build, caller, circuit_of(build, caller, restrictors=drilled("#45"), temperature=WARM))
    assert found.sentence.startswith("would be so if the oil pressure really is 3,000 psi as told")


def test_an_unknown_relief_asks_for_it_and_sends_nothing_yet(made: Made) -> None:
    found = diagnose(made(), told(flow="20 gpm"), 2.0, 2.5, WARM)
    assert found.send is None and found.causes == () and found.best is None
    assert found.sentence == (
        "cannot be told: the relief of caller is not known; ask for the relief of its auxiliary outlets, in psi, off "
        "the plate or the book"
    )


def test_an_unknown_flow_leaves_the_pump_out_and_asks(made: Made) -> None:
    build, caller = made(), told(pressure="3,000 psi")
    found = asked(build, caller, circuit_of(build, caller, restrictors=drilled("#45"), temperature=WARM))
    assert found.best is not None and found.best.name == "drilled out"
    assert not {"pump too small", "both restrictors missing"} & {c.name for c in found.causes}
    assert "ask for the flow of its auxiliary outlets" in found.sentence


def test_times_no_single_cause_explains_are_called_that(made: Made, known: Known) -> None:
    found = diagnose(made(), known("K7"), 30.0, 1.0, WARM)
    assert found.send is None and not found.stop
    assert found.sentence.startswith("no single cause explains both times; nearest is ")


def test_a_time_of_nothing_is_refused(made: Made, known: Known) -> None:
    with pytest.raises(ModelError, match=r"two times are needed, one each way \(given: 0 s out, 2 s in\)"):
        diagnose(made(), known("K7"), 0.0, 2.0, WARM)
