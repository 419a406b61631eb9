"""All joints of a blade: welds, pins with their plates, edge bolts, spring lugs, and the sizes of its fillets."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from plowwright.blade.loads import Blade
from plowwright.blade.strength import edge_bolts, pin_joints, seam_sizes, seams, spring_lugs
from plowwright.blade.strength.analysis_results import Analysis
from plowwright.blade.strength.joint_checks import JointCheck, Unchecked, first_to_give, worst_of_each
from plowwright.findings import Finding


@dataclass(frozen=True, kw_only=True, eq=False)
class JointChecks:
    """The joints of one blade.

    Attributes:
        checks: Those that a force uses up, for any force.
        unchecked: Those of which nothing can be said, with the reason.
        settled: Findings that hang on no force: sizes of fillets, spring lugs, eyebolts.
    """

    checks: tuple[JointCheck, ...]
    unchecked: tuple[Unchecked, ...]
    settled: tuple[Finding, ...]

    def findings(self, forces: Mapping[str, float], ground: str) -> tuple[Finding, ...]:
        """For forces given: the worst of each family of joints, what is settled anyway, what is not checked.

        Args:
            forces: Force by name of the load case [N]; 1 for a case that does not scale.
            ground: What the forces rest on, in a few words.
        """
        worst = worst_of_each(self.checks, forces, ground)
        return (*worst, *self.settled, *(row.finding() for row in self.unchecked))

    def first(self, case: str) -> tuple[JointCheck, float]:
        """The joint that a rising force of one case uses up first, and at which force [N].

        Args:
            case: Name of the load case.
        """
        found = first_to_give(self.checks, case)
        return found, found.capacity(case)


def check(blade: Blade, analysis: Analysis) -> JointChecks:
    """All joints of a blade.

    Args:
        blade: The blade.
        analysis: What goes through its joints.

    Raises:
        ModelError: A joint that cannot hold anything, such as a weld without length or a hinge without pin; named.
    """
    welded = seams.check(blade, analysis)
    pinned, unsaid = pin_joints.check(blade, analysis)
    return JointChecks(
        checks=(*welded.checks, *pinned, *edge_bolts.check(blade, analysis.cases)),
        unchecked=(*welded.unchecked, *unsaid),
        settled=(*seam_sizes.findings(blade), *spring_lugs.findings(blade)),
    )
