"""The worked example in a formula's own description comes out as printed there."""

from __future__ import annotations

import doctest
import importlib
import pkgutil

import pytest

from plowwright import physics

MODULES = sorted(module.name for module in pkgutil.iter_modules(physics.__path__))


@pytest.mark.parametrize("name", MODULES)
def test_worked_examples_come_out_as_printed(name: str) -> None:
    module = importlib.import_module(f"plowwright.physics.{name}")
    result = doctest.testmod(module, optionflags=doctest.NORMALIZE_WHITESPACE)
    assert result.failed == 0, f"{result.failed} of {result.attempted} in {name}"


def test_there_are_worked_examples_to_check() -> None:
    found = [
        len(test.examples)
        for name in MODULES
        for test in doctest.DocTestFinder().find(importlib.import_module(f"plowwright.physics.{name}"))
    ]
    assert sum(found) >= 12
