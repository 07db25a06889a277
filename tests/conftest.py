"""Settings of all tests: repeatable hypothesis runs, and no network."""

import os
import socket
from typing import Any

import pytest
from hypothesis import settings

# As on the command line: one test process for each core is enough.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

# The same examples on every machine, and no deadline: two cores shared by many make times meaningless.
settings.register_profile("repeatable", derandomize=True, deadline=None, database=None)
settings.load_profile("repeatable")


@pytest.fixture(autouse=True)
def no_network(monkeypatch: pytest.MonkeyPatch) -> None:
    """Refuse every connection that leaves this machine."""
    connect = socket.socket.connect

    def guarded(self: socket.socket, address: Any) -> None:
        if self.family != socket.AF_UNIX and address[0] not in {"127.0.0.1", "::1", "localhost"}:
            message = f"a test must not use the network (got {address})"
            raise AssertionError(message)
        connect(self, address)

    monkeypatch.setattr(socket.socket, "connect", guarded)
