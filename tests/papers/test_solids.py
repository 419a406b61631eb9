from __future__ import annotations

import dataclasses
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh

from plowwright import rulebook
from plowwright.blade.build import Build, work_out
from plowwright.blade.poses import Pose, apply, mover
from plowwright.blade.spec import Spec
from plowwright.papers import solids, step
from plowwright.units.constants import INCH


@pytest.fixture(scope="module")
def flint(demo_dir: Path) -> Build:
    rules = rulebook.load(demo_dir / "rulebook")
    spec = Spec(series="flint", width=84 * INCH, mount="loader", carrier_kind="skid steer", hoses="flat-face")
    return work_out(spec, rules, level=0)


def test_glb_read_by_another_program_has_every_part_closed_and_the_models_volume(flint: Build) -> None:
    scene: Any = trimesh.load(trimesh.util.wrap_as_stream(solids.glb(flint.assembly)), file_type="glb")
    made = [p for p in flint.parts if p.given_mass is None]
    assert {p.id for p in flint.parts} == set(scene.geometry)
    for part in made:
        mesh = scene.geometry[part.id]
        mesh.merge_vertices()
        assert mesh.is_watertight, part.id
        drawn = sum(s.volume() for s in part.solids)
        # Arcs are drawn as chords within 0.3 mm: thin round parts lose up to 4 % of their volume.
        assert mesh.volume == pytest.approx(drawn, rel=0.04), part.id
    total = sum(scene.geometry[p.id].volume for p in made)
    assert total == pytest.approx(sum(p.volume() + p.removed for p in made), rel=0.005)
    assert np.isfinite(scene.bounds).all()


def _scene(data: bytes) -> Any:
    return trimesh.load(trimesh.util.wrap_as_stream(data), file_type="glb")


def test_glb_says_of_each_part_what_it_is_and_what_moves_it(flint: Build) -> None:
    scene = _scene(solids.glb(flint.assembly))
    for part in flint.parts:
        told = scene.geometry[part.id].metadata
        assert (told["body"], told["mark"]) == (part.body, part.mark)
        assert (told["name"], told["group"]) == (part.name, part.group)


def test_glb_in_a_pose_has_the_parts_where_the_model_has_them(flint: Build) -> None:
    pose = Pose(angle=0.4, trip=0.3, oscillation=0.05)
    motion = mover(flint.assembly, pose)
    scene = _scene(solids.glb(flint.assembly, pose=pose))
    for part in flint.parts:
        if part.link and part.link.follows == "both":
            continue
        matrix, name = scene.graph[part.id]
        mesh = scene.geometry[name]
        rest = mesh.bounds.mean(axis=0)
        moved = (matrix @ np.append(rest, 1.0))[:3]
        assert moved == pytest.approx(apply(motion(part), tuple(rest)), abs=1e-6), part.id


def test_the_same_blade_gives_the_same_glb_byte_for_byte(flint: Build) -> None:
    assert solids.glb(flint.assembly) == solids.glb(flint.assembly)


@pytest.mark.skipif(not step.kernel_installed(), reason="the CAD kernel is an extra")
def test_step_read_by_the_cad_kernel_weighs_what_the_model_weighs(flint: Build, tmp_path: Path) -> None:
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps
    from OCP.STEPControl import STEPControl_Reader
    from OCP.TopAbs import TopAbs_SOLID
    from OCP.TopExp import TopExp_Explorer

    made = tuple(p for p in flint.parts if p.given_mass is None)
    path = tmp_path / "made.step"
    path.write_bytes(step.step(dataclasses.replace(flint.assembly, parts=made), title="made parts"))
    assert path.read_text()[:13] == "ISO-10303-21;"
    reader = STEPControl_Reader()
    reader.ReadFile(str(path))
    reader.TransferRoots()
    explorer = TopExp_Explorer(reader.OneShape(), TopAbs_SOLID)
    volume, count = 0.0, 0
    while explorer.More():
        found = GProp_GProps()
        BRepGProp.VolumeProperties_s(explorer.Current(), found)
        volume, count = volume + found.Mass() * 1e-9, count + 1
        explorer.Next()
    assert count == sum(len(p.solids) for p in made)
    assert volume * 7850 == pytest.approx(sum(p.mass() for p in made), rel=0.005)
