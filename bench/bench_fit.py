"""The answer on the phone: the whole range for one machine from cold, and every further answer, questions included."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

from bench import Row
from plowwright import rulebook
from plowwright.blade import carriers
from plowwright.blade.build import work_out
from plowwright.blade.carriers import Carrier
from plowwright.blade.fit import range as ranges
from plowwright.blade.fit.ranking import fit
from plowwright.blade.spec import Spec
from plowwright.blade.work import UNTOLD
from plowwright.desk.fit import FitDesk
from plowwright.rulebook.reading import Rulebook

DEMO = Path(__file__).resolve().parents[1] / "demo"


def run() -> list[Row]:
    """Fit from cold over working its range out; one more answer over working one blade out."""
    rules = rulebook.load(DEMO / "rulebook")
    known = carriers.load_all(DEMO / "carriers")
    rows: list[Row] = []
    for name in ("k1", "k7"):
        machine = known[name]
        range_alone = _best(lambda machine=machine: _range(rules, machine), runs=5)
        cold = _best(lambda machine=machine: _cold(rules, machine), runs=5)
        count = len(fit(machine, UNTOLD, rules).options)
        told = f"fit of {count} blades for {machine.name} over working them out"
        rows.append(Row(name=told, value=cold / range_alone, limit=3.0))
    desk = FitDesk(rules)
    desk.warm()
    one = _range(rules, known["k7"])[0]
    blade = _best(lambda: work_out(one, rules, level=0))
    for name, machine in (("a known machine", known["k7"]), ("a machine of no known kind", Carrier(name="a caller"))):
        answer = _best(lambda machine=machine: FitDesk(rules).answer(machine))
        rows.append(Row(name=f"answer with its questions for {name} over one blade", value=answer / blade, limit=5.0))
    return rows


def _range(rules: Rulebook, machine: Carrier) -> list[Spec]:
    """The blades a machine can couple to, worked out one by one as for any list."""
    specs = [
        Spec(series=key, width=width, mount=mount, carrier_kind=machine.kind, hoses="flat-face")  # type: ignore[arg-type]
        for mount in ranges.mounts_for(rules, machine.kind)
        for key, series in rules.series.items()
        for width in series.widths()
    ]
    for spec in specs:
        work_out(spec, rules, level=0)
    return specs


def _cold(rules: Rulebook, machine: Carrier) -> None:
    ranges.forget()
    fit(machine, UNTOLD, rules)


def _best(work: Callable[[], object], runs: int = 9) -> float:
    """Best of several runs [s]."""
    taken: list[float] = []
    for _ in range(runs):
        begin = time.perf_counter()
        work()
        taken.append(time.perf_counter() - begin)
    return min(taken)
