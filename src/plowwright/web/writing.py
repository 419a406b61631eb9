"""Papers written when somebody asks for them, in the background, with what is being written said meanwhile."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

from plowwright.blade.carriers import Carrier
from plowwright.errors import NotFoundError
from plowwright.papers.sheets import Written
from plowwright.units import System
from plowwright.web.jobs import Job, Jobs
from plowwright.web.pages import Asked

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

Papers = dict[str, Written]
"""Every paper of a blade by its name within the folder."""
_KEPT: Final = 24
"""How many blades' papers are kept at hand."""


@dataclass(frozen=True, slots=True)
class Set:
    """Which papers: of which blade, order and serial number, units, with solids or without, held to which machine."""

    blade: str
    order: str
    system: System
    solids: bool
    carrier: str

    @property
    def folder(self) -> str:
        """Name of the folder they lie in."""
        return "-".join((self.blade, self.order, self.system, str(self.solids), self.carrier))


class Writing:
    """Writes the papers of blades one after the other and remembers where they lie.

    Args:
        desk: What writes them.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._jobs: Jobs[Set, Papers, str] = Jobs("papers", kept=_KEPT)
        self._folder = tempfile.TemporaryDirectory(prefix="plowwright-", ignore_cleanup_errors=True)

    def job(
        self, asked: Asked, carrier: Carrier | None, *, solids: bool, going: bool = False
    ) -> Job[Papers, str]:
        """The papers of a blade; begun when they were not asked for before, or were stopped.

        Args:
            asked: The blade, its order and the units.
            carrier: The machine it is held against, as far as it is known.
            solids: Whether STEP solids are wanted as well.
            going: Whether a page only asks how far they are; what was stopped then stays so.
        """
        key = self._set(asked, carrier, solids=solids)

        lies = Path(self._folder.name) / key.folder

        def work(job: Job[Papers, str]) -> Papers:
            job.told_or_stopped("strength of the blade")
            written = self._desk.papers(
                self._desk.strength.holding(self._desk.worked(asked.spec), carrier, system=asked.system),
                lies,
                system=asked.system,
                order=self._desk.order(asked.order) if asked.order else None,
                solids=solids,
                progress=job.told_or_stopped,
            )
            return {one.path.relative_to(lies).as_posix(): one for one in written}

        return self._jobs.job(key, work, going=going)

    def stop(self, asked: Asked, carrier: Carrier | None, *, solids: bool) -> None:
        """Leave off writing; what is written is dropped, a whole set stays.

        Args:
            asked: The blade, its order and the units.
            carrier: The machine it is held against, as far as it is known.
            solids: Whether STEP solids were wanted as well.
        """
        self._jobs.drop(self._set(asked, carrier, solids=solids))

    def _set(self, asked: Asked, carrier: Carrier | None, *, solids: bool) -> Set:
        # A blade gets its serial number at the scale, and its labels are to say it from then on.
        order = f"{asked.order} {self._desk.serial_of(asked.order)}".strip()
        blade = self._desk.worked(asked.spec).build.fingerprint
        return Set(blade, order, asked.system, solids, carrier.name if carrier else "")

    def file(self, asked: Asked, carrier: Carrier | None, name: str, *, solids: bool) -> Path:
        """One written paper.

        Args:
            asked: The blade.
            carrier: The machine it is held against, as far as it is known.
            name: Name of the file.
            solids: Whether it belongs to the set with solids.

        Raises:
            NotFoundError: No such paper of this blade.
        """
        found = self.job(asked, carrier, solids=solids).found.result()
        if name in found:
            return found[name].path
        raise NotFoundError("no such paper of this blade", value=name, way_out=f"There are: {', '.join(found)}.")
