"""The pages of the demo's desk, asked without a network."""

from __future__ import annotations

import pytest
from fastapi.testclient import TestClient

from plowwright.desk.desk import Desk
from plowwright.web.server import create_app


@pytest.fixture(scope="session")
def pages() -> TestClient:
    """Every address of the demo's pages."""
    return TestClient(create_app(Desk.demo()), raise_server_exceptions=True)


@pytest.fixture(autouse=True)
def forgotten(pages: TestClient) -> None:
    """No test sees the units another one chose."""
    pages.cookies.clear()
