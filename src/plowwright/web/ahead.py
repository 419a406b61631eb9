"""Blades one choice away are worked out and drawn while the person looks; the next press is answered at once."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from threading import Event, Lock
from typing import TYPE_CHECKING, Any

from plowwright.blade.spec import Spec
from plowwright.errors import PlowwrightError
from plowwright.rulebook.reading import Rulebook
from plowwright.web import forms, pages
from plowwright.web.forms import System

if TYPE_CHECKING:
    from plowwright.desk.desk import Desk

_KEPT = 160
"""How many drawn blades are kept at hand."""
QUIET = 0.1
"""How long nobody may have asked for anything before the next blades are begun, so that no press waits for them [s]."""


class Ahead:
    """Worked-out and drawn blades, and those likely to be asked for next.

    Args:
        desk: What works them out.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._kept: OrderedDict[tuple[Spec, System], dict[str, Any]] = OrderedDict()
        self._lock = Lock()
        self._hand = ThreadPoolExecutor(max_workers=1, thread_name_prefix="ahead")
        self._turn = 0
        self._asked_again = Event()

    def blade(self, spec: Spec, system: System) -> dict[str, Any]:
        """What a page shows of a blade; those one choice away are begun in the background.

        Args:
            spec: What was chosen.
            system: US or metric dimensions.

        Raises:
            SpecError: The spec is not complete or its choices clash.
            ModelError: The rules do not give a blade that can be built.
        """
        self._turn += 1
        self._asked_again.set()
        found = self._drawn(spec, system)
        self._hand.submit(self._look_ahead, spec, system, self._turn)
        return found

    def close(self) -> None:
        """Look no further ahead; returns once the blade that is being drawn is done."""
        self._turn += 1
        self._asked_again.set()
        self._hand.shutdown(wait=True, cancel_futures=True)

    def _drawn(self, spec: Spec, system: System) -> dict[str, Any]:
        key = (spec, system)
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
        drawn = pages.build_view(self._desk.worked(spec), system)
        with self._lock:
            self._kept[key] = drawn
            if len(self._kept) > _KEPT:
                self._kept.popitem(last=False)
        return drawn

    def _look_ahead(self, spec: Spec, system: System, turn: int) -> None:
        self._asked_again.clear()
        if turn != self._turn or self._asked_again.wait(QUIET):
            return
        for near in one_choice_away(spec, self._desk.rulebook):
            if turn != self._turn:
                return  # the person has moved on
            try:
                self._drawn(near, system)
            except PlowwrightError:
                continue  # a clash is worked out when it is asked for, with its words


def one_choice_away(spec: Spec, rulebook: Rulebook) -> Iterator[Spec]:
    """Specs that one press leads to, the likeliest first, and then the other widths, which a held key runs through.

    Args:
        spec: What is chosen now.
        rulebook: The rules in force.
    """
    for up in (True, False):
        yield forms.stepped(spec, rulebook, up=up)
    for key in rulebook.series:
        yield replace(spec, series=key)
    options = rulebook.options
    for key in options.get("extras", {}):
        chosen = set(spec.extras) ^ {key}
        yield replace(spec, extras=tuple(k for k in options["extras"] if k in chosen))
    for key in options.get("hoses", {}):
        yield replace(spec, hoses=key)
    yield replace(spec, outlets="right" if spec.outlets == "left" else "left")
    for key in rulebook.mounts:
        yield replace(spec, mount=key)
    series = rulebook.series.get(spec.series)
    for width in sorted(series.widths() if series else (), key=lambda width: abs(width - spec.width)):
        yield replace(spec, width=width)
