"""The page 'Rule evidence': where the physics puts each width limit, and what a wall or a width on trial does to it."""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Hashable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from threading import Event, Lock
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import urlencode

from starlette.datastructures import QueryParams

from plowwright import units
from plowwright.blade.evidence import Evidence
from plowwright.errors import EntryError, NotFoundError
from plowwright.papers import evidence as pictures
from plowwright.papers import svg
from plowwright.rulebook.reading import Rulebook, near_names
from plowwright.rulebook.schema import Series
from plowwright.web.forms import System

if TYPE_CHECKING:
    from plowwright.desk.strength import Strength

_BEYOND: Final = 4
_KEPT: Final = 24
_WIDTH: Final = 150.0
_HEIGHT: Final = 84.0
_FIELDS: Final = {"leg": "Legs", "hinge_beam": "Hinge beam"}
"""Fields of a class row that the form offers, with their words."""


class Stopped(Exception):
    """Somebody pressed stop."""


@dataclass(frozen=True, kw_only=True)
class Trial:
    """What is asked of one series.

    Attributes:
        series: Key of the series.
        changes: Fields of its class rows on trial.
        up_to: A width limit on trial [m], or None.
    """

    series: str
    changes: tuple[tuple[str, str], ...] = ()
    up_to: float | None = None

    @property
    def ruled(self) -> Trial:
        """The same series by the rules in force."""
        return Trial(series=self.series)


@dataclass
class Look:
    """One look at a series, on its way or done.

    Attributes:
        widths: How many widths there are to work out.
        done: How many are begun.
        said: The width that is being worked out.
        begun: When it was asked for [s].
        stop: Set when somebody pressed stop.
        found: What came of it, once it is.
    """

    widths: int
    done: int = 0
    said: str = ""
    begun: float = field(default_factory=time.monotonic)
    stop: Event = field(default_factory=Event)
    found: Future[Evidence] = field(default_factory=Future)

    def told(self, said: str) -> None:
        """One width is begun; ends the work when stop was pressed."""
        if self.stop.is_set():
            raise Stopped
        self.done += 1
        self.said = said


class Looks:
    """Looks at series, one after the other.

    Args:
        strength: What works them out.
        rulebook: The rules in force.
    """

    def __init__(self, strength: Strength, rulebook: Rulebook) -> None:
        self._strength = strength
        self._rulebook = rulebook
        self._looks: OrderedDict[Hashable, Look] = OrderedDict()
        self._lock = Lock()
        self._hand = ThreadPoolExecutor(max_workers=1, thread_name_prefix="evidence")

    def look(self, trial: Trial) -> Look:
        """A look at a series, begun when it was not asked for before or was stopped or refused.

        Args:
            trial: What is asked.
        """
        with self._lock:
            look = self._looks.get(trial)
            if look is None:
                look = self._looks[trial] = Look(widths=self._widths(trial))
                look.found = self._hand.submit(self._work, trial, look)
                while len(self._looks) > _KEPT:
                    self._looks.popitem(last=False)
        return look

    def stop(self, trial: Trial) -> Look | None:
        """End a look that is on its way; what it found so far is dropped.

        Args:
            trial: What was asked.
        """
        with self._lock:
            look = self._looks.pop(trial, None)
        if look is not None:
            look.stop.set()
            look.found.cancel()
        return look

    def _work(self, trial: Trial, look: Look) -> Evidence:
        return self._strength.evidence(
            trial.series, changes=dict(trial.changes), up_to=trial.up_to, told=look.told
        )

    def _widths(self, trial: Trial) -> int:
        series = self._rulebook.series[trial.series]
        up_to = trial.up_to or series.up_to_and_including
        return max(1, round((up_to - series.from_) / series.step) + 1 + _BEYOND)


def trial_of(query: QueryParams, rulebook: Rulebook) -> Trial:
    """What an address asks of a series.

    Args:
        query: `series`, fields of the form, `up_to`.
        rulebook: The rules in force.

    Raises:
        NotFoundError: No such series.
        EntryError: The width limit has no unit, or is no length.
    """
    key = query.get("series", "")
    if key not in rulebook.series:
        raise NotFoundError("no series is called so", value=key, way_out=near_names(key, list(rulebook.series)))
    changes = tuple((name, query[name]) for name in _FIELDS if query.get(name))
    limit = query.get("up_to", "").strip()
    up_to = units.si(limit, "length", "width limit") if limit else None
    if up_to is not None and not 0.5 < up_to < 6.0:
        raise EntryError(
            "that is no width of a blade", value=limit, limit="20 in to 19 ft", where="width limit",
            way_out='Write it as "84 in" or "7-0".',
        )  # fmt: skip
    return Trial(series=key, changes=changes, up_to=up_to)


def evidence_view(rulebook: Rulebook, query: QueryParams) -> dict[str, Any]:
    """The page: the form, and one place for each series.

    Args:
        rulebook: The rules in force.
        query: What is on trial.
    """
    chosen = query.get("series", "")
    return {
        "series": [
            {"key": key, "words": f"{s.name}, {s.duty_class}", "chosen": key == chosen,
             "limit": units.tape(s.up_to_and_including)}
            for key, s in rulebook.series.items()
        ],
        "fields": [
            {"name": name, "words": words, "stocks": _stocks(rulebook, name, query.get(name, ""))}
            for name, words in _FIELDS.items()
        ],
        "up_to": query.get("up_to", ""),
        "trial": query_of(query) if chosen in rulebook.series and _on_trial(query) else "",
    }  # fmt: skip


def _on_trial(query: QueryParams) -> bool:
    return any(query.get(name, "").strip() for name in (*_FIELDS, "up_to"))


def query_of(query: QueryParams) -> str:
    """The part of an address that says what is on trial.

    Args:
        query: What the form sent.
    """
    return urlencode({name: query[name] for name in ("series", *_FIELDS, "up_to") if query.get(name)})


def _stocks(rulebook: Rulebook, name: str, chosen: str) -> list[dict[str, Any]]:
    """Tubes of the outside sizes the series use there, in every wall on the rulebook's list."""
    used = {getattr(row, name) for series in rulebook.series.values() for row in series.rows}
    outsides = {stock.rpartition(" x ")[0] for stock in used}
    found = sorted(key for key in rulebook.sections if key.rpartition(" x ")[0] in outsides)
    return [{"value": key, "chosen": key == chosen} for key in found]


def look_view(
    trial: Trial, look: Look, ruled: Look | None, *, series: Series, system: System, again: str
) -> dict[str, Any]:
    """One series: how far its look is, or what came of it, with a trial held against the rules in force.

    Args:
        trial: What was asked.
        look: The look at it.
        ruled: The look by the rules in force where something is on trial, else None.
        series: The series.
        system: US or metric.
        again: The part of an address that asks for it again.
    """
    shown: dict[str, Any] = {"id": f"look-{trial.series}{'-trial' if ruled else ''}", "name": series.name, "again": again}
    waits = [one for one in (ruled, look) if one is not None and not one.found.done()]
    if waits:
        now = next((one for one in waits if one.done), waits[0])
        return {
            **shown, "waits": True, "said": now.said or "waiting for its turn", "done": sum(o.done for o in waits),
            "widths": sum(o.widths for o in waits), "waited": round(time.monotonic() - look.begun),
        }  # fmt: skip
    found = look.found.result()
    base = ruled.found.result() if ruled else None
    limit = base.limit if base is not None and abs(base.limit - found.limit) > 1e-6 else None
    pairs = [(found, limit, f"trial-{trial.series}-" if base else f"{trial.series}-")]
    if base is not None:
        pairs.append((base, None, f"ruled-{trial.series}-"))
    shown["charts"] = [
        {
            "title": f"on trial: {_trial_said(trial, system)}" if base and n == 0 else "by the rules in force",
            "picture": _picture(one, system=system, ruled=ruled_limit, prefix=prefix),
        }
        for n, (one, ruled_limit, prefix) in enumerate(pairs)
    ]
    shown["sentences"] = list(found.sentences)
    shown["compared"] = pictures.compared(base, found) if base is not None else []
    return shown


def _trial_said(trial: Trial, system: System) -> str:
    said = [f"{_FIELDS[name].lower()} of {value}" for name, value in trial.changes]
    if trial.up_to is not None:
        said.append(f"up to {units.say(trial.up_to, 'length', system=system)}")
    return ", ".join(said)


def _picture(found: Evidence, *, system: System, ruled: float | None, prefix: str) -> str:
    page = pictures.width_curves(found, width=_WIDTH, height=_HEIGHT, system=system, ruled=ruled)
    return svg.write(page, title=f"{found.name}: corner strength over width", inline=True, prefix=prefix)
