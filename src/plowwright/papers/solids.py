"""The blade as one binary glTF file for a viewer."""

# The mesh library's own types name only the base class of what it gives back.
# pyright: reportAttributeAccessIssue=false, reportArgumentType=false

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
import trimesh

from plowwright.blade.parts import Assembly
from plowwright.blade.poses import Matrix, Pose, drawn_out
from plowwright.blade.shapes import Place, Solid
from plowwright.physics.regions import flatten

_COLOURS = {
    "body colour": (58, 104, 70, 255),
    "frame colour": (72, 76, 80, 255),
    "none": (150, 150, 146, 255),
}


def glb(assembly: Assembly, *, pose: Pose | None = None) -> bytes:
    """The blade as binary glTF 2.0, metres, one node for each part, named by its id.

    Axes are the blade's own (z up); a viewer that expects y up turns the whole scene. Each part carries its body, mark,
    name and group as extras.

    Args:
        assembly: The blade.
        pose: How it stands; at rest when left out.
    """
    motion = drawn_out(assembly, pose or Pose())
    scene = trimesh.Scene()
    for part in assembly.parts:
        if part.body == "loose":
            continue
        mesh = trimesh.util.concatenate([_mesh(s, s.place or part.place) for s in part.solids])
        mesh.visual = trimesh.visual.ColorVisuals(
            mesh, face_colors=np.tile(_COLOURS[part.finish], (len(mesh.faces), 1))
        )
        mesh.metadata.clear()
        mesh.metadata.update(body=part.body, mark=part.mark, name=part.name, group=part.group)
        scene.add_geometry(mesh, node_name=part.id, geom_name=part.id, transform=_square(motion(part)))
    return bytes(scene.export(file_type="glb"))


def _square(motion: Matrix) -> Any:
    """A motion as a 4 x 4 matrix."""
    full = np.eye(4)
    full[:3, :] = np.array(motion).T
    return full


def _mesh(solid: Solid, place: Place) -> Any:
    """Closed triangle mesh: both end faces triangulated alike, side walls between them."""
    rings = [_sense(flatten(solid.region.outer, 3e-4), outer=True)]
    rings += [_sense(flatten(loop, 3e-4), outer=False) for loop in solid.region.inner]
    shape = shapely.Polygon(rings[0], rings[1:])
    flat = np.array([p for ring in rings for p in ring])
    index = {(float(u), float(v)): i for i, (u, v) in enumerate(flat)}
    count = len(flat)
    start = solid.start + flat @ np.array(solid.start_slope)
    end = solid.end + flat @ np.array(solid.end_slope)
    axes = np.array([place.u, place.v, place.w])
    points = [np.column_stack([flat, w]) @ axes + np.array(place.origin) for w in (start, end)]
    faces: list[tuple[int, int, int]] = []
    for triangle in shapely.constrained_delaunay_triangles(shape).geoms:
        a, b, c = (index[(float(u), float(v))] for u, v in list(triangle.exterior.coords)[:3])
        if not triangle.exterior.is_ccw:
            b, c = c, b
        faces += [(a, c, b), (a + count, b + count, c + count)]
    first = 0
    for ring in rings:
        size = len(ring)
        for i in range(size):
            a, b = first + i, first + (i + 1) % size
            faces += [(a, b, b + count), (a, b + count, a + count)]
        first += size
    return trimesh.Trimesh(vertices=np.vstack(points), faces=np.array(faces), process=False)


def _sense(points: tuple[tuple[float, float], ...], *, outer: bool) -> list[tuple[float, float]]:
    ring = [(round(u, 7), round(v, 7)) for u, v in points]
    ring = [p for i, p in enumerate(ring) if p != ring[i - 1]]
    ccw = bool(shapely.LinearRing(ring).is_ccw)
    return ring if ccw == outer else ring[::-1]
