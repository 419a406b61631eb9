"""Papers written when somebody asks for them, in the background, with what is being written said meanwhile."""

from __future__ import annotations

import tempfile
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING

from plowwright.blade.carriers import Carrier
from plowwright.errors import NotFoundError
from plowwright.papers.sheets import Written
from plowwright.web.pages import Asked

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_KEPT = 24
"""How many blades' papers are kept at hand."""


@dataclass
class Job:
    """The papers of one blade, on their way or written.

    Attributes:
        folder: Where they lie.
        said: What is being written now.
        done: What was written, once it is.
    """

    folder: Path
    said: str = "the first paper"
    done: Future[list[Written]] = field(default_factory=Future)

    def papers(self) -> dict[str, Written]:
        """Every paper by its name within the folder, waiting for them if need be."""
        return {one.path.relative_to(self.folder).as_posix(): one for one in self.done.result()}


class Writing:
    """Writes the papers of blades one after the other and remembers where they lie.

    Args:
        desk: What writes them.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._jobs: dict[tuple[str, str, str, bool, str], Job] = {}
        self._lock = Lock()
        self._hand = ThreadPoolExecutor(max_workers=1, thread_name_prefix="papers")
        self._folder = tempfile.TemporaryDirectory(prefix="plowwright-", ignore_cleanup_errors=True)

    def job(self, asked: Asked, carrier: Carrier | None, *, solids: bool) -> Job:
        """The papers of a blade; begun when they were not asked for before.

        Args:
            asked: The blade, its order and the units.
            carrier: The machine it is held against, as far as it is known.
            solids: Whether STEP solids are wanted as well.
        """
        print_of = self._desk.worked(asked.spec).build.fingerprint
        on = carrier.name if carrier else ""
        # A blade gets its serial number at the scale, and its labels are to say it from then on.
        order = f"{asked.order} {self._desk.serial_of(asked.order)}".strip()
        key = (print_of, order, asked.system, solids, on)
        with self._lock:
            job = self._jobs.get(key)
            if job is None or (job.done.done() and job.done.exception()):
                folder = Path(self._folder.name) / "-".join((print_of, order, asked.system, str(solids), on))
                job = self._jobs[key] = Job(folder=folder)
                job.done = self._hand.submit(self._write, asked, carrier, job, solids=solids)
                while len(self._jobs) > _KEPT:
                    self._jobs.pop(next(iter(self._jobs)))
        return job

    def _write(self, asked: Asked, carrier: Carrier | None, job: Job, *, solids: bool) -> list[Written]:
        def progress(name: str) -> None:
            job.said = name

        progress("strength of the blade")
        return self._desk.papers(
            self._desk.strength.holding(self._desk.worked(asked.spec), carrier, system=asked.system),
            job.folder,
            system=asked.system,
            order=self._desk.order(asked.order) if asked.order else None,
            solids=solids,
            progress=progress,
        )

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
        found = self.job(asked, carrier, solids=solids).papers()
        if name in found:
            return found[name].path
        raise NotFoundError("no such paper of this blade", value=name, way_out=f"There are: {', '.join(found)}.")
