"""Pictures as SVG."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from plowwright.papers import svg
from plowwright.papers.drawing import Picture
from plowwright.papers.marks import CENTRE

SPACE = "{http://www.w3.org/2000/svg}"


def picture() -> Picture:
    made = Picture(120, 60)
    with made.group("left web", part="web 1", title="Web <left>"):
        made.polygon([(10, 10), (50, 10, 1.0), (50, 30), (10, 30)], fill="tint")
    made.circle((80, 20), 5)
    made.line((0, 30), (120, 30), pen=CENTRE)
    made.text((60, 50), "3/16 & more", anchor="middle", stand="centre", rotate=90, halo=True)
    made.dimension((10, 10), (50, 10), text="40", offset=-5)
    return made


def read(text: str) -> ElementTree.Element:
    return ElementTree.fromstring(text)


def test_the_same_picture_gives_the_same_bytes() -> None:
    assert svg.write(picture(), title="Webs") == svg.write(picture(), title="Webs")


def test_a_page_in_millimetres_has_its_true_size_and_its_origin_below() -> None:
    root = read(svg.write(picture(), title="Webs"))
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("120mm", "60mm", "0 0 120 60")
    circle = root.find(f"{SPACE}circle")
    assert circle is not None and (circle.get("cx"), circle.get("cy"), circle.get("r")) == ("80", "40", "5")


def test_a_half_circle_to_the_right_is_swept_to_the_right() -> None:
    root = read(svg.write(picture(), title="Webs"))
    outline = root.find(f"{SPACE}g/{SPACE}path")
    assert outline is not None and outline.get("d") == "M10 50L50 50A10 10 0 0 0 50 30L10 30Z"


def test_a_group_carries_its_part_and_its_title_for_pointer_and_screen_reader() -> None:
    root = read(svg.write(picture(), title="Webs", description="Both webs", inline=True, prefix="a-"))
    group = root.find(f"{SPACE}g")
    assert group is not None and (group.get("id"), group.get("data-part")) == ("a-left-web", "web 1")
    assert [root.findtext(f"{SPACE}{kind}") for kind in ("title", "desc")] == ["Webs", "Both webs"]
    assert group.findtext(f"{SPACE}title") == "Web <left>"


def test_no_id_stands_twice() -> None:
    made = picture()
    made.dimension((10, 10), (50, 10), text="40", offset=-9)
    ids = re.findall(r' id="([^"]+)"', svg.write(made, title="Webs"))
    assert len(ids) == len(set(ids)) == 3


def test_text_is_text_and_its_signs_are_escaped() -> None:
    root = read(svg.write(picture(), title="Webs"))
    words = [node.text for node in root.iter(f"{SPACE}text")]
    assert words == ["3/16 & more", "40"]
    turned = next(root.iter(f"{SPACE}text"))
    assert turned.get("transform") == "rotate(-90 60 10)" and turned.get("paint-order") == "stroke"


def test_inside_a_page_colours_come_from_the_pages_own_variables() -> None:
    text = svg.write(picture(), title="Webs", inline=True, css_class="elevation")
    assert text.startswith("<svg ") and 'class="elevation"' in text and "mm" not in text.split(">")[0]
    used = set(re.findall(r'class="([^"]+)"', text.split("</title>", 1)[1]))
    for name in {one for group in used for one in group.split()}:
        assert f".{name}{{" in svg.stylesheet()
    assert ".line-ink{stroke:var(--ink,#1e2a32)}" in svg.stylesheet()


def test_on_paper_there_is_no_class_no_script_and_no_address() -> None:
    text = svg.write(picture(), title="Webs")
    assert "class=" not in text and "script" not in text and "style" not in text
    assert re.findall(r"https?://[^\"]+", text) == ["http://www.w3.org/2000/svg"]


@pytest.mark.parametrize(
    ("value", "text"), [(1.0, "1"), (0.125, "0.12"), (-0.001, "0"), (10.0, "10"), (0.1 + 0.2, "0.3")]
)
def test_lengths_are_written_to_a_hundredth_of_a_millimetre(value: float, text: str) -> None:
    assert svg.number(value) == text
