"""What a rulebook refuses, and how it says so."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from plowwright.errors import NotFoundError, RulebookError
from plowwright.rulebook import load

from .conftest import Edit

LineIn = Callable[[str, str], int]


def refused(folder: Path) -> str:
    with pytest.raises(RulebookError) as caught:
        load(folder)
    return str(caught.value)


def test_the_demo_rulebook_reads_in_si(demo_dir: Path) -> None:
    book = load(demo_dir / "rulebook")
    assert list(book.series) == ["reed", "flint", "basalt"]
    assert book.series["flint"].moldboard.body_height == pytest.approx(31 * 0.0254)
    assert book.bought["trip spring 3/8"].rate == pytest.approx(131 * 4.4482216 / 0.0254)
    assert book.sections["tube 3 x 3 x 1/4"].mass == pytest.approx(8.81 * 1.488164, rel=1e-5)
    assert book.prices.series["basalt"].step == 74


def test_the_tests_own_rulebook_reads(repo_root: Path) -> None:
    assert list(load(repo_root / "tests/rulebooks/common").series) == ["light", "standard", "heavy"]


def test_a_number_without_a_unit_is_refused_with_line_field_and_an_example(
    copied: Path, edit: Edit, line_in: LineIn
) -> None:
    edit("series", 'body_height = "31 in"', 'body_height = "31"')
    said = refused(copied)
    at = line_in("series", 'body_height = "31"')
    assert said.startswith(f"series.toml line {at}, flint.moldboard.body_height: ")
    assert "(given: 31)" in said
    assert "90 in" in said


def test_a_bare_number_outside_quotes_is_refused_alike(copied: Path, edit: Edit) -> None:
    edit("shop", 'kerf = "1/8 in"', "kerf = 0.125")
    said = refused(copied)
    assert said.startswith("shop.toml line 8, kerf: ")
    assert "(given: 0.125)" in said


def test_a_unit_of_the_wrong_kind_is_refused(copied: Path, edit: Edit) -> None:
    edit("bought", 'mass = "28 lb"', 'mass = "28 in"')
    said = refused(copied)
    assert '"cylinder 2-1/2 x 1-1/4 x 10".mass' in said
    assert "(given: 28 in)" in said


def test_a_skin_lap_names_its_word_beside_its_unit(copied: Path, edit: Edit) -> None:
    edit("series", 'skin_lap = "whole leg"', 'skin_lap = "3"')
    said = refused(copied)
    assert "reed.moldboard.skin_lap: a number without a unit (given: 3)" in said
    assert 'Or write "whole leg".' in said


def test_an_unknown_field_is_refused_with_the_near_name(copied: Path, edit: Edit, line_in: LineIn) -> None:
    edit("series", "web_depth_top =", "web_dept_top =")
    said = refused(copied)
    at = line_in("series", "web_dept_top")
    assert "reed.moldboard.web_depth_top: web_depth_top is missing" in said
    assert f"series.toml line {at}, reed.moldboard.web_dept_top: no field is called web_dept_top" in said


def test_the_near_name_is_asked_for_when_only_the_field_is_too_many(copied: Path, edit: Edit) -> None:
    edit("sections", 'wall = "1/8 in"', 'wall = "1/8 in"\nprise = "USD 3/ft"')
    said = refused(copied)
    assert '"tube 2-1/2 x 2-1/2 x 1/8".prise: no field is called prise' in said
    assert "Did you mean price" in said


def test_a_name_that_leads_nowhere_is_refused_with_near_names_of_the_right_kind(
    copied: Path, edit: Edit, line_in: LineIn
) -> None:
    edit("series", 'edge = "flat 6 x 1/2"', 'edge = "flat 6 x 1/3"')
    said = refused(copied)
    at = line_in("series", "flat 6 x 1/3")
    assert said.startswith(f"series.toml line {at}, flint.edges.row 1.edge: sections.toml has no such entry")
    assert "(given: flat 6 x 1/3)" in said
    assert "Did you mean flat 6 x" in said


def test_a_name_of_the_wrong_kind_is_refused(copied: Path, edit: Edit) -> None:
    edit("series", 'bottom_angle = "angle 3 x 3 x 5/16"', 'bottom_angle = "flat 6 x 1/2"')
    assert "bottom_angle wants an angle (given: flat 6 x 1/2, a flat)" in refused(copied)


def test_a_row_needs_from_or_over(copied: Path, edit: Edit) -> None:
    edit("series", 'over = "60 in"', "# over = 60 in")
    said = refused(copied)
    assert "reed.rows.row 2: the row has neither from nor over; limit: exactly one of them" in said


def test_an_option_that_needs_what_is_not_offered_is_refused(copied: Path, edit: Edit) -> None:
    edit("options", 'excludes = ["extras.rush"]', 'excludes = ["extras.rash"]')
    said = refused(copied)
    assert (
        "extras.second-colour.excludes.row 1: nothing of that name can be chosen (given: extras.rash)" in said
    )
    assert "Did you mean extras.rush" in said


def test_a_quote_left_open_is_named_by_file_and_line(copied: Path, edit: Edit, line_in: LineIn) -> None:
    edit("mounts", 'width = "36 in"', 'width = "36 in')
    said = refused(copied)
    assert said.startswith(f"mounts.toml line {line_in('mounts', '36 in')}: the file cannot be read: ")
    assert '(given: width = "36 in)' in said


def test_a_missing_file_is_named(copied: Path) -> None:
    (copied / "prices.toml").unlink()
    said = refused(copied)
    assert "prices.toml: the file is not there" in said


def test_a_file_too_many_is_refused_with_the_near_name(copied: Path) -> None:
    (copied / "serie.toml").write_text("")
    assert "Did you mean series?" in refused(copied)


def test_a_folder_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(NotFoundError, match=r"there is no rulebook folder here \(given: .*nowhere\)"):
        load(tmp_path / "nowhere")


def test_a_cylinder_without_its_stroke_is_refused(copied: Path, edit: Edit) -> None:
    edit("bought", 'stroke = "8 in"\n', "")
    assert '"cylinder 2 x 1-1/8 x 8": a cylinder needs stroke' in refused(copied)


def test_a_wall_thicker_than_its_tube_is_refused(copied: Path, edit: Edit) -> None:
    edit("sections", 'wall = "1/8 in"', 'wall = "1-1/4 in"')
    assert "the wall does not fit into the section (given: 1-1/4 in); limit: below 1-1/4 in" in refused(
        copied
    )


def test_all_refused_entries_are_named_in_the_order_of_the_files(copied: Path, edit: Edit) -> None:
    edit("series", 'body_height = "27 in"', 'body_height = "27"')
    edit("shop", 'end_trim = "1/2 in"', 'end_trim = "a bit"')
    said = refused(copied)
    assert said.startswith("shop.toml line 9, end_trim: ")
    assert "Refused as well: series.toml line " in said


def test_comments_layout_and_spelling_leave_the_fingerprint_alone(copied: Path, edit: Edit) -> None:
    before = load(copied).fingerprint
    edit("shop", 'kerf = "1/8 in"', '# other words\n\nkerf   =   "0.125 in"')
    edit("shop", '["72 in", ', '[\n  "6 ft",\n')
    assert load(copied).fingerprint == before


def test_a_changed_value_changes_the_fingerprint(copied: Path, edit: Edit) -> None:
    before = load(copied).fingerprint
    edit("shop", 'kerf = "1/8 in"', 'kerf = "3/16 in"')
    after = load(copied).fingerprint
    assert before != after
    assert len(after) == 14


def test_the_orders_on_the_wall_ask_for_series_and_mounts_of_the_rulebook(demo_dir: Path) -> None:
    import tomllib

    book = load(demo_dir / "rulebook")
    orders = tomllib.loads((demo_dir / "orders.toml").read_text(encoding="utf-8"))["orders"]
    assert len(orders) == 15
    for order in orders:
        if "spec" in order:
            spec = order["spec"]
            assert spec["series"] in book.series
            assert spec["carrier"] in book.mounts[spec["mount"]].carriers
            assert spec["hoses"] in book.options["hoses"]
            assert set(spec["extras"]) <= set(book.options["extras"])
        for name in order.get("spares", []):
            assert name in book.prices.spares
