"""Nothing a page or paper needs comes from outside the machine."""

from __future__ import annotations

import re

import pytest

from tests.house.reading import SOURCE, own_files, short

WEB = SOURCE / "web"
NAMES_OF_GRAMMARS = ("http://www.w3.org/",)
ADDRESS = re.compile(r"(?:https?:)?//[\w.-]+\.[a-z]{2,}[^\s\"'<>)]*", re.IGNORECASE)
VENDOR = (
    "htmx.min.js",
    "three.module.js",
    "three.core.js",
    "controls/OrbitControls.js",
    "SourceSans3-Regular.woff2",
    "SourceSans3-Italic.woff2",
    "SourceSans3-Semibold.woff2",
    "SourceSans3-Bold.woff2",
)


def test_no_page_asks_another_machine_for_anything() -> None:
    found: list[str] = []
    for folder in (WEB / "templates", WEB / "static"):
        for path in own_files(under=folder):
            for address in ADDRESS.findall(path.read_text(encoding="utf-8")):
                if not address.startswith(NAMES_OF_GRAMMARS):
                    found.append(f"{short(path)}: {address}")
    assert not found, "\n".join(found)


@pytest.mark.parametrize("name", VENDOR)
def test_set_up_has_put_every_script_and_face_in_place(name: str) -> None:
    path = WEB / "static" / "vendor" / name
    assert path.is_file() and path.stat().st_size > 1000, f"{short(path)} is missing; run make run SERVE=0"


def test_the_scripts_fetched_find_each_other_without_leaving_the_folder() -> None:
    vendor = WEB / "static" / "vendor"
    for path in vendor.rglob("*.js"):
        text = path.read_text(encoding="utf-8")
        for wanted in re.findall(r"^\s*(?:import|export)\b[^;'\"]*from '([^']+)'", text, re.MULTILINE):
            if wanted == "three":
                continue  # the page's import map leads it to three.module.js
            target = (path.parent / wanted).resolve()
            assert target.is_file() and vendor.resolve() in target.parents, f"{path.name} asks for {wanted}"
