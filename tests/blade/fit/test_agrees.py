"""The quick answer over the range and the full one for one blade say the same: values, limits, verdicts."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from plowwright.blade import carriers
from plowwright.blade.carriers import Carrier
from plowwright.blade.fit.judging import Held
from plowwright.blade.fit.ranking import fit
from plowwright.blade.suit.results import Check
from plowwright.blade.suit.suits import suits
from plowwright.blade.work import UNTOLD, Work
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH

from .callers import BOOK_TRACTOR, caller, metric_caller, tractor


@pytest.fixture(scope="session")
def machines(demo_dir: Path) -> dict[str, Carrier]:
    known = carriers.load_all(demo_dir / "carriers")
    told = tractor()
    return {
        **known,
        "metric": metric_caller(),
        "tractor": told,
        "tractor told": replace(told, facts=tuple(replace(f, source="told") for f in told.facts)),
        "light in front": tractor(front_axle_limit=("2,600 lb", "greatest load")),
        "light behind": tractor(rear_axle=("1,200 lb", "standing load, no attachment")),
        "no axle limit": tractor(front_axle_limit=None),
        "reach known": tractor(reach="60 in", plate_ahead="35 in"),
        "ballasted": tractor(ballast=("600 lb", "hung behind the rear axle"), rear_axle_limit="4,500 lb"),
        "filled wheels": tractor(ballast=("500 lb", "in the rear wheels"), lift=("1,500 lb", "at pins, full height")),
        "told rear limit": caller("tractor", **BOOK_TRACTOR, rear_axle_limit="3,000 lb"),
        "turns far": caller(
            "wheel loader", source="book", power="45 hp", mass="5,900 lb", wheelbase="74 in", articulation="35 deg",
            tipping_load=("3,600 lb", "straight"), ballast=("300 lb", "hung behind the rear axle"),
            front_axle="3,000 lb", rear_axle="2,900 lb", front_axle_limit="4,600 lb", pins_ahead="18 in",
        ),
        "rated": caller("skid steer", source="plate", power="50 hp", mass="5,500 lb", lift=("1,300 lb", "rated")),
        "straight only": caller(
            "wheel loader", source="book", power="45 hp", mass="5,900 lb", wheelbase="74 in",
            tipping_load=("3,600 lb", "straight"),
        ),
        "narrow": known["k7"].learn(*caller(source="plate", width="70 in").facts),
    }  # fmt: skip


NAMES = (
    *(f"k{i}" for i in range(1, 11)), "metric", "tractor", "tractor told", "light in front", "light behind",
    "no axle limit", "reach known", "ballasted", "filled wheels", "told rear limit", "turns far", "rated",
    "straight only", "narrow",
)  # fmt: skip
WORKS = (UNTOLD, Work(gate=78 * INCH, road=True, driver="owner"))
EVERY = 9
"""Every ninth blade is held in full; the full answer takes its time."""


def same(quick: Held, at: int, full: Check) -> None:
    """One check said twice."""
    said = full.finding.verdict
    standing = quick.standing[at]
    if full.used is None:
        assert standing in ("open", "a note") and said == "not checked"
        return
    wanted = {"fails": "fails", "not checked": "open"}.get(said, "holds")
    assert standing == wanted, full.finding.sentence
    assert full.value is not None and full.limit is not None
    # What the rear axle must keep is a least; here every limit is a greatest.
    value, limit = (full.limit, full.value) if full.key == "rear_axle" else (full.value, full.limit)
    assert float(quick.value[1, at]) == pytest.approx(value.likely, rel=1e-9)
    assert float(quick.limit[1, at]) == pytest.approx(limit.likely, rel=1e-9)


@pytest.mark.parametrize("name", NAMES)
def test_every_limit_has_the_same_value_bound_and_standing_in_both(
    machines: dict[str, Carrier], demo_rules: Rulebook, name: str
) -> None:
    carrier = machines[name]
    for work in WORKS:
        judged = fit(carrier, work, demo_rules).kinds[0].judged
        for at in range(0, len(judged.blades.builds), EVERY):
            full = suits(judged.blades.builds[at], carrier, work)
            assert full is not None
            quick = {check.key: check for check in judged.checks}
            binding = {c.key: c for c in full.checks if c.binds and c.key in quick and quick[c.key].limit.any()}
            assert {"lift", "operating", "front_axle"} & set(binding)
            for key, check in binding.items():
                # While the wheelbase is unknown each takes a usual one for the loader's reach; it gives no verdict.
                if key != "lift" or carrier.known("wheelbase") or carrier.known("reach"):
                    same(quick[key], at, check)
            # What binds there and is not looked at here would be a blade promised and then refused.
            assert {c.key for c in full.checks if c.binds} <= set(quick) | {"mount"}


@pytest.mark.parametrize("name", NAMES)
def test_what_suits_here_suits_there_and_what_does_not_there_does_not_here(
    machines: dict[str, Carrier], demo_rules: Rulebook, name: str
) -> None:
    options = fit(machines[name], UNTOLD, demo_rules).options
    for option in options[::EVERY]:
        full = suits(option.build, machines[name])
        assert full is not None
        if option.verdict == "suits":
            assert full.verdict == "suits"
        if full.verdict == "does not suit":
            assert option.verdict == "does not suit"


def test_the_ballast_is_the_same(machines: dict[str, Carrier], demo_rules: Rulebook) -> None:
    for option in fit(machines["k1"], UNTOLD, demo_rules).options:
        if option.series == "reed":
            full = suits(option.build, machines["k1"])
            assert full is not None and full.ballast is not None
            assert option.ballast == pytest.approx(full.ballast.mass.likely)
            assert option.verdict != "suits" or " lb of ballast" in option.reason


@pytest.mark.parametrize("source", ["told", "book"])
def test_power_alone_is_no_pass_in_either_the_fit_says_the_lift_it_takes_and_the_other_what_to_ask(
    demo_rules: Rulebook, source: str
) -> None:
    machine = caller("tractor", source=source, power="40 hp")
    for option in fit(machine, UNTOLD, demo_rules).options[::EVERY]:
        full = suits(option.build, machine)
        assert full is not None and full.verdict == "cannot be told" and "lift" in full.missing
        assert full.sentence.startswith("Whether ") and "not known: ask" in full.sentence
        assert option.verdict == "would suit if" and "its loader lifts at least" in option.reason
