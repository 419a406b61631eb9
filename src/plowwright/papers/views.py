"""From a model in metres to a page in millimetres, at a scale a person can lay a ruler to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from plowwright.errors import EntryError
from plowwright.papers.marks import Point, Vertex, as_vertices

STANDARD_SCALES = (1, 2, 4, 5, 8, 10, 12, 16, 20, 24, 32, 40, 48, 64, 80, 100)
"""A ruler in inches reads 1:2, 1:4, 1:8, 1:12, 1:16 and 1:24, one in millimetres 1:5, 1:10 and 1:20."""
MM_PER_M = 1000.0


@dataclass(frozen=True, kw_only=True)
class View:
    """One projection of the model placed on a page.

    Attributes:
        ratio: How many times smaller than life the page shows it; 8 reads 1:8 [-].
        x: Page place of the model's point (model_x, model_y) [mm].
        y: Page place of that point [mm].
        model_x: First model coordinate of that point [m].
        model_y: Second model coordinate of that point [m].
        mirrored: First coordinate runs to the left, as seen from behind.
    """

    ratio: float
    x: float = 0.0
    y: float = 0.0
    model_x: float = 0.0
    model_y: float = 0.0
    mirrored: bool = False

    def at(self, u: float, v: float) -> Point:
        """Page place [mm] of a model point [m]."""
        factor = MM_PER_M / self.ratio
        side = -1.0 if self.mirrored else 1.0
        return self.x + side * (u - self.model_x) * factor, self.y + (v - self.model_y) * factor

    def model(self, x: float, y: float) -> Point:
        """Model point [m] of a page place [mm]; undoes `at`."""
        factor = self.ratio / MM_PER_M
        side = -1.0 if self.mirrored else 1.0
        return self.model_x + side * (x - self.x) * factor, self.model_y + (y - self.y) * factor

    def length(self, metres: float) -> float:
        """Page length [mm] of a model length [m]."""
        return metres * MM_PER_M / self.ratio

    def points(self, points: Sequence[Sequence[float]]) -> tuple[Vertex, ...]:
        """A run of model points, or a loop with bulges [m], on the page [mm]."""
        turn = -1.0 if self.mirrored else 1.0
        return tuple((*self.at(u, v), turn * bulge) for u, v, bulge in as_vertices(points))

    def step(self) -> Point:
        """Page millimetres for each model metre, across and up; negative where seen from behind [mm/m]."""
        factor = MM_PER_M / self.ratio
        return (-factor if self.mirrored else factor), factor

    @property
    def title(self) -> str:
        """The scale as a drawing says it."""
        return f"1:{self.ratio:g}"


def pick_ratio(width: float, height: float, *, box_width: float, box_height: float) -> int:
    """Smallest standard reduction at which a model fits a box on the page.

    Args:
        width: Width of the model [m].
        height: Height of the model [m].
        box_width: Room on the page [mm].
        box_height: Room on the page [mm].
    """
    for ratio in STANDARD_SCALES:
        if width * MM_PER_M <= box_width * ratio and height * MM_PER_M <= box_height * ratio:
            return ratio
    raise EntryError(
        "the drawing does not fit its box at any standard scale",
        value=f"{width:.3f} m x {height:.3f} m",
        limit=f"{box_width:.0f} mm x {box_height:.0f} mm at 1:{STANDARD_SCALES[-1]}",
        way_out="Give it a larger box, or check that its size is in metres.",
    )


def fit_view(
    bounds: tuple[float, float, float, float],
    *,
    box: tuple[float, float, float, float],
    ratio: float | None = None,
    mirrored: bool = False,
) -> View:
    """A view that centres a model in a box on the page.

    Args:
        bounds: Least u, least v, greatest u, greatest v of the model [m].
        box: Left, bottom, width, height on the page [mm].
        ratio: Scale to use; left out, the largest standard scale that fits.
        mirrored: Seen from behind: u runs to the left.
    """
    least_u, least_v, greatest_u, greatest_v = bounds
    left, bottom, width, height = box
    chosen = ratio or pick_ratio(
        greatest_u - least_u, greatest_v - least_v, box_width=width, box_height=height
    )
    return View(
        ratio=chosen,
        x=left + width / 2,
        y=bottom + height / 2,
        model_x=(least_u + greatest_u) / 2,
        model_y=(least_v + greatest_v) / 2,
        mirrored=mirrored,
    )
