"""The order of giving, drawn."""

from __future__ import annotations

from plowwright.blade.giving import Giving, Row
from plowwright.blade.spans import Span
from plowwright.findings import Basis
from plowwright.papers.giving import order_of_giving
from plowwright.papers.marks import Group, Label, walk
from plowwright.units.constants import LBF

BASIS = Basis(kind="assumed", formula="as told")


def lb(low: float, high: float) -> Span:
    return Span(low=low * LBF, likely=(low + high) / 2 * LBF, high=high * LBF)


def row(key: str, sort, low: float, high: float, *, centre: bool = True) -> Row:
    span = lb(low, high)
    return Row(key=key, name=key, sort=sort, corner=span, centre=span if centre else None, basis=BASIS, sentence="")


GIVING = Giving(
    rows=(
        row("leg yields", "breaks", 900, 1100),
        row("moldboard trips", "lets go", 400, 600),
        row("spins on pavement", "carrier", 1500, 2500),
        row("hinge pins", "breaks", 16000, 16500),
        row("swung round", "carrier", 300, 900, centre=False),
    ),
    sentences=(),
    findings=(),
)


def drawn(place, **more):
    page = order_of_giving(GIVING, place, width=160, **more)
    assert page is not None
    return page


def names(page) -> list[str]:
    return [m.title.partition(":")[0] for m in page.marks if isinstance(m, Group) and m.name == "range"]


def texts(page) -> list[str]:
    return [m.text for m in walk(page.marks) if isinstance(m, Label)]


def test_the_first_to_give_stands_on_top() -> None:
    assert names(drawn("corner")) == ["moldboard trips", "swung round", "leg yields", "spins on pavement", "hinge pins"]


def test_what_gives_only_at_the_corner_is_not_drawn_for_the_centre() -> None:
    assert "swung round" not in names(drawn("centre"))


def test_the_scale_ends_past_what_the_carrier_brings_and_the_rest_reads_its_number() -> None:
    page = drawn("corner")
    assert "16,000 to 16,500 lbf" in texts(page)
    scale = [int(t.replace(",", "")) for t in texts(page) if t.replace(",", "").isdigit()]
    assert 2500 <= max(scale) <= 5000


def test_the_key_says_what_the_fillings_mean_and_may_be_left_out() -> None:
    assert "lets go as it is meant to" in texts(drawn("corner"))
    assert "lets go as it is meant to" not in texts(drawn("corner", key=False))


def test_metric_scales_read_kilonewtons() -> None:
    found = texts(drawn("corner", system="metric"))
    assert "force at the corner of the edge, kN" in found and "1.78 to 2.67 kN" in found


def test_nothing_known_is_no_picture() -> None:
    assert order_of_giving(Giving(rows=(), sentences=(), findings=()), "corner", width=160) is None
