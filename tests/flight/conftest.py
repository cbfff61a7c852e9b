"""One compilation for all flight tests, and the aeroplanes they fly."""

from __future__ import annotations

import pytest

from tests.flight.planes import NAMES, demo
from trimkit import flight
from trimkit.aeroplane import Aeroplane


@pytest.fixture(scope="session", autouse=True)
def engine() -> None:
    flight.prepare()


@pytest.fixture(scope="session")
def trainer() -> Aeroplane:
    return demo("hallfinch-46")


@pytest.fixture(scope="session", params=NAMES)
def aeroplane(request: pytest.FixtureRequest) -> Aeroplane:
    return demo(request.param)
