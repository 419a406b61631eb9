"""What comes out of a solved frame, and the forces inside its members."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plowwright.physics.frame_elements import Floats


@dataclass(frozen=True, kw_only=True, eq=False)
class FrameResult:
    """Answer of a frame to its load cases: c cases, n nodes, m members, s springs.

    Freedoms stand in the order displacement along x, y, z, rotation about x, y, z; forces and moments likewise.

    Attributes:
        displacements: Of the nodes, global axes, (c, n, 6) [m, rad].
        reactions: Of the supports on the frame, global axes, zero where nothing is supported, (c, n, 6) [N, N m].
        end_forces: On each member at its flexible ends, start then far end, local axes, (c, m, 12) [N, N m].
        spring_forces: On the first node of each spring, in the spring's own axes, so plus pulls it towards plus;
            the second node has the opposite; (c, s, 6) [N, N m].
        residual: What the equations of balance miss, as a share of the largest force, (c,) [-].
        lengths: Flexible lengths of the members, (m,) [m].
        axes: Rows are the members' local x, y, z in global axes, (m, 3, 3) [-].
        uniform: Loads along the members in local axes, (c, m, 3) [N/m].
    """

    displacements: Floats
    reactions: Floats
    end_forces: Floats
    spring_forces: Floats
    residual: Floats
    lengths: Floats
    axes: Floats
    uniform: Floats

    def internal(self, at: Floats) -> Floats:
        """Forces in the section: N, Vy, Vz, T, My, Mz, local axes, as the far part puts them on the near part.

        N is plus in tension. The bending stress at (y, z) is N/A + My z/Iy - Mz y/Iz, tension plus. At the far end
        they are the far end forces, at the start the start forces with the opposite sign.

        Args:
            at: Shares of the flexible length from the start, 0 to 1, (p,) [-].

        Returns:
            (c, m, p, 6) [N, N m].
        """
        x = self.lengths[:, None] * np.asarray(at, dtype=np.float64)
        start = self.end_forces[:, :, None, :6]
        load = self.uniform[:, :, None, :]
        out = np.empty((*self.end_forces.shape[:2], x.shape[1], 6))
        out[..., 0:3] = -(start[..., 0:3] + load * x[:, :, None])
        out[..., 3] = -start[..., 3]
        out[..., 4] = -(start[..., 4] + start[..., 2] * x + load[..., 2] * x**2 / 2)
        out[..., 5] = -(start[..., 5] - start[..., 1] * x - load[..., 1] * x**2 / 2)
        return out
