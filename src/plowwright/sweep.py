"""The whole range worked out: every width of every series with every valid option set.

The work is spread over this machine's cores, or over a Dask cluster by its address.
"""

from __future__ import annotations

import os
import signal
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from contextlib import contextmanager
from dataclasses import dataclass
from functools import lru_cache
from importlib import import_module
from itertools import combinations
from multiprocessing import get_context
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Final

from plowwright.blade.spec import CARRIER_KINDS, Spec, check
from plowwright.errors import MissingToolError, NotFoundError, PlowwrightError, RulebookError, SpecError
from plowwright.rulebook.reading import Rulebook, load
from plowwright.shop.worked import work_out
from plowwright.units import pounds

THREAD_SETTINGS: Final = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
"""What numerical libraries read, once, when they start."""

AT_ONCE: Final = 8
"""Builds handed over at a time: few enough that a stop is felt at once, many enough to pay for the handing over."""

ANSWERS_WITHIN: Final = 10
"""How long a cluster may take to answer [s]."""

MOST_EXTRAS: Final = 2
"""Extras taken together in one option set; two are enough for every pair of extras to meet once."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Swept:
    """One blade of the range in a row of figures.

    Attributes:
        spec: What was chosen.
        name: Series and width, as people say it; "" when refused.
        fingerprint: The build's fingerprint; "" when refused.
        mass: [kg]; 0 when refused.
        price: List price [money]; 0 when refused.
        currency: Code of the currency; "" when refused.
        parts: How many pieces [-]; 0 when refused.
        failing: Titles of the findings that fail.
        refused: Why there is no build, or "".
    """

    spec: Spec
    name: str = ""
    fingerprint: str = ""
    mass: float = 0.0
    price: float = 0.0
    currency: str = ""
    parts: int = 0
    failing: tuple[str, ...] = ()
    refused: str = ""

    def as_dict(self) -> dict[str, Any]:
        """The row for a machine: mass, price and parts only where there is a build."""
        spec = self.spec.as_dict()
        chosen = {key: spec[key] for key in ("series", "width", "mount", "carrier", "hoses", "outlets", "extras")}
        if self.refused:
            return {**chosen, "refused": self.refused}
        return {
            **chosen,
            "name": self.name,
            "fingerprint": self.fingerprint,
            "mass_lb": round(pounds(self.mass), 1),
            "price": self.price,
            "currency": self.currency,
            "parts": self.parts,
            "failing": list(self.failing),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Sweep:
    """What came of a sweep.

    Attributes:
        rows: One for each blade done, in the order they were asked for.
        asked: How many blades were asked for [-].
        stopped: Whether it was stopped before the end.
        fingerprint: The rulebook's.
    """

    rows: tuple[Swept, ...]
    asked: int
    stopped: bool
    fingerprint: str

    @property
    def refused(self) -> tuple[Swept, ...]:
        """Option sets that are valid by the rulebook and yet give no blade."""
        return tuple(row for row in self.rows if row.refused)

    @property
    def failing(self) -> tuple[Swept, ...]:
        """Blades with a finding that fails."""
        return tuple(row for row in self.rows if row.failing)

    def by_series(self) -> dict[str, list[Swept]]:
        """Rows that gave a blade, by the key of their series."""
        found: dict[str, list[Swept]] = {}
        for row in self.rows:
            if not row.refused:
                found.setdefault(row.spec.series, []).append(row)
        return found

    def refusals(self) -> Counter[str]:
        """How many option sets were refused, by the reason."""
        return Counter(row.refused for row in self.refused)

    def failures(self) -> Counter[str]:
        """How many blades fail each check, by its title."""
        return Counter(title for row in self.rows for title in row.failing)

    def as_dict(self) -> dict[str, Any]:
        """The table for a machine."""
        return {
            "rulebook": self.fingerprint,
            "asked": self.asked,
            "done": len(self.rows),
            "stopped": self.stopped,
            "blades": [row.as_dict() for row in self.rows],
        }


def every_spec(rulebook: Rulebook) -> Iterator[Spec]:
    """Every width of every series with every option set the rulebook allows, widths innermost.

    So a first part of it already spans all widths. An option set is a mount on each kind of carrier it couples
    to, a hose choice, and none, one or two extras; outlets stay on the left.

    Args:
        rulebook: The rules in force.
    """
    widths = [(key, width) for key, series in rulebook.series.items() for width in series.widths()]
    extras = list(rulebook.options.get("extras", {}))
    for count in range(MOST_EXTRAS + 1):
        for chosen in combinations(extras, count):
            for hoses in rulebook.options.get("hoses", {}):
                for key, mount in rulebook.mounts.items():
                    for kind in filter(mount.carriers.__contains__, CARRIER_KINDS):
                        for series, width in widths:
                            spec = Spec(
                                series=series, width=width, mount=key, carrier_kind=kind, hoses=hoses, extras=chosen
                            )
                            if _allowed(spec, rulebook):
                                yield spec


def _allowed(spec: Spec, rulebook: Rulebook) -> bool:
    try:
        check(spec, rulebook)
    except SpecError:
        return False
    return True


def row_of(spec: Spec, rulebook: Rulebook) -> Swept:
    """Work one blade out; a refusal becomes a row with its reason.

    Args:
        spec: The chosen options.
        rulebook: The rules in force.
    """
    try:
        worked = work_out(spec, rulebook, level=0)
    except PlowwrightError as fault:
        return Swept(spec=spec, refused=fault.sentence())
    build = worked.build
    return Swept(
        spec=spec,
        name=build.name,
        fingerprint=build.fingerprint,
        mass=build.mass,
        price=worked.price.total,
        currency=worked.price.currency,
        parts=sum(part.quantity for part in build.bill.rows),
        failing=tuple(sorted({finding.title for finding in build.findings if finding.verdict == "fails"})),
    )


def run(
    rulebook: Rulebook,
    specs: Sequence[Spec],
    *,
    cores: int = 0,
    cluster: str = "",
    progress: Callable[[int], None] | None = None,
) -> Sweep:
    """Work many blades out; Ctrl-C ends it and keeps what is done.

    Args:
        rulebook: The rules in force.
        specs: The blades.
        cores: How many cores of this machine to use [-]; 0 takes all there are.
        cluster: Address of a Dask cluster that is to do the work; "" for this machine's cores.
        progress: Told how many more blades are done, as they come in.

    Raises:
        MissingToolError: A cluster is named and dask.distributed is not installed.
        NotFoundError: No cluster answers at the address.
    """
    rows: dict[int, list[Swept]] = {}
    waiting: dict[Future[list[Swept]], int] = {}
    stopped = False
    with _over_cluster(rulebook, cluster) if cluster else _over_cores(rulebook, cores) as hand_over:
        try:
            for start in range(0, len(specs), AT_ONCE):
                waiting[hand_over(specs[start : start + AT_ONCE])] = start
            for done in as_completed(waiting):
                rows[waiting[done]] = done.result()
                if progress:
                    progress(len(rows[waiting[done]]))
        except KeyboardInterrupt:
            stopped = True
        finally:
            for one in waiting:
                one.cancel()
    if stopped:
        rows |= {start: one.result() for one, start in waiting.items() if one.done() and not one.cancelled()}
    ordered = tuple(row for start in sorted(rows) for row in rows[start])
    return Sweep(
        rows=ordered,
        asked=len(specs),
        stopped=stopped and len(ordered) < len(specs),
        fingerprint=rulebook.fingerprint,
    )


HandOver = Callable[[Sequence[Spec]], "Future[list[Swept]]"]
"""Gives some blades to whoever works them out."""


@contextmanager
def _over_cores(rulebook: Rulebook, cores: int) -> Iterator[HandOver]:
    with (
        _one_thread_each(),
        ProcessPoolExecutor(
            cores or os.cpu_count() or 1,
            # A fresh process reads the thread settings as it starts; a forked one has its libraries running already.
            mp_context=get_context("spawn"),
            initializer=_leave_the_stopping,
        ) as pool,
    ):
        told = _Told.of(rulebook)
        yield lambda specs: pool.submit(_rows, specs, told)


@contextmanager
def _over_cluster(rulebook: Rulebook, address: str) -> Iterator[HandOver]:
    try:
        distributed = import_module("distributed")
    except ImportError as fault:
        raise MissingToolError(
            "working on a cluster needs dask.distributed",
            value=address,
            way_out="Install it here and on every machine of the cluster (pip install distributed), "
            "or leave --cluster out and use this machine's cores.",
        ) from fault
    try:
        client = distributed.Client(address, timeout=ANSWERS_WITHIN)
    except (OSError, ValueError) as fault:
        raise NotFoundError(
            "no cluster answers at this address",
            value=address,
            limit=f"an answer within {ANSWERS_WITHIN} s",
            way_out="Give the address its scheduler prints when it starts, as tcp://10.0.0.5:8786.",
        ) from fault
    with client, client.get_executor(pure=False) as pool:
        told = client.scatter(_Told.of(rulebook), broadcast=True)
        yield lambda specs: pool.submit(_rows, specs, told)


@contextmanager
def _one_thread_each() -> Iterator[None]:
    """Tell processes started meanwhile to calculate with one thread: the cores are shared out already."""
    before = {name: os.environ.get(name) for name in THREAD_SETTINGS}
    os.environ.update(dict.fromkeys(THREAD_SETTINGS, "1"))
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    """A rulebook as other processes and machines are told it: its files, word for word.

    Attributes:
        files: Name and text of each file.
        fingerprint: What the rulebook that is read from them must carry.
    """

    files: tuple[tuple[str, str], ...]
    fingerprint: str

    @classmethod
    def of(cls, rulebook: Rulebook) -> _Told:
        files = tuple((file.name, file.read_text(encoding="utf-8")) for file in sorted(rulebook.folder.glob("*.toml")))
        return cls(files=files, fingerprint=rulebook.fingerprint)


@lru_cache(maxsize=2)
def _read(told: _Told) -> Rulebook:
    """The rulebook, read once in each process.

    Raises:
        RulebookError: The files no longer say what the rulebook was read from.
    """
    with TemporaryDirectory(prefix="plowwright-rules-") as folder:
        for name, text in told.files:
            (Path(folder) / name).write_text(text, encoding="utf-8")
        rulebook = load(folder)
    if rulebook.fingerprint != told.fingerprint:
        raise RulebookError(
            "the rulebook's files do not say what these rules say",
            value=rulebook.fingerprint,
            limit=told.fingerprint,
            way_out="They were changed meanwhile, or the rules are on trial: start again, or write the trial down.",
        )
    return rulebook


def _leave_the_stopping() -> None:
    # Ctrl-C reaches every process of the terminal; only the one that was asked decides what to do about it.
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _rows(specs: Sequence[Spec], told: _Told) -> list[Swept]:
    rulebook = _read(told)
    return [row_of(spec, rulebook) for spec in specs]
