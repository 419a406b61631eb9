from __future__ import annotations

import json
from dataclasses import replace
from itertools import pairwise

import pytest

from plowwright.blade import bill
from plowwright.blade.assemble import assemble
from plowwright.blade.mass import tally
from plowwright.blade.spec import Spec
from plowwright.errors import RulebookError
from plowwright.rulebook.reading import Rulebook
from plowwright.shop.lines import Line
from plowwright.shop.price import Price, list_lines, price
from plowwright.units import FOOT, INCH, LB


def spec(series: str = "heavy", width: float = 84, **more: object) -> Spec:
    chosen: dict[str, object] = {"mount": "loader", "carrier_kind": "skid steer", "hoses": "flat-face", "extras": ()}
    return Spec(series=series, width=width * INCH, **{**chosen, **more})  # type: ignore[arg-type]


def priced(chosen: Spec, rules: Rulebook) -> Price:
    assembly = assemble(chosen, rules)
    return price(chosen, bill.bill(assembly), tally(assembly), rules)


def with_prices(rules: Rulebook, **changes: object) -> Rulebook:
    prices = rules.prices.model_copy(update=changes)
    return replace(rules, data=rules.data.model_copy(update={"prices": prices}))


def line(found: Price, label: str) -> Line:
    return next(one for one in (*found.lines, *found.owner.lines) if one.label == label)


def test_the_invented_shops_basalt_84_costs_its_base_and_five_steps(demo_rules: Rulebook) -> None:
    lines = list_lines(spec("basalt", 84, extras=("markers",)), demo_rules)
    assert [(one.label, one.amount) for one in lines] == [
        ("Basalt 84 in", 2810.0),
        (demo_rules.mounts["loader"].name, 0.0),
        ("hoses with flat-face couplers", 176.0),
        ("pair of edge markers", 41.0),
    ]
    assert dict(lines[0].inputs) == {"base": "USD 2,440 at 54 in", "steps": "5 of 6 in", "price of a step": "USD 74"}
    assert dict(lines[1].inputs) == {"mount.loader": "included"}


def test_no_hoses_is_no_line(demo_rules: Rulebook) -> None:
    labels = [one.label for one in list_lines(spec("reed", 72, hoses="none"), demo_rules)]
    assert labels == ["Reed 72 in", demo_rules.mounts["loader"].name]


def test_rush_is_a_share_of_every_line_above_it(demo_rules: Rulebook) -> None:
    plain = list_lines(spec("basalt", 84, extras=("shoes",)), demo_rules)
    rushed = list_lines(spec("basalt", 84, extras=("shoes", "rush")), demo_rules)
    assert rushed[-1].label == "rush, 12 %"
    assert rushed[-1].amount == pytest.approx(0.12 * sum(one.amount for one in plain))
    assert rushed[:-1] == plain


def test_the_total_is_its_lines_and_the_deposit_its_share(demo_rules: Rulebook) -> None:
    found = priced(spec("flint", 84, extras=("second-colour",)), demo_rules)
    assert found.total == pytest.approx(sum(one.amount for one in found.lines))
    assert found.deposit == pytest.approx(0.4 * found.total)
    assert line(found, "frame in the customer's colour").amount == 85.0


def test_every_cost_line_opens_to_a_formula_and_its_inputs(common_rules: Rulebook) -> None:
    found = priced(spec(), common_rules)
    assert {one.kind for one in found.owner.lines} == {
        "bar", "plate", "bought", "outside work", "hours", "paint", "wire",
    }  # fmt: skip
    for one in (*found.lines, *found.owner.lines):
        assert one.formula and one.inputs, one.label
    assert found.owner.cost == pytest.approx(sum(one.amount for one in found.owner.lines))


def test_a_bar_costs_its_length_and_one_kerf_a_piece(common_rules: Rulebook) -> None:
    chosen = spec()
    rows = [row for row in bill.bill(assemble(chosen, common_rules)).cut_list() if row.stock == "tube 2 x 2 x 1/4"]
    run = sum((row.length + INCH / 8) * row.quantity for row in rows)
    assert line(priced(chosen, common_rules), "tube 2 x 2 x 1/4").amount == pytest.approx(run / FOOT * 4.33)


def test_hours_cost_their_rate(common_rules: Rulebook) -> None:
    welding = line(priced(spec(), common_rules), "fit and weld")
    assert welding.amount == pytest.approx(12 * 36)
    assert dict(welding.inputs) == {"hours": "12 h", "rate": "USD 36/h"}


def test_the_skin_is_rolled_outside_by_mass(common_rules: Rulebook) -> None:
    chosen = spec()
    skin = assemble(chosen, common_rules).part("skin")
    rolled = line(priced(chosen, common_rules), "rolling the skin")
    assert rolled.amount == pytest.approx(skin.mass() / LB * 0.34)


def test_wire_is_weld_metal_over_deposition(common_rules: Rulebook) -> None:
    chosen = spec()
    weld = tally(assemble(chosen, common_rules)).group_masses["weld metal"]
    assert line(priced(chosen, common_rules), "welding wire").amount == pytest.approx(weld / LB / 0.95 * 2.60)


def test_paint_goes_by_the_painted_area(common_rules: Rulebook) -> None:
    chosen = spec()
    area = tally(assemble(chosen, common_rules)).paint_area
    assert line(priced(chosen, common_rules), "paint, by area").amount == pytest.approx(area / FOOT**2 * 1.15)


def test_the_floor_price_leaves_the_floor_margin(common_rules: Rulebook) -> None:
    private = priced(spec(), common_rules).owner
    assert (private.floor_price - private.cost) / private.floor_price == pytest.approx(0.22)
    assert private.margin_share * (private.margin + private.cost) == pytest.approx(private.margin)


def test_the_verdict_turns_where_the_floor_is(common_rules: Rulebook) -> None:
    share = priced(spec(), common_rules).owner.margin_share
    verdicts = [
        priced(spec(), with_prices(common_rules, margin_floor=floor)).verdict.verdict
        for floor in (share - 0.2, share - 0.01, share, share + 0.01)
    ]
    assert verdicts == ["holds", "near limit", "near limit", "fails"]


def test_a_verdict_says_what_is_left_and_what_the_floor_asks(common_rules: Rulebook) -> None:
    finding = priced(spec(), common_rules).verdict
    assert finding.sentence.startswith("USD 3,060 leaves USD ")
    assert "the floor of 22 % asks for USD " in finding.sentence
    assert finding.basis.formula == "floor price = cost / (1 - margin floor)"


def test_what_the_customer_gets_shows_no_cost_margin_or_floor(common_rules: Rulebook) -> None:
    found = priced(spec(), common_rules)
    text = json.dumps(found.as_dict())
    for word in ("owner", "cost", "margin", "floor", "verdict", "hours", f"{found.owner.cost:.2f}"):
        assert word not in text, word
    assert "owner" in found.as_dict(owner=True)


def test_a_series_without_a_price_is_named_with_a_line_that_would_do(common_rules: Rulebook) -> None:
    rules = with_prices(common_rules, series={})
    with pytest.raises(RulebookError, match=r"prices.toml, \[series\]: no such entry .given: heavy.*heavy = "):
        list_lines(spec(), rules)


def test_a_rate_that_is_missing_is_named(common_rules: Rulebook) -> None:
    rules = with_prices(common_rules, rates={"saw": 31.0})
    with pytest.raises(RulebookError, match=r"prices.toml, \[rates\]: no such entry .given: plate_and_drill"):
        priced(spec(), rules)


def test_a_floor_of_the_whole_price_is_refused(common_rules: Rulebook) -> None:
    with pytest.raises(RulebookError, match=r"margin_floor: .* .given: 1.; limit: from 0 to under 1"):
        priced(spec(), with_prices(common_rules, margin_floor=1.0))


def test_deposition_over_one_is_refused(common_rules: Rulebook) -> None:
    with pytest.raises(RulebookError, match=r"deposition: .* .given: 95.; limit: above 0, up to 1"):
        priced(spec(), with_prices(common_rules, deposition=95.0))


def test_a_price_rises_with_every_step_of_width(demo_rules: Rulebook) -> None:
    for key, series in demo_rules.series.items():
        totals = [sum(one.amount for one in list_lines(spec(key, w / INCH), demo_rules)) for w in series.widths()]
        steps = {round(b - a, 6) for a, b in pairwise(totals)}
        assert steps == {demo_rules.prices.series[key].step}
