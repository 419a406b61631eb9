"""How warm the shop is while paint cures: as the last crew plan kept says, else as crew.toml does."""

from __future__ import annotations

from dataclasses import dataclass

from plowwright.desk.crew_kept import KIND
from plowwright.desk.crew_standing import standing_of
from plowwright.rulebook.reading import Rulebook
from plowwright.shop import crew_jobs
from plowwright.store.reading import Reads


@dataclass(frozen=True, slots=True, kw_only=True)
class Cure:
    """How long paint cures in the shop as it is.

    Attributes:
        temperature: Of the shop [degC].
        handle: Wait until a blade is handled [s].
        strap: Wait until it is strapped [s].
        source: Who says how warm it is.
    """

    temperature: float
    handle: float
    strap: float
    source: str


def cure_now(reads: Reads, rulebook: Rulebook) -> Cure:
    """How long paint cures in the shop as it is.

    Args:
        reads: A steady view, or a command.
        rulebook: Its rules of cure.

    Raises:
        NotFoundError: The rulebook has no crew.
        PlanInputError: Colder than any row of its cure says.
    """
    row = reads.last_plan(KIND)
    told = standing_of(row.asked.get("standing", {})).temperature if row is not None else None
    handle, strap = crew_jobs.cure(rulebook, told)
    at = crew_jobs.rules_of(rulebook).cure.shop.value if told is None else told
    source = "crew.toml, cure" if told is None or row is None else f"crew.toml, cure; crew plan {row.id}, shop"
    return Cure(temperature=at, handle=handle, strap=strap, source=source)
