"""Strength of the blades an enquiry shows: looked at beside the page, with how far it is, and stopped by a press."""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from threading import Event, Lock
from typing import Any, Final

from plowwright.blade.build import Build
from plowwright.desk.fit import FitDesk

_KEPT: Final = 8


class Stopped(Exception):
    """Somebody pressed stop."""


@dataclass
class Look:
    """A look at some frames, on its way or done.

    Attributes:
        blades: How many there are.
        begun_blades: How many are begun.
        said: The one that is being worked out.
        begun: When it was asked for [s].
        stop: Set when somebody pressed stop.
        done: Done, stopped, or what went wrong.
    """

    blades: int
    begun_blades: int = 0
    said: str = ""
    begun: float = field(default_factory=time.monotonic)
    stop: Event = field(default_factory=Event)
    done: Future[None] = field(default_factory=Future)

    def told(self, said: str) -> None:
        """One blade is begun; ends the work when stop was pressed."""
        if self.stop.is_set():
            raise Stopped
        self.begun_blades += 1
        self.said = said

    def view(self) -> dict[str, Any]:
        """How far it is."""
        waited = round(time.monotonic() - self.begun)
        return {"said": self.said, "begun": self.begun_blades, "blades": self.blades, "waited": waited}


class Frames:
    """Looks at frames, one set after the other.

    Args:
        fit: Keeps what was found.
    """

    def __init__(self, fit: FitDesk) -> None:
        self._fit = fit
        self._looks: OrderedDict[tuple[str, ...], Look] = OrderedDict()
        self._lock = Lock()
        self._hand = ThreadPoolExecutor(max_workers=1, thread_name_prefix="frames")

    def look(self, builds: Sequence[Build]) -> Look:
        """A look at these blades, begun when it was not asked for before or was stopped.

        Args:
            builds: The blades.
        """
        key = tuple(build.fingerprint for build in builds)
        with self._lock:
            look = self._looks.get(key)
            if look is None:
                look = self._looks[key] = Look(blades=len(builds))
                look.done = self._hand.submit(self._fit.look_at_strength, builds, look.told)
                while len(self._looks) > _KEPT:
                    self._looks.popitem(last=False)
        return look

    def stop(self, builds: Sequence[Build]) -> None:
        """End a look that is on its way; what it found so far is kept.

        Args:
            builds: The blades.
        """
        with self._lock:
            look = self._looks.pop(tuple(build.fingerprint for build in builds), None)
        if look is not None:
            look.stop.set()
            look.done.cancel()
