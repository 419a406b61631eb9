"""The same frame built in PyNiteFEA, an independent open-source frame program.

It knows no rigid arms, so an arm becomes a link as many times stiffer than the stiffest member as `link` says, and
no shear deformation: frames to be compared have infinite shear areas. Springs here are those to the ground along the
global axes.
"""

from __future__ import annotations

import math
import time
from dataclasses import dataclass

import numpy as np
from Pynite import FEModel3D

from plowwright.physics.frame_elements import place
from plowwright.physics.frames import Frame, Loads

FREEDOMS = ("DX", "DY", "DZ", "RX", "RY", "RZ")
FORCES = ("FX", "FY", "FZ", "MX", "MY", "MZ")


@dataclass(frozen=True, kw_only=True)
class Answer:
    """What PyNiteFEA says: arrays as in our own result, and the seconds its analysis took."""

    displacements: np.ndarray
    reactions: np.ndarray
    end_forces: np.ndarray
    seconds: float


def build(frame: Frame, loads: Loads, *, link: float = 1e4) -> FEModel3D:
    """The frame as a PyNiteFEA model, its cases as load combinations '0', '1', ..."""
    model = FEModel3D()
    for k, (x, y, z) in enumerate(frame.nodes.tolist()):
        model.add_node(f"n{k}", x, y, z)
        model.def_support(f"n{k}", *(bool(held) for held in frame.supports[k]))
    _add_members(model, frame, link)
    _add_springs(model, frame)
    for case in range(len(loads.names)):
        model.add_load_combo(str(case), {str(case): 1.0})
        for node, freedom in zip(*np.nonzero(loads.nodal[case]), strict=True):
            model.add_node_load(f"n{node}", FORCES[freedom], float(loads.nodal[case, node, freedom]), str(case))
        if loads.uniform is None:
            continue
        for member, axis in zip(*np.nonzero(loads.uniform[case]), strict=True):
            size = float(loads.uniform[case, member, axis])
            model.add_member_dist_load(f"m{member}", FORCES[axis], size, size, case=str(case))
    return model


def _has_arms(frame: Frame) -> bool:
    return bool(np.any(frame.members.offset_start) or np.any(frame.members.offset_end))


def _add_members(model: FEModel3D, frame: Frame, link: float) -> None:
    members = frame.members
    placed = place(frame.nodes, members)
    if _has_arms(frame):
        young, area = members.young.max(), members.area.max()
        inertia = link * max(members.inertia_y.max(), members.inertia_z.max())
        model.add_material("rigid", young, young / 2.6, 0.3, 0.0)
        model.add_section("rigid", link * area, inertia, inertia, inertia)
    for k in range(len(members.names)):
        nodes: list[str] = []
        for end, offset in ((0, members.offset_start[k]), (1, members.offset_end[k])):
            node = int(members.ends[k, end])
            name = f"n{node}"
            if offset.any():
                name = f"n{node}-m{k}-{end}"
                model.add_node(name, *(frame.nodes[node] + offset).tolist())
                model.add_member(f"link {name}", f"n{node}", name, "rigid", "rigid")
            nodes.append(name)
        model.add_material(f"m{k}", members.young[k], members.shear_modulus[k], 0.3, 0.0)
        section = (members.area[k], members.inertia_y[k], members.inertia_z[k], members.torsion[k])
        model.add_section(f"m{k}", *(float(value) for value in section))
        model.add_member(f"m{k}", *nodes, f"m{k}", f"m{k}")
        member = model.members[f"m{k}"]
        bare, z = member.T()[:3, :3], placed.axes[k, 2]
        member.rotation = math.degrees(math.atan2(-float(z @ bare[1]), float(z @ bare[2])))
        assert np.allclose(member.T()[:3, :3], placed.axes[k])
        model.def_releases(f"m{k}", *(bool(gone) for gone in frame.releases[k]))


def _add_springs(model: FEModel3D, frame: Frame) -> None:
    if frame.springs is None:
        return
    for ends, rates, axes in zip(frame.springs.ends, frame.springs.stiffness, frame.springs.axes, strict=True):
        assert min(ends) < 0 and np.allclose(axes, np.eye(3)), "only springs to the ground along the global axes"
        for freedom, rate in zip(FREEDOMS, rates, strict=True):
            if rate:
                model.def_support_spring(f"n{max(ends)}", freedom, float(rate))


def solve(frame: Frame, loads: Loads, *, link: float = 1e4) -> Answer:
    """Displacements, reactions and end forces as PyNiteFEA works them out."""
    model = build(frame, loads, link=link)
    begin = time.perf_counter()
    # Its own test for stability takes the rounding of very stiff links for a loose part.
    model.analyze_linear(check_stability=not _has_arms(frame))
    seconds = time.perf_counter() - begin
    cases, nodes = [str(case) for case in range(len(loads.names))], [f"n{k}" for k in range(len(frame.nodes))]
    moved = [[[getattr(model.nodes[n], f)[c] for f in FREEDOMS] for n in nodes] for c in cases]
    held = [[[getattr(model.nodes[n], f"Rxn{f}")[c] for f in FORCES] for n in nodes] for c in cases]
    ends = [
        [model.members[f"m{k}"].sub_members[f"m{k}a"].f(c).ravel() for k in range(len(frame.members.names))]
        for c in cases
    ]
    return Answer(
        displacements=np.array(moved, dtype=float),
        reactions=np.array(held, dtype=float),
        end_forces=np.array(ends, dtype=float),
        seconds=seconds,
    )
