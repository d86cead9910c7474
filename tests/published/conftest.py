"""These checks rest on numbers and pictures that lie on the machine; a test that reaches for the network fails."""

from __future__ import annotations

import socket
from typing import NoReturn

import pytest


@pytest.fixture(autouse=True)
def _without_network(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> NoReturn:
        raise AssertionError("a check against published values must not use the network")

    monkeypatch.setattr(socket.socket, "connect", refuse)
