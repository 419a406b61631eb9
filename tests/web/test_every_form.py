"""Whatever is sent to a form or asked of a page, the answer is a page that says what, and nothing is half done."""

from __future__ import annotations

import re
import shutil
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from io import BytesIO
from pathlib import Path
from typing import Any
from urllib.parse import quote, urlencode

import pytest
from fastapi.routing import APIRoute
from fastapi.testclient import TestClient
from PIL import Image

from plowwright.desk.acting import Hand, fresh_key
from plowwright.desk.desk import Desk
from plowwright.desk.docking import Docking
from plowwright.desk.enquiring import Enquiring
from plowwright.desk.floor_chain import operations
from plowwright.desk.floor_words import FloorWords
from plowwright.desk.opening import open_records
from plowwright.desk.order_more import Done, more_of
from plowwright.desk.selling_changes import Changing
from plowwright.shop.dock import predicted
from plowwright.store import records as r
from plowwright.store.checking import check
from plowwright.units import LB
from plowwright.web.server import create_app

WEDNESDAY = datetime(2026, 11, 11, 8)
SERIAL = "B90-22-017"
STICK = "stick of tube 3 x 3 x 1/4, 288 in"
ASKED = {"order": "424H", "seconds": "1"}
SCRIPT = "<script>alert(1)</script>"
HEAD = "number,customer,carrier kind,series,width,mount,hoses,outlets,due,state\n"

FORMS: dict[str, tuple[str, dict[str, str]]] = {
    "/cutting/release": ("/cutting/release", ASKED),
    "/cutting/kept/{number}": ("/cutting/kept/{cut}", {"row": "{cut_row}", "cut": "x", "what": "", "miscut": "",
                                                       "bent": "", "whole": ""}),
    "/plates/release": ("/plates/release", ASKED),
    "/plates/kept/{number}": ("/plates/kept/{nest}", {"row": "{nest_row}", "cut": "x", "whole": ""}),
    "/counting": ("/counting", {"item0": STICK, "lot0": "", "book0": "5", "counted0": "4"}),
    "/receiving/{what}": ("/receiving/in", {"name": "trip spring 3/8", "count": "2", "lot": "H1", "bad": "",
                                            "arrival": "", "rest": "", "wall": "", "width": "", "height": "",
                                            "holes": "", "weight": ""}),
    "/enquiries": ("/enquiries", {"name": "V.A.", "phone": "555 0199", "note": "rang", "machine": "",
                                  "w_width": "84 in"}),
    "/enquiries/{enquiry}/close": ("/enquiries/{enquiry}/close", {"said": "bought elsewhere"}),
    "/order/new": ("/order/new", {"series": "flint", "width": "84 in", "mount": "loader", "carrier": "skid steer",
                                  "hoses": "flat-face", "name": "V.A.", "phone": "", "machine": "", "day": "",
                                  "hour": "", "note": "", "ask": "", "enquiry": "", "copy": "", "refit": "",
                                  "to": "", "serial": ""}),
    "/order/{number}/{act}": ("/order/421M/hold", {"said": "he is thinking"}),
    "/parts/{what}": ("/parts/scrap", {"name": STICK, "count": "1", "lot": "", "reason": "bent", "from": STICK}),
    "/promised/keep": ("/promised/keep", {"what": "", "stamp": "", "release": ""}),
    "/floor/{number}/settle": ("/floor/423P/settle", {"problem": "the bore is tight", "how": "reamed it"}),
    "/floor/{number}/{operation}/{act}": ("/floor/421M/saw/note", {"text": "a note of the saw"}),
    "/scale": ("/scale", {"order": "419T", "mass": "990", "unit": "lb"}),
    "/scale/clear": ("/scale/clear", {"order": "418K", "measured": "", "explained": ""}),
    "/loading/{number}/match": ("/loading/427S/match", {"order": "427S", "stamp": "427S", "label": "428C"}),
    "/loading/{number}/pack": ("/loading/427S/pack", {"length": "95", "depth": "56", "height": "36", "mass": "700",
                                                      "length_unit": "in", "mass_unit": "lb", "crated": "yes"}),
    "/loading/{number}/lading": ("/loading/427S/lading", {"ship_to": "D.S., Lower Yard", "terms": "collect"}),
    "/loading/{number}/load": ("/loading/427S/load", {"tick": "0"}),
    "/loading/{number}/photo": ("/loading/427S/photo", {"what": "photos at loading", "note": "left side"}),
    "/claim/{number}/photo": ("/claim/427S/photo", {"kind": "damage", "what": "photos at loading", "note": ""}),
    "/history/{serial}": (f"/history/{SERIAL}", {"kind": "note", "said": "he rang about it", "day": "2026-11-10",
                                                 "place": "", "item": "", "lot": "", "left": "", "owner": "",
                                                 "stamp": "", "left_s": "", "right_s": "", "replaces": ""}),
    "/lessons": ("/lessons", {"change": "2026-09-01", "reason": "the pins wore", "answers": ""}),
    "/import": ("/import", {"kind": "orders"}),
    "/import/really": ("/import/really", {"list": ""}),
}  # fmt: skip
"""Every address that takes a form: one that stands for it, and its fields."""
ACTS: tuple[tuple[str, dict[str, str]], ...] = (
    ("/order/432N/accept", {"day": "2026-12-11", "hour": "7:00"}),
    ("/order/432N/again", {}),
    ("/order/421M/release", {}),
    ("/order/421M/pay", {"kind": "deposit", "sum": "100.00", "said": "check"}),
    ("/order/421M/reverse", {"line": "1", "said": "typed twice"}),
    ("/order/421M/terms", {"said": "pays in a month"}),
    ("/order/421M/lift", {"said": "settled"}),
    ("/order/421M/ask", {"said": "gate width"}),
    ("/order/422D/answer", {"ask": "gate", "said": "8 ft"}),
    ("/order/421M/change", {"said": "wider", "width": "90 in", "sum": "12.00", "day": "2026-12-01", "hour": "7:00",
                            "series": "basalt", "mount": "loader", "hoses": "flat-face", "outlets": "left",
                            "chosen": "yes", "extras": "markers", "less": ""}),
    ("/order/421M/settle", {"note": "{note}"}),
    ("/order/421M/drop", {"note": "{note}", "said": "too dear"}),
    ("/order/423P/back", {"to": "order", "said": "steel is late"}),
    ("/order/425V/cancel", {"said": "bought elsewhere"}),
    ("/order/421M/note", {"said": "gate code 4411"}),
    ("/order/new", {"copy": SERIAL, "name": "V.A.", "answer machine": "yes", "answer rules": "yes"}),
    ("/order/new", {"refit": SERIAL, "to": "K4", "name": "V.A."}),
    ("/order/new", {"spares": "seal kit", "serial": SERIAL, "name": "V.A."}),
    ("/parts/order", {"name": "trip spring 3/8", "count": "2", "due": "2026-11-20", "supplier": "the spring shop"}),
    ("/parts/reserve", {"order": "423P"}),
    ("/parts/release", {"order": "423P", "reason": "late"}),
    ("/parts/take", {"order": "423P", "name": STICK, "count": "1", "lot": "", "from": STICK}),
    ("/parts/return", {"order": "423P", "name": STICK, "count": "1", "lot": ""}),
    ("/parts/reverse", {"line": "1", "reason": "typed twice"}),
    ("/parts/tag", {"stock": "tube 3 x 3 x 1/4", "length": "40 in", "width": "", "tag": "R-900"}),
    ("/parts/sell", {"spare": "seal kit", "series": "basalt", "width": "84 in", "count": "1", "serial": "",
                     "whom": "V.A."}),
    ("/receiving/look", {"name": "tube 3 x 3 x 1/4", "count": "1", "wall": "0.25 in", "width": "3 in",
                         "weight": "8.8 lb/ft", "holes": "3 in, 6 in"}),
    ("/receiving/late", {"arrival": "1", "due": "2026-11-20", "reason": "the truck"}),
    ("/receiving/cancel", {"arrival": "1", "reason": "not needed"}),
    ("/floor/421M/saw/begin", {}),
    ("/floor/421M/saw/laydown", {}),
    ("/floor/421M/saw/done", {"took": "1 h", "when": "07:00"}),
    ("/floor/423P/assemble/here", {}),
    ("/floor/421M/saw/problem", {"what": "blade is blunt", "where": "the saw", "hold": ""}),
    ("/floor/423P/saw/right", {"reason": "not done", "keep_hours": ""}),
    ("/floor/423P/saw/hours", {"took": "2 h", "reason": "typed wrong", "row": "1"}),
    ("/floor/423P/test_and_weigh/done", {"left": "5.6 s", "right": "5.6 s", "oil": "70 F", "took": "1 h"}),
    ("/cutting/kept/{cut}", {"row": "{cut_row}", "what": "mishap", "bent": "99", "miscut": ""}),
    (f"/history/{SERIAL}", {"kind": "edge", "said": "new edge on", "day": "2026-11-10", "left": "1 in",
                            "item": "flat 6 x 1/2", "lot": "H1", "place": "edge"}),
)  # fmt: skip
"""More of the same addresses, where one of them does several things."""
ALL = [*FORMS.values(), *ACTS]
READS = ("/receiving/look", "/import")
"""Forms that write nothing."""
ODD = {
    "nonsense": "zzz -1e999 {{7*7}} %s",
    "very long": "q" * 20_000,
    "a script": f'"><b>{SCRIPT}',
    "figures of another script": "١٢²",
    "a huge number": "9" * 40,
    "a day at the end of time": "9999-12-31",
    "below nothing": "-1",
    "what no database holds": "nul \x00 in it",
}


@dataclass(frozen=True, kw_only=True)
class Busy:
    """A shop where something stands under every address."""

    desk: Desk
    pages: TestClient
    values: dict[str, str]

    def filled(self, text: str) -> str:
        for name, value in self.values.items():
            text = text.replace(f"{{{name}}}", value)
        return text

    def send(self, path: str, fields: dict[str, str], *, who: str = "R.K.", key: str = "") -> Any:
        self.pages.cookies.clear()
        data = {"who": who, "key": key or fresh_key(), **{k: self.filled(v) for k, v in fields.items()}}
        return self.pages.post(self.filled(path), data=data, follow_redirects=False)

    def last(self) -> int:
        with self.desk.book.reading() as reads:
            return reads.events(limit=1)[0].number


def by() -> Hand:
    return Hand(who="R.K.", key=fresh_key())


def busy_desk(desk: Desk) -> dict[str, str]:
    with desk.book.command("a busy day", who="D.V.", key=fresh_key()) as c:
        for number in ("418K", "419T", "427S", "428C"):
            row = c.get(r.Order, number)
            work = {name: Done(ended=datetime(2026, 11, 9, 8), by="D.V.") for name in operations(row.kind)}
            more = replace(more_of(row.more), work=work, under_way=(), waits=())
            c.change(r.Order, number, state="done", more=more.as_dict())
        c.change(r.Order, "424H", state="released", hold="")
    dock = Docking(desk)
    for number, off in (("418K", 40.0), ("427S", 0.0), ("428C", 0.0)):
        build = dock.view.build(dock.view.order(number))
        dock.weigh(by(), number, predicted(build) - off * LB)
    enquiry = Enquiring(desk).keep(by(), name="Q.S.", phone="555 0142", told=[("w_width", "84 in")])["enquiry"]
    FloorWords(desk).problem(Hand(who="M.S.", key=fresh_key()), "423P", "assemble", "the bore is tight")
    note = Changing(desk).write(by(), "421M", "second colour", cents=8_500)["note"]
    return {"enquiry": str(enquiry), "note": str(note)}


def plans_kept(pages: TestClient, values: dict[str, str]) -> None:
    for what, part, name in (("cutting", "plan", "cut"), ("plates", "nest", "nest")):
        for _ in range(300):
            if 'class="waits"' not in pages.get(f"/{what}/{part}?{urlencode(ASKED)}").text:
                break
            time.sleep(0.02)
        answer = pages.post(f"/{what}/release", data={**ASKED, "who": "R.K.", "key": fresh_key()})
        assert answer.status_code == 200, answer.text
        values[name] = str(answer.url).split("?")[0].rsplit("/", 1)[-1]
        found = re.search(r'name="row" value="(\d+)"', answer.text)
        assert found is not None
        values[f"{name}_row"] = found.group(1)


@pytest.fixture(scope="module")
def busy(filled_folder: Path, tmp_path_factory: pytest.TempPathFactory, demo_dir: Path) -> Iterator[Busy]:
    folder = shutil.copytree(filled_folder, tmp_path_factory.mktemp("busy") / "shop")
    with open_records(folder, make=False) as book:
        book.keep_time_by(lambda: WEDNESDAY)
        desk = Desk(demo_dir / "rulebook", records=book)
        values = busy_desk(desk)
        # A fault is an answer of its own here: it is listed, not raised.
        pages = TestClient(create_app(desk), raise_server_exceptions=False)
        plans_kept(pages, values)
        yield Busy(desk=desk, pages=pages, values=values)
        assert check(book).holds


def faults_of(answer: Any, what: str) -> list[str]:
    """What is wrong with an answer: no page came back, it says nothing, or what was typed became markup."""
    if answer.status_code >= 500:
        return [f"{what}: {answer.status_code}"]
    if SCRIPT in answer.text:
        return [f"{what}: what was typed is markup"]
    html = "html" in answer.headers.get("content-type", "")
    if html and len(re.sub(r"<[^>]*>", "", answer.text).strip()) < 12:
        return [f"{what}: nothing is said"]
    return []


def refused(answer: Any, what: str, *, allowed: tuple[int, ...] = (404, 422)) -> list[str]:
    """The same of an answer that must refuse."""
    wrong = [] if answer.status_code in allowed else [f"{what}: {answer.status_code}, not refused"]
    return faults_of(answer, what) or wrong


def test_every_address_that_takes_a_form_is_tried_here(busy: Busy) -> None:
    routes = busy.pages.app.routes  # type: ignore[attr-defined]
    assert {one.path for one in routes if isinstance(one, APIRoute) and "POST" in one.methods} == set(FORMS)


def test_a_form_without_fields_is_refused_in_words_and_leaves_no_trace(busy: Busy) -> None:
    faults: list[str] = []
    for path, _ in ALL:
        before = busy.last()
        busy.pages.cookies.clear()
        faults += refused(busy.pages.post(busy.filled(path), data={}, follow_redirects=False), path)
        faults += [f"{path} wrote something for nobody"] if busy.last() != before else []
    assert not faults


def test_a_form_of_nobody_is_refused_in_words(busy: Busy) -> None:
    faults: list[str] = []
    for path, fields in ALL:
        if path in READS:
            continue
        before = busy.last()
        faults += refused(busy.send(path, fields, who=""), path)
        faults += [f"{path} wrote something for nobody"] if busy.last() != before else []
    assert not faults


def test_a_key_that_served_another_form_is_refused_and_the_first_is_left_alone(busy: Busy) -> None:
    key = fresh_key()
    assert busy.send("/order/421M/note", {"said": "the first one"}, key=key).status_code == 303
    before, faults = busy.last(), list[str]()
    for path, fields in ALL:
        if path in READS:
            continue
        faults += refused(busy.send(path, fields, key=key), path)
        assert busy.last() == before, path
    assert not faults


def test_an_order_that_is_none_is_refused_whatever_is_asked_of_it(busy: Busy) -> None:
    faults: list[str] = []
    wrong = ("472S", "999X", "nobody", "٤٢٧S", "42\x007S", "../../etc")
    for at, (path, fields) in enumerate(ALL):
        one = wrong[at % len(wrong)]
        place = re.sub(r"/\d{3}[A-Z](?=/|$)", f"/{quote(one, safe='')}", path)
        told = {name: one if name == "order" else value for name, value in fields.items()}
        if (place, told) != (path, fields):
            faults += refused(busy.send(place, told), f"{place} {told.get('order', '')}")
    assert not faults


@pytest.mark.parametrize("odd", ODD)
def test_nothing_typed_into_all_fields_brings_a_page_down(busy: Busy, odd: str) -> None:
    faults: list[str] = []
    for path, fields in ALL:
        everything = {name: ODD[odd] for name in fields if name != "row"}
        faults += faults_of(busy.send(path, {**fields, **everything}), path)
    assert not faults


def test_nothing_typed_into_one_field_brings_a_page_down(busy: Busy) -> None:
    """Each field in turn has the next odd thing in it, so that what is read after it is reached too."""
    faults: list[str] = []
    odd, at = [text for name, text in ODD.items() if name != "very long"], 0
    for path, fields in ALL:
        for name in fields:
            for text in (odd[at % len(odd)], odd[(at + 3) % len(odd)]):
                faults += faults_of(busy.send(path, {**fields, name: text}), f"{path}, {name}={text[:12]!r}")
            at += 1
    assert not faults


def test_what_was_typed_comes_back_on_the_pages_that_have_the_form(busy: Busy) -> None:
    tries = (
        ("/order/421M/hold", {"said": "it"}, "said"), ("/order/421M/pay", {"kind": "deposit", "sum": "1,0"}, "sum"),
        ("/scale", {"order": "419T", "mass": "heavy"}, "mass"), ("/enquiries", {"name": "", "phone": "555 7"}, "phone"),
        ("/loading/427S/pack", {"length": "95 yards", "depth": "1", "height": "1", "mass": "1"}, "length"),
        ("/loading/427S/match", {"order": "427S", "stamp": "", "label": "label 7"}, "label"),
        ("/loading/427S/lading", {"ship_to": "D.S., Lower Yard", "terms": "on the moon"}, "ship_to"),
        ("/counting", {"item0": STICK, "lot0": "", "book0": "5", "counted0": "four"}, "counted0"),
        ("/floor/424H/saw/done", {"took": "a while"}, "took"),
        ("/lessons", {"change": "2026-09-01", "reason": "it"}, "reason"),
        (f"/history/{SERIAL}", {"kind": "note", "said": "he rang & asked", "day": "tomorrow"}, "said"),
        ("/order/new", {"name": "V.A. & son", "series": "flint", "width": "1 in", "mount": "loader"}, "name"),
    )  # fmt: skip
    lost: list[str] = []
    for path, fields, kept in tries:
        answer, shown = busy.send(path, fields), fields[kept].replace("&", "&amp;")
        if answer.status_code != 422 or not re.search(rf"[\">]{re.escape(shown)}(\"|</textarea>)", answer.text):
            lost.append(f"{path}: {answer.status_code}, {kept}")
    assert not lost


def test_a_form_sent_by_three_at_once_is_done_once_and_nobody_is_told_of_a_fault(busy: Busy) -> None:
    for path, fields in (("/order/421M/note", {"said": "rang at noon"}),
                         ("/counting", {"item0": STICK, "lot0": "", "counted0": "4"}),
                         ("/floor/424H/saw/note", {"text": "blade is blunt"})):  # fmt: skip
        data, found = {"who": "R.K.", "key": fresh_key(), **fields}, list[Any]()

        def send(path: str = path, data: dict[str, str] = data, found: list[Any] = found) -> None:
            found.append(busy.pages.post(path, data=data, follow_redirects=False))

        threads = [threading.Thread(target=send) for _ in range(3)]
        for one in threads:
            one.start()
        for one in threads:
            one.join()
        assert [one.status_code for one in found] == [303] * 3, path
        assert len({one.headers["location"] for one in found}) == 1, path


def test_a_picture_that_is_none_or_has_an_odd_name_brings_no_page_down(busy: Busy) -> None:
    fine, faults = BytesIO(), list[str]()
    Image.new("RGB", (20, 10), "white").save(fine, "PNG")
    for path, fields in (("/loading/427S/photo", {"what": "photos at loading"}), ("/floor/421M/saw/note", {"text": ""}),
                         ("/order/421M/note", {"said": ""}), ("/claim/427S/photo", {"what": "photos at loading"}),
                         (f"/history/{SERIAL}", {"kind": "note", "said": "a photo of it", "day": "2026-11-10"})):
        for name, data in (("a.png", b"no picture"), ("../../a.png", fine.getvalue()), ("ä\n.png", fine.getvalue()),
                           ("empty.png", b"")):  # fmt: skip
            answer = busy.pages.post(path, data={"who": "R.K.", "key": fresh_key(), **fields},
                                     files={"photo": (name, data, "image/png")}, follow_redirects=False)  # fmt: skip
            faults += faults_of(answer, f"{path} {name!r}")
    assert not faults


def test_lists_that_are_none_are_refused_in_words(busy: Busy) -> None:
    faults: list[str] = []
    for name, data in (("a.csv", b"\x00\xff\xfe"), ("a.xlsx", b"PK no zip"), ("a.txt", b"x"), ("a.csv", b""),
                       ("a.csv", HEAD.encode() + f"{SCRIPT},x,{SCRIPT},9,9,9,9,9,9999-99-99,x\n".encode()),
                       ("a.csv", HEAD.encode() + b"x" * 200_000), (f"{SCRIPT}.csv", HEAD.encode())):
        for kind in ("orders", "stock", "serials", "none"):
            answer = busy.pages.post("/import", data={"kind": kind}, files={"list": (name, data)})
            faults += faults_of(answer, f"{kind} {name}")
    assert not faults


# Pages that are only asked ------------------------------------------------------------------------------------------

QUERIES = ("done=999999999999", "done=" + "9" * 40, "done=-1", "done=²", "done=1%00", "units=furlong",
           "event=" + "9" * 40, "before=" + "9" * 40, "line=" + "9" * 40, "line=²", "day=9999-12-31", "day=0001-01-01",
           "name=" + quote(SCRIPT), "q=" + quote(SCRIPT), "order=" + quote(SCRIPT), "order=%00", "serial=%00",
           "lot=" + quote(SCRIPT), "lot=%00", "sought=%25%27", "by=" + quote(SCRIPT), "kind=" + quote(SCRIPT),
           "who=" + quote(SCRIPT), "series=" + quote(SCRIPT), "width=1e400+in", "width=nan+in", "width=-84+in",
           "copy=" + quote(SCRIPT), "paper=a9", "width=84+in&step=sideways")  # fmt: skip
PLACES = {"number": ("423P", "427ſ", "423P\n", "nobody", "..", "%00", "9" * 40, "²", "-1"), "act": ("hold",),
          "serial": (SERIAL, "B00-00-000", "%00", "²"), "digest": ("0" * 64, "..", "%00"), "note": ("9" * 40, "x"),
          "name": ("..%2f..%2fetc%2fpasswd", "%00", "x.pdf", "load slip.pdf"), "operation": ("saw", "²"),
          "which": ("list", "x"), "key": ("x", "%00"), "enquiry": ("1", "²"), "what": ("x",)}  # fmt: skip
ASKING = ("/today", "/events", "/receiving/papers/receiving sheet.pdf", "/find", "/import", "/recall", "/order/421M",
          "/floor", "/counting", "/parts/item", "/loading", "/scale", "/enquiries")  # fmt: skip
BEGINS_WORK = re.compile(r"/(lessons/effects|calling|evidence|promised|blade|moves|suits|side|blanks"
                         r"|plates/(nest|papers)|cutting/(plan|lengths|break|papers))")  # fmt: skip
"""Pages that begin to work something out, each asked with odd words by the tests of its own."""


def addresses(busy: Busy) -> list[str]:
    found: list[str] = []
    for one in busy.pages.app.routes:  # type: ignore[attr-defined]
        if not isinstance(one, APIRoute) or "GET" not in one.methods or BEGINS_WORK.match(one.path):
            continue
        names = re.findall(r"\{(\w+)(?::path)?\}", one.path)
        for at in range(max((len(PLACES[name]) for name in names), default=1)):
            path = one.path
            for name in names:
                value = PLACES[name][at % len(PLACES[name])]
                path = re.sub(rf"\{{{name}(:path)?\}}", value if "%" in value else quote(value), path)
            found.append(path)
    return found


def test_no_address_however_odd_brings_a_page_down(busy: Busy) -> None:
    found = [(path, busy.pages.get(path, follow_redirects=False)) for path in addresses(busy)]
    assert not [fault for path, answer in found for fault in faults_of(answer, path)]


def test_no_question_put_to_a_page_however_odd_brings_it_down(busy: Busy) -> None:
    asked = [f"{path}?{query}" for at, query in enumerate(QUERIES) for path in ASKING[at % 3 :: 3]]
    asked += [f"{path}?{query}" for query in QUERIES[:12] for path in ("/today", "/import", "/events")]
    found = [(path, busy.pages.get(path, follow_redirects=False)) for path in asked]
    assert not [fault for path, answer in found for fault in faults_of(answer, path)]
