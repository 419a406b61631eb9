"""The whole demo range worked out, and one build with its drawings against writing its STEP."""

from __future__ import annotations

import time
from itertools import islice, product
from pathlib import Path

from bench import Row
from plowwright import rulebook
from plowwright.blade.spec import Spec
from plowwright.papers import elevations, step
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.worked import work_out

DEMO = Path(__file__).resolve().parents[1] / "demo" / "rulebook"
MOUNTS = (("loader", "skid steer"), ("pin-on", "tractor"), ("hook", "wheel loader"), ("mini", "compact loader"))
EXTRAS = ((), ("shoes",), ("markers",), ("shoes", "markers"), ("deflector",), ("crate", "markers"))


def specs(rules: Rulebook) -> list[Spec]:
    """Every width of every series with the common option sets, mixed so that any first part of it is a fair sample."""
    widths = [(key, width) for key, series in rules.series.items() for width in series.widths()]
    sets = list(product(MOUNTS, ("flat-face", "poppet"), EXTRAS))
    return [
        Spec(series=key, width=width, mount=mount, carrier_kind=kind, hoses=hoses, extras=extras)  # type: ignore[arg-type]
        for (mount, kind), hoses, extras in sets
        for key, width in widths
    ]


def seconds_each(chosen: list[Spec], rules: Rulebook) -> float:
    """Seconds for each of some builds: parts, mass, price, bill, hole layout [s]."""
    begin = time.perf_counter()
    for spec in chosen:
        work_out(spec, rules, level=0)
    return (time.perf_counter() - begin) / len(chosen)


def run() -> list[Row]:
    """Cost of a build at a thousand against at ten, and drawings against STEP."""
    rules = rulebook.load(DEMO)
    every = specs(rules)
    seconds_each(every[:26], rules)
    # Ten builds spread over the range, several times, so that one slow moment does not decide.
    ten = list(islice(every, 0, len(every), len(every) // 10))[:10]
    few = sorted(seconds_each(ten, rules) for _ in range(9))[4]
    many = seconds_each(every, rules)
    rows = [
        Row(name=f"one build at {len(every)} over one build at 10", value=many / few, limit=1.2, unit="ratio"),
    ]
    if step.kernel_installed():
        spec = Spec(
            series="basalt", width=every[0].width * 1.75, mount="loader", carrier_kind="skid steer", hoses="flat-face"
        )
        built = work_out(spec, rules, level=0).build
        elevations.four_views(built, width=184, system="us")
        begin = time.perf_counter()
        for _ in range(5):
            elevations.four_views(work_out(spec, rules, level=0).build, width=184, system="us")
        drawn = (time.perf_counter() - begin) / 5
        step.step(built.assembly, title="warm")
        begin = time.perf_counter()
        step.step(built.assembly, title="bench")
        solid = time.perf_counter() - begin
        rows.append(
            Row(
                name="writing STEP over a build with its drawings",
                value=solid / drawn,
                limit=50,
                unit="ratio",
                bound="at least",
            )
        )
    return rows
