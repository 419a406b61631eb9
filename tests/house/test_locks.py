"""What set-up installs is pinned by hash and names no address: any registry, mirror or shelf can serve it."""

from __future__ import annotations

import json
import re
import tomllib
from itertools import pairwise

import pytest

from tests.house.reading import ROOT

LOCKS = (
    "requirements.lock", "requirements-solids.lock", "requirements-test.lock", "requirements-node.lock",
    "requirements-source.lock",
)  # fmt: skip
ADDRESS = re.compile(r"https?:|://|--index|--extra-index|--find-links|--trusted-host|^-[ifr]\b", re.MULTILINE)
PIN = re.compile(r"^([a-z0-9._-]+)==(\S+)", re.MULTILINE)


def pins(lock: str) -> dict[str, set[str]]:
    """Every package in the lock with its versions (one per Python where they differ)."""
    found: dict[str, set[str]] = {}
    for name, version in PIN.findall((ROOT / lock).read_text(encoding="utf-8")):
        found.setdefault(name, set()).add(version)
    return found


def plain(requirement: str) -> str:
    """Name of the package that a requirement asks for."""
    match = re.match(r"[A-Za-z0-9._-]+", requirement)
    assert match, requirement
    return re.sub(r"[-_.]+", "-", match.group()).lower()


@pytest.mark.parametrize("lock", LOCKS)
def test_no_lock_names_an_address(lock: str) -> None:
    assert not ADDRESS.findall((ROOT / lock).read_text(encoding="utf-8"))


@pytest.mark.parametrize("lock", LOCKS)
def test_every_pin_carries_a_hash(lock: str) -> None:
    logical = (ROOT / lock).read_text(encoding="utf-8").replace("\\\n", " ").splitlines()
    bare = [
        line for line in logical if line.strip() and not line.startswith("#") and "--hash=sha256:" not in line
    ]
    assert not bare, "\n".join(bare)


@pytest.mark.parametrize(
    ("lock", "extras"),
    [
        ("requirements.lock", ()),
        ("requirements-solids.lock", ("solids",)),
        ("requirements-test.lock", ("solids", "test")),
    ],
)
def test_the_lock_holds_what_pyproject_asks_for(lock: str, extras: tuple[str, ...]) -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = [
        *project["dependencies"],
        *(line for extra in extras for line in project["optional-dependencies"][extra]),
    ]
    missing = {plain(requirement) for requirement in asked} - pins(lock).keys()
    assert not missing, f"{lock} lacks {sorted(missing)}; run make lock"


def test_each_lock_keeps_the_versions_of_the_one_before() -> None:
    for small, large in pairwise(LOCKS[:3]):
        kept = pins(large)
        moved = {
            name: (versions, kept.get(name))
            for name, versions in pins(small).items()
            if kept.get(name) != versions
        }
        assert not moved, f"{small} and {large} differ: {moved}"


def test_the_npm_lock_names_no_address_and_pins_every_package_by_hash() -> None:
    text = (ROOT / "package-lock.json").read_text(encoding="utf-8")
    assert "resolved" not in text and "://" not in text
    packages = {name: entry for name, entry in json.loads(text)["packages"].items() if name}
    assert packages and all(entry["integrity"].startswith("sha512-") for entry in packages.values())
