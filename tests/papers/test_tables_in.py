"""Lists read in: headings with units, refusals with file and line, our own lists read back."""

from __future__ import annotations

from pathlib import Path

import pytest
from openpyxl import Workbook

from plowwright.errors import EntryError, NotFoundError, UnitError
from plowwright.papers.lists import write_csv, write_xlsx
from plowwright.papers.steel_lists import PLAN_COLUMNS, pieces_from, plan_rows, plan_sheets, sticks_from
from plowwright.papers.tables_in import read
from plowwright.shop.cutting import plan
from plowwright.shop.cutting_model import RemnantRule
from plowwright.units.constants import DEGREE, INCH

PIECES = "stock,length [in],quantity,order,mark\ntube 3 x 3 x 1/4,84,2,421M,leg\ntube 3 x 3 x 1/4,30-1/2,3,421M,cross\n"
STICKS = "stock,length,price,on hand\ntube 3 x 3 x 1/4,20 ft,USD 132,0\ntube 3 x 3 x 1/4,24 ft,USD 152,1\n"


@pytest.fixture
def lists(tmp_path: Path) -> tuple[Path, Path]:
    pieces, sticks = tmp_path / "pieces.csv", tmp_path / "sticks.csv"
    pieces.write_text(PIECES, encoding="utf-8")
    sticks.write_text(STICKS, encoding="utf-8")
    return pieces, sticks


def test_a_heading_with_a_unit_lets_bare_numbers_stand(lists: tuple[Path, Path]) -> None:
    found = pieces_from(lists[0])
    assert [p.tag for p in found] == ["421M leg 1/2", "421M leg 2/2", *(f"421M cross {n}/3" for n in (1, 2, 3))]
    assert found[0].length == pytest.approx(84 * INCH) and found[2].length == pytest.approx(30.5 * INCH)


def test_a_bare_number_without_one_is_refused_with_file_line_and_an_example(tmp_path: Path) -> None:
    file = tmp_path / "p.csv"
    file.write_text("stock,length\ntube,84 in\ntube,30\n", encoding="utf-8")
    with pytest.raises(UnitError) as caught:
        pieces_from(file)
    assert "p.csv line 3, length" in str(caught.value) and "30" in str(caught.value)


def test_semicolons_a_signature_and_an_old_code_page_are_read(tmp_path: Path) -> None:
    file = tmp_path / "p.csv"
    file.write_bytes("\ufeffstock;length;mark\ntube;84 in;leg\n".encode())
    assert pieces_from(file)[0].mark == "leg"
    file.write_bytes("stock,length,mark\ntube,84 in,löffel\n".encode("cp1252"))
    assert pieces_from(file)[0].mark == "löffel"


def test_a_slip_in_a_heading_is_asked_about_and_a_strange_column_left_alone(tmp_path: Path) -> None:
    file = tmp_path / "p.csv"
    file.write_text("stock,length,quantty\ntube,84 in,2\n", encoding="utf-8")
    with pytest.raises(EntryError, match="Did you mean quantity"):
        pieces_from(file)
    file.write_text("stock,length,drawn by\ntube,84 in,me\n", encoding="utf-8")
    assert len(pieces_from(file)) == 1


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("stock,quantity\ntube,2\n", "column missing: length"),
        ("a,b\n1,2\n", "no headings"),
        ("stock,length\n", "no row"),
        ("stock,length,quantity\ntube,84 in,two\n", "quantity is not a whole number"),
        ("stock,length,tag\ntube,84 in,x\ntube,30 in,x\n", "two pieces have one tag"),
        ("stock,length,left mitre\ntube,84 in,30 deg\n", "mitre depth"),
        ("stock,length,rush\ntube,84 in,perhaps\n", "neither yes nor no"),
    ],
)
def test_what_cannot_be_taken_is_refused_by_name(tmp_path: Path, text: str, said: str) -> None:
    file = tmp_path / "p.csv"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(EntryError, match=said):
        pieces_from(file)


def test_a_missing_file_and_a_file_that_is_no_workbook_are_refused(tmp_path: Path) -> None:
    with pytest.raises(NotFoundError):
        read(tmp_path / "none.csv", needs=("stock",))
    (tmp_path / "p.xlsx").write_text("no workbook", encoding="utf-8")
    with pytest.raises(EntryError, match="no workbook"):
        read(tmp_path / "p.xlsx", needs=("stock",))


def test_mitres_and_remnants_are_read(tmp_path: Path) -> None:
    file = tmp_path / "p.csv"
    file.write_text(
        "stock,length,left mitre,right mitre,mitre depth,may be turned\ntube,84 in,30 deg,-30 deg,3 in,no\n",
        encoding="utf-8",
    )
    (piece,) = pieces_from(file)
    assert piece.ends[0] is not None and piece.ends[0].angle == pytest.approx(30 * DEGREE) and not piece.flips
    file.write_text("stock,length,price,tag,sawn ends\ntube,61 in,USD 12,R-1,1\n", encoding="utf-8")
    (stick,) = sticks_from(file)
    assert (stick.on_hand, stick.buyable, stick.trimmed_ends) == (1, False, 1)


@pytest.mark.parametrize("ending", [".csv", ".xlsx"])
def test_the_plan_we_write_can_be_read_back_piece_for_piece(
    lists: tuple[Path, Path], tmp_path: Path, ending: str
) -> None:
    made = plan(pieces_from(lists[0]), sticks_from(lists[1]), INCH / 8, INCH / 2, RemnantRule(least=18 * INCH), 1.0)
    file = tmp_path / f"plan{ending}"
    if ending == ".csv":
        file.write_bytes(write_csv(plan_rows(made), PLAN_COLUMNS))
    else:
        file.write_bytes(write_xlsx(plan_sheets(made)))
    rows = read(file, needs=("stick", "tag", "length", "from", "to"), knows=("stock", "order", "mark", "drop"))
    assert [r.text("tag") for r in rows] == [p.tag for p in made.pieces]
    for row, piece in zip(rows, made.pieces, strict=True):
        assert row.quantity("length", "length") == pytest.approx(piece.length, abs=1e-6)


def test_headings_as_others_write_them_are_understood(tmp_path: Path) -> None:
    file = tmp_path / "p.csv"
    file.write_text("Section,Length (in),Qty,ID\ntube,84,2,leg\ntube,30-1/2,1,cross\n", encoding="utf-8")
    assert [p.tag for p in pieces_from(file)] == ["leg 1/2", "leg 2/2", "cross"]
    file.write_text("section,length_in,price_usd,available\ntube,240,132,3\n", encoding="utf-8")
    (stick,) = sticks_from(file)
    assert (stick.price, stick.on_hand) == (132.0, 3) and stick.length == pytest.approx(240 * INCH)
    file.write_text("stock,length_mm,count\ntube,2134,2\n", encoding="utf-8")
    assert len(pieces_from(file)) == 2 and pieces_from(file)[0].length == pytest.approx(2.134)


def test_our_own_column_goes_before_one_that_others_use_for_it(tmp_path: Path) -> None:
    file = tmp_path / "p.csv"
    file.write_text("stock,material,length [in],quantity,count\ntube,steel,84,2,9\n", encoding="utf-8")
    found = pieces_from(file)
    assert len(found) == 2 and found[0].stock == "tube"


def test_a_count_without_end_is_refused_by_line(tmp_path: Path) -> None:
    (tmp_path / "p.csv").write_text("stock,length,quantity\ntube,10 in,inf\n", encoding="utf-8")
    with pytest.raises(EntryError, match=r"p\.csv line 2: quantity is not a whole number \(given: inf\)"):
        pieces_from(tmp_path / "p.csv")


def test_a_caption_full_of_commas_does_not_decide_how_a_list_is_parted(tmp_path: Path) -> None:
    (tmp_path / "p.csv").write_text("For Monday, Tuesday, Friday\nstock;length\ntube;12 in\n", encoding="utf-8")
    assert pieces_from(tmp_path / "p.csv")[0].length == pytest.approx(12 * INCH)


def test_a_list_saved_as_unicode_text_is_read(tmp_path: Path) -> None:
    (tmp_path / "p.csv").write_text("stock\tlength\ntube\t12 in\n", encoding="utf-16")
    assert pieces_from(tmp_path / "p.csv")[0].stock == "tube"


def test_a_comma_that_may_be_a_decimal_one_is_asked_about(tmp_path: Path) -> None:
    (tmp_path / "p.csv").write_text("stock;length [mm]\ntube;1,200\n", encoding="utf-8")
    with pytest.raises(EntryError, match=r"p\.csv line 2.*1,200.*1200 or 1\.200"):
        pieces_from(tmp_path / "p.csv")


def test_two_columns_of_one_heading_are_refused(tmp_path: Path) -> None:
    (tmp_path / "p.csv").write_text("stock,stock,length\ntube,x,12 in\n", encoding="utf-8")
    with pytest.raises(EntryError, match=r"two columns have one heading.*stock"):
        pieces_from(tmp_path / "p.csv")


def test_a_cover_page_is_passed_over_and_a_formula_never_worked_out_is_explained(tmp_path: Path) -> None:
    book = Workbook()
    book.active.append(["For March"])
    page = book.create_sheet("pieces")
    page.append(["Stock", "Length [in]"])
    page.append(["tube", 12.5])
    book.save(tmp_path / "p.xlsx")
    assert pieces_from(tmp_path / "p.xlsx")[0].length == pytest.approx(12.5 * INCH)
    page.append(["tube", "=B2+1"])
    book.save(tmp_path / "p.xlsx")
    with pytest.raises(EntryError, match=r"p\.xlsx line 3: no length here.*formula"):
        pieces_from(tmp_path / "p.xlsx")
