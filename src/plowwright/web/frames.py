"""Strength of the blades an enquiry shows: looked at beside the page, with how far it is, and stopped by a press."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from plowwright.blade.build import Build
from plowwright.desk.fit import FitDesk
from plowwright.web.jobs import Job, Jobs

_KEPT: Final = 8

Look = Job[None, tuple[int, str]]
"""A look at some frames: how many are begun, and the one that is being worked out."""


class Frames:
    """Looks at frames, one set after the other.

    Args:
        fit: Keeps what was found.
    """

    def __init__(self, fit: FitDesk) -> None:
        self._fit = fit
        self._looks: Jobs[tuple[str, ...], None, tuple[int, str]] = Jobs("frames", kept=_KEPT)

    def look(self, builds: Sequence[Build], *, going: bool = False) -> Look:
        """A look at these blades, begun when it was not asked for before or was stopped.

        Args:
            builds: The blades.
            going: Whether a page only asks how far it is; what was stopped then stays so.
        """

        def work(look: Look) -> None:
            def told(said: str) -> None:
                look.told_or_stopped(((look.reached or (0, ""))[0] + 1, said))

            self._fit.look_at_strength(builds, told)

        return self._looks.job(_key(builds), work, going=going)

    def stop(self, builds: Sequence[Build]) -> None:
        """End a look that is on its way; what it found so far is kept.

        Args:
            builds: The blades.
        """
        self._looks.drop(_key(builds))


def look_view(look: Look, blades: int) -> dict[str, Any]:
    """How far a look is.

    Args:
        look: The look.
        blades: How many there are.
    """
    begun, said = look.reached or (0, "")
    return {"said": said, "begun": begun, "blades": blades, "waited": look.waited()}


def _key(builds: Sequence[Build]) -> tuple[str, ...]:
    return tuple(build.fingerprint for build in builds)
