from __future__ import annotations

import os
import shutil
import sys
from pathlib import Path

import pytest

from plowwright import rulebook, sweep
from plowwright.blade.spec import Spec, check
from plowwright.errors import MissingToolError, ModelError, NotFoundError, RulebookError
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.worked import work_out


@pytest.fixture(scope="module")
def rules(demo_dir: Path) -> Rulebook:
    return rulebook.load(demo_dir / "rulebook")


@pytest.fixture(scope="module")
def every(rules: Rulebook) -> list[Spec]:
    return list(sweep.every_spec(rules))


def test_the_range_has_every_width_every_mount_and_no_blade_twice(rules: Rulebook, every: list[Spec]) -> None:
    widths = {(key, width) for key, series in rules.series.items() for width in series.widths()}
    assert {(spec.series, spec.width) for spec in every} == widths
    assert {(spec.mount, spec.carrier_kind) for spec in every} == {
        (key, kind) for key, mount in rules.mounts.items() for kind in mount.carriers
    }
    assert {spec.hoses for spec in every} == set(rules.options["hoses"])
    assert {extra for spec in every for extra in spec.extras} == set(rules.options["extras"])
    assert len(set(every)) == len(every) >= 1000


def test_the_first_part_of_the_range_spans_all_widths(rules: Rulebook, every: list[Spec]) -> None:
    count = sum(len(series.widths()) for series in rules.series.values())
    assert len({(spec.series, spec.width) for spec in every[:count]}) == count


def test_extras_that_exclude_each_other_never_meet(rules: Rulebook, every: list[Spec]) -> None:
    assert not [spec for spec in every if {"rush", "second-colour"} <= set(spec.extras)]
    for spec in every[:: len(every) // 50]:
        check(spec, rules)


def test_a_row_says_what_the_blade_itself_says(rules: Rulebook, every: list[Spec]) -> None:
    told: list[int] = []
    chosen = every[:10]
    found = sweep.run(rules, chosen, cores=2, progress=told.append)
    assert [row.spec for row in found.rows] == chosen and sum(told) == 10 and not found.stopped
    for spec, row in zip(chosen, found.rows, strict=True):
        worked = work_out(spec, rules, level=0)
        assert row.mass == pytest.approx(worked.build.mass, rel=1e-12)
        assert row.price == worked.price.total
        assert row.parts == sum(part["quantity"] for part in worked.as_dict()["parts"])
        assert row.fingerprint == worked.build.fingerprint


def test_each_core_calculates_with_one_thread_and_the_setting_is_put_back(
    monkeypatch: pytest.MonkeyPatch, rules: Rulebook, every: list[Spec]
) -> None:
    monkeypatch.setenv("OMP_NUM_THREADS", "7")
    monkeypatch.delenv("OPENBLAS_NUM_THREADS", raising=False)
    seen: list[str | None] = []
    sweep.run(rules, every[:1], cores=1, progress=lambda _: seen.append(os.environ.get("OPENBLAS_NUM_THREADS")))
    assert seen == ["1"]
    assert os.environ["OMP_NUM_THREADS"] == "7" and "OPENBLAS_NUM_THREADS" not in os.environ


def test_stopping_keeps_what_is_done(rules: Rulebook, every: list[Spec]) -> None:
    def stop(_: int) -> None:
        raise KeyboardInterrupt

    found = sweep.run(rules, every[:200], cores=1, progress=stop)
    assert found.stopped and found.asked == 200
    assert sweep.AT_ONCE <= len(found.rows) < 200
    assert found.rows[0].mass > 0 and found.as_dict()["stopped"] is True


def test_a_blade_that_cannot_be_built_is_a_row_with_its_reason(
    monkeypatch: pytest.MonkeyPatch, rules: Rulebook, every: list[Spec]
) -> None:
    def refuse(spec: Spec, rulebook: Rulebook, *, level: int) -> None:
        raise ModelError("the ears do not clear the springs", value="1/4 in", limit="at least 1/2 in")

    monkeypatch.setattr(sweep, "work_out", refuse)
    row = sweep.row_of(every[0], rules)
    assert "1/4 in" in row.refused and "mass_lb" not in row.as_dict()
    found = sweep.Sweep(rows=(row, row), asked=2, stopped=False, fingerprint=rules.fingerprint)
    assert found.refusals() == {row.refused: 2} and found.by_series() == {}


def test_failing_checks_are_counted_by_their_title(rules: Rulebook, every: list[Spec]) -> None:
    rows = (
        sweep.Swept(spec=every[0], name="a", failing=("edge from a stocked blank",)),
        sweep.Swept(spec=every[1], name="b", failing=("edge from a stocked blank", "trip")),
        sweep.Swept(spec=every[2], name="c"),
    )
    found = sweep.Sweep(rows=rows, asked=3, stopped=False, fingerprint=rules.fingerprint)
    assert found.failures() == {"edge from a stocked blank": 2, "trip": 1} and found.failing == rows[:2]


def test_rules_whose_files_were_changed_meanwhile_are_not_swept(
    demo_dir: Path, tmp_path: Path, every: list[Spec]
) -> None:
    shutil.copytree(demo_dir / "rulebook", tmp_path / "rulebook")
    rules = rulebook.load(tmp_path / "rulebook")
    prices = tmp_path / "rulebook" / "prices.toml"
    text = prices.read_text(encoding="utf-8")
    prices.write_text(text.replace("deposit = 0.40", "deposit = 0.41"), encoding="utf-8")
    assert rulebook.load(tmp_path / "rulebook").fingerprint != rules.fingerprint
    with pytest.raises(RulebookError, match="do not say what these rules say"):
        sweep.run(rules, every[:1], cores=1)


def test_a_cluster_without_its_library_is_refused_with_what_to_install(
    monkeypatch: pytest.MonkeyPatch, rules: Rulebook, every: list[Spec]
) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(MissingToolError) as refused:
        sweep.run(rules, every[:1], cluster="tcp://127.0.0.1:8786")
    assert "tcp://127.0.0.1:8786" in str(refused.value) and "pip install distributed" in str(refused.value)


def test_a_cluster_gives_the_same_rows_as_this_machine(rules: Rulebook, every: list[Spec]) -> None:
    distributed = pytest.importorskip("distributed", reason="dask.distributed is not installed")
    with distributed.LocalCluster(n_workers=1, threads_per_worker=1, dashboard_address=None) as cluster:
        told: list[int] = []
        found = sweep.run(rules, every[:10], cluster=cluster.scheduler_address, progress=told.append)
    assert found.rows == tuple(sweep.row_of(spec, rules) for spec in every[:10]) and sum(told) == 10


def test_an_address_where_no_cluster_answers_is_said_so(
    monkeypatch: pytest.MonkeyPatch, rules: Rulebook, every: list[Spec]
) -> None:
    pytest.importorskip("distributed", reason="dask.distributed is not installed")
    monkeypatch.setattr(sweep, "ANSWERS_WITHIN", 1)
    with pytest.raises(NotFoundError) as refused:
        sweep.run(rules, every[:1], cluster="tcp://127.0.0.1:9")
    assert "tcp://127.0.0.1:9" in str(refused.value)
