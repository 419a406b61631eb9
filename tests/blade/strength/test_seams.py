"""Welds of a blade held against what goes through them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pytest

from plowwright.blade import assemble, datum
from plowwright.blade.datum import Datum
from plowwright.blade.parts import Assembly, Joint, Weld
from plowwright.blade.spec import Spec
from plowwright.blade.strength import (
    joints,
    members,
    mount_seams,
    pin_joints,
    seam_groups,
    seam_sizes,
    seams,
    spring_lugs,
)
from plowwright.blade.strength.analysis import analyse
from plowwright.blade.strength.analysis_results import Analysis
from plowwright.blade.strength.joint_checks import JointCheck
from plowwright.errors import ModelError
from plowwright.physics.welds import fillet_strength
from plowwright.rulebook.reading import Rulebook
from plowwright.units.constants import INCH, LBF, PSI


@dataclass(frozen=True, kw_only=True)
class Blade:
    assembly: Assembly
    datum: Datum
    rulebook: Rulebook


def blade(rules: Rulebook, series: str = "flint", width: float = 84.0, mount: str = "loader") -> Blade:
    spec = Spec(
        series=series,
        width=width * INCH,
        mount=mount,
        carrier_kind="tractor" if mount == "pin-on" else "skid steer",
        hoses="none" if series == "reed" else "poppet" if mount == "pin-on" else "flat-face",
    )
    return Blade(assembly=assemble.assemble(spec, rules), datum=datum.work_out(spec, rules), rulebook=rules)


def with_joints(known: Blade, changed: list[Joint]) -> Blade:
    return replace(known, assembly=replace(known.assembly, joints=tuple(changed)))


@pytest.fixture(scope="module")
def flint(demo_rules: Rulebook) -> Blade:
    return blade(demo_rules)


@pytest.fixture(scope="module")
def shell(flint: Blade) -> Analysis:
    return analyse(flint, level=2)


@pytest.fixture(scope="module")
def lattice(flint: Blade) -> Analysis:
    return analyse(flint, level=1)


@pytest.fixture(scope="module")
def welded(flint: Blade, shell: Analysis) -> seams.SeamChecks:
    return seams.check(flint, shell)


def named(found: seams.SeamChecks, place: str) -> JointCheck:
    return next(check for check in found.checks if check.place == place)


def test_web_feet_are_told_by_the_shell_and_never_by_the_lattice(
    flint: Blade, lattice: Analysis, welded: seams.SeamChecks
) -> None:
    feet = [check.place for check in welded.checks if check.kind == "web foot"]
    assert feet == [
        "web 1 to bottom angle",
        "web 2 and ear 1 to bottom angle",
        "web 3 and ear 2 to bottom angle",
        "web 4 and ear 3 to bottom angle",
        "web 5 to bottom angle",
    ]
    rough = seams.check(flint, lattice)
    assert not [check for check in rough.checks if check.kind == "web foot"]
    said = {row.place: row.because for row in rough.unchecked}
    assert said["weld of web to bottom angle"] == (
        "level 1 does not work out what goes through it; work the blade out at level 2"
    )
    finding = next(r for r in rough.unchecked if r.place == "weld of web to bottom angle").finding()
    assert finding.verdict == "not checked"


def test_every_weld_of_a_blade_is_either_checked_or_said_not_to_be(flint: Blade, welded: seams.SeamChecks) -> None:
    checked = {check.family for check in welded.checks}
    unsaid = {row.place.removeprefix("weld of ") for row in welded.unchecked}
    for place in (
        "leg to hinge beam", "cross to leg", "king-pin plate to leg", "tower to hinge beam", "brace to tower",
        "tower bar to tower", "beam ear to hinge beam", "ear to web", "web to skin", "hub plate to oscillation pin",
        "oscillation sleeve to mount plate", "cylinder lug to lug post", "lug post to leg",
        "base bracket to cylinder arm", "cylinder arm to hub plate", "angling stop to cylinder arm",
        "stop pad to king-pin plate",
    ):  # fmt: skip
        assert place in checked, place
    for word in ("gusset", "stand pocket", "top lip"):
        assert any(place.startswith(word) for place in unsaid), word
    assert not checked & unsaid - {"cylinder lug to lug post", "lug post to leg", "base bracket to cylinder arm"}


def test_a_web_and_the_ear_on_it_stand_on_the_shelf_as_one_foot(
    flint: Blade, shell: Analysis, welded: seams.SeamChecks
) -> None:
    board = shell.board
    assert board is not None
    ear = board.ears["ear 1 to shelf"]
    rows = [
        j
        for j in flint.assembly.joints
        if isinstance(j, Weld) and j.joins in (("web 2", "bottom angle"), ("ear 1", "bottom angle"))
    ]
    assert len(rows) == 3
    group = seam_groups.welded("foot", rows, flint, 70e3 * PSI).group
    # Each force about its own place, one after the other, instead of both about one point.
    web = board.web_feet["web 2"]
    stress = group.leg_stress(web[:, :3], web[:, 3:], board.web_foot_places["web 2"])
    stress = stress + group.leg_stress(ear.forces[:, :3], ear.forces[:, 3:], ear.at)
    per_length = np.linalg.norm(stress, axis=-1).max(axis=-1) * group.legs
    # Legs differ, so the line that gives first need not carry the most; what it carries is one of these.
    check = named(welded, "web 2 and ear 1 to bottom angle")
    apart = np.abs(per_length - check.demand[:, None]).min(axis=1)
    assert (apart <= 1e-9 * check.demand + 1e-12).all()


def test_a_seams_use_is_its_force_per_length_over_what_its_leg_and_plate_allow(
    flint: Blade, shell: Analysis, welded: seams.SeamChecks
) -> None:
    """A king-pin plate's seams on a leg, worked out again here from the group's own sums."""
    check = named(welded, "king-pin plate upper to leg left")
    passed = shell.transfer("king-pin plate upper", "leg left")
    rows = [j for j in flint.assembly.joints if isinstance(j, Weld) and set(j.joins) == set(passed.joins)]
    points = np.array([line for weld in rows for line in weld.lines()])
    runs = np.linalg.norm(points[:, 1] - points[:, 0], axis=1)
    many = np.linspace(0.0005, 0.9995, 1000)
    places = points[:, None, 0] + many[:, None] * (points[:, 1] - points[:, 0])[:, None]
    share = np.repeat(runs / 1000, 1000)
    flat = places.reshape(-1, 3)
    centre = (share[:, None] * flat).sum(axis=0) / share.sum()
    r = flat - centre
    tensor = np.einsum("p,pij->ij", share, (r**2).sum(axis=1)[:, None, None] * np.eye(3) - r[:, :, None] * r[:, None])
    case = int(np.argmax(check.use))
    moment = passed.forces[case, 3:] + np.cross(np.array(passed.place) - centre, passed.forces[case, :3])
    per_length = passed.forces[case, :3] / share.sum() + np.cross(np.linalg.solve(tensor, moment), r)
    assert check.demand[case] == pytest.approx(np.linalg.norm(per_length, axis=1).max(), rel=2e-3)
    # 1/4 in of E70 is 3.712 kip/in, raised by 1.67 over 1.1 for a strike; the plate's own shear is more.
    metal = fillet_strength(rows[0].leg, electrode=70e3 * PSI) * 1.67 / 1.1
    assert float(check.allowed[case]) <= metal * (1 + 1e-9)
    assert check.use[case] == pytest.approx(check.demand[case] / check.allowed[case])


def test_legs_twice_as_large_use_half_as_much_where_the_throat_decides(flint: Blade, shell: Analysis) -> None:
    thick = [replace(j, leg=2 * j.leg) if isinstance(j, Weld) else j for j in flint.assembly.joints]
    one = named(seams.check(flint, shell), "oscillation sleeve to mount plate")
    two = named(seams.check(with_joints(flint, thick), shell), "oscillation sleeve to mount plate")
    assert one.way == "throat of the weld"
    assert two.use.max() < one.use.max()
    assert two.demand == pytest.approx(one.demand)


def test_a_weld_of_zero_length_is_refused_by_its_name(flint: Blade, shell: Analysis) -> None:
    short = [
        replace(j, end=j.start, sides=1, across=(0.0, 0.0, 0.0)) if j.id == "tower left to hinge beam" else j  # type: ignore[call-arg]
        for j in flint.assembly.joints
    ]
    with pytest.raises(ModelError, match=r"weld 'tower left to hinge beam' holds nothing \(given: length 0 in\)"):
        seams.check(with_joints(flint, short), shell)


def test_a_mirrored_load_uses_the_mirrored_feet(shell: Analysis, welded: seams.SeamChecks) -> None:
    right, left = (named(welded, f"web {number} to bottom angle") for number in (1, 5))
    push = shell.number("uniform push, straight")
    assert right.use[push] == pytest.approx(left.use[push], rel=0.05)


def test_a_case_twice_as_strong_uses_twice_as_much_and_the_capacity_uses_all(welded: seams.SeamChecks) -> None:
    check = named(welded, "leg left to hinge beam")
    case = "strike left corner, straight"
    assert check.worst({case: 2000.0})[1] == pytest.approx(2 * check.worst({case: 1000.0})[1])
    assert check.worst({case: check.capacity(case)})[1] == pytest.approx(1.0)
    assert check.finding({case: 1.05 * check.capacity(case)}, "test").verdict == "fails"
    assert check.finding({case: 0.5 * check.capacity(case)}, "test").verdict == "holds"


def test_a_finding_of_a_weld_says_place_value_limit_case_and_basis(welded: seams.SeamChecks) -> None:
    check = named(welded, "cross to leg right")
    case = check.worst({c.name: 1.0 for c in check.cases if c.scales})[0]
    finding = check.finding({case: 1000 * LBF}, "a thousand pounds, for a test")
    assert finding.place == "cross to leg right"
    assert finding.title.startswith("cross to leg: ")
    assert " lb/in under " in finding.sentence and " at 1,000 lbf, allowed " in finding.sentence
    assert finding.limit.startswith("at most ") and finding.margin.endswith(("left", "over"))
    assert finding.basis.inputs["force rests on"] == "a thousand pounds, for a test"
    assert finding.basis.inputs["model"] == "level 2, shell moldboard"
    assert "leg 1/4 in" in finding.basis.inputs["seams"]
    assert "AISC 360-16 J2.4" in finding.basis.source


def test_a_throat_that_does_not_hold_says_which_leg_would(welded: seams.SeamChecks) -> None:
    check = named(welded, "oscillation sleeve to mount plate")
    assert check.leg == pytest.approx(INCH / 4)
    case = "strike left corner, straight"
    finding = check.finding({case: 1.4 * check.capacity(case)}, "test")
    assert finding.sentence.endswith("140 % of it used; a leg of 3/8 in would hold")
    hopeless = check.finding({case: 4 * check.capacity(case)}, "test")
    assert hopeless.sentence.endswith("no leg would do: it needs longer seams, or more of them")


def test_the_lugs_of_a_pin_on_mount_carry_together_what_the_sleeve_puts_on_the_plate(demo_rules: Rulebook) -> None:
    known = blade(demo_rules, mount="pin-on")
    found = analyse(known, level=1)
    loads = mount_seams.lug_loads(known, found)
    assert list(loads) == ["lug 1", "lug 2", "lug 3", "lug 4"]
    force = sum(rows[:, :3] for _, rows in loads.values())
    root = np.array(found.mount_root)
    moment = sum(rows[:, 3:] + np.cross(at - root, rows[:, :3]) for at, rows in loads.values())
    assert force == pytest.approx(found.mount_forces[:, :3], abs=1e-6)
    assert moment == pytest.approx(found.mount_forces[:, 3:], abs=1e-6)
    plates = pin_joints.check(known, found)[0]
    assert next(c for c in plates if c.place == "lug 1").demand == pytest.approx(
        np.linalg.norm(loads["lug 1"][1][:, [0, 2]], axis=1)
    )
    checks = seams.check(known, found).checks
    assert [c.place for c in checks if c.family == "lug to mount plate"] == [
        f"lug {n} to mount plate" for n in (1, 2, 3, 4)
    ]


def test_metal_beside_a_tee_is_shared_by_the_seams_on_both_faces(flint: Blade) -> None:
    foot = next(j for j in flint.assembly.joints if j.id == "web 1 to shelf")
    assert isinstance(foot, Weld)
    joint = seam_groups.welded("web 1 on the shelf", (foot,), flint, 70e3 * PSI)
    web = flint.assembly.part("web 1")
    shear = 0.60 * members.strength_of(web, flint.rulebook, "tensile") * web.thickness / 2 / 2.0
    assert joint.by_plate == (True, True)
    assert joint.allowed == pytest.approx([shear, shear])


def test_fillets_keep_to_least_and_greatest_legs_and_say_where_they_do_not(flint: Blade) -> None:
    for finding in seam_sizes.findings(flint):
        assert finding.verdict == "holds", finding.text
    thin = [replace(j, leg=INCH / 16) if j.id == "leg left to hinge beam" else j for j in flint.assembly.joints]  # type: ignore[call-arg]
    failing = [f for f in seam_sizes.findings(with_joints(flint, thin)) if f.verdict == "fails"]
    assert [f.place for f in failing] == ["leg left to hinge beam"]
    assert failing[0].value == "1/16 in" and failing[0].limit == "at least 1/8 in"
    fat = [replace(j, leg=INCH / 4) if j.id == "skin to angle" else j for j in flint.assembly.joints]  # type: ignore[call-arg]
    over = [f for f in seam_sizes.findings(with_joints(flint, fat)) if f.verdict == "fails"]
    assert [f.title for f in over] == ["greatest leg of a fillet along an edge"]


def test_spring_lugs_their_welds_and_eyebolts_are_held_against_the_springs_greatest_pull(flint: Blade) -> None:
    found = {f.title: f for f in spring_lugs.findings(flint)}
    assert set(found) == {"spring lug at its hook", "weld of a spring lug", "eyebolt of a spring"}
    # 110 lb wound in and 4-1/2 in at 131 lb/in.
    assert found["eyebolt of a spring"].value == "700 lbf"
    # 0.75 x 60 ksi x 0.307 in2 / 2.
    assert found["eyebolt of a spring"].limit == "at most 6,903 lbf"
    assert found["eyebolt of a spring"].basis.kind == "assumed"


def test_all_joints_together_give_the_first_to_go_and_one_finding_of_each_family(flint: Blade, shell: Analysis) -> None:
    found = joints.check(flint, shell)
    case = "strike left corner, straight"
    first, force = found.first(case)
    assert all(force <= check.capacity(case) for check in found.checks)
    assert first.place
    told = found.findings({case: 500 * LBF}, "five hundred pounds")
    titles = [f.title for f in told if f.verdict != "not checked"]
    assert len(titles) == len(set(titles))
    assert any(f.verdict == "not checked" for f in told)
    worst = next(f for f in told if f.title.startswith("beam ear to hinge beam"))
    uses = [c.worst({case: 500 * LBF})[1] for c in found.checks if c.family == "beam ear to hinge beam"]
    assert worst.used == pytest.approx(max(uses))


@pytest.mark.parametrize(("series", "width"), [("reed", 54), ("reed", 72), ("basalt", 84), ("basalt", 108)])
def test_joints_of_every_class_can_be_worked_out_at_both_levels(
    demo_rules: Rulebook, series: str, width: float
) -> None:
    known = blade(demo_rules, series, width)
    for level in (1, 2):
        found = joints.check(known, analyse(known, level=level))  # type: ignore[arg-type]
        assert all(np.isfinite(check.use).all() for check in found.checks)
        assert max(check.use.max() for check in found.checks) > 0
