"""One study over two machines, run on the first; the workers of the second are killed in the middle of it.

Run: python -m tests.study.two_machines ADDRESS-OF-SCHEDULER IP-OF-THE-SECOND; prints what was seen as JSON.
"""

# ruff: noqa: T201 - a script prints what it found

import json
import os
import signal
import socket
import sys
from time import sleep
from typing import Any

from distributed import get_worker

from calc.study.cluster_engine import _connected
from calc.study.engines import engine, in_order
from tests.study.chunk_work import TASKS, Part, moments


def by_whom(task: tuple[int, int]) -> tuple[Part, str, int]:
    """The result, and who made it."""
    sleep(0.1)
    return moments(task), get_worker().address.split("/")[-1].split(":")[0], os.getpid()


def main() -> None:
    """Work, kill, go on."""
    address, second = sys.argv[1:]
    with _connected(address, address) as client:
        client.wait_for_workers(4, timeout=30)
    killed: set[int] = set()
    made: list[Any] = []
    with engine("cluster", address=address) as cluster:
        for result in in_order(cluster.results(by_whom, TASKS)):
            _, place, process = result
            if place == second and not killed:
                # Processes of the other "machine" are seen from here: they only have a network of their own.
                os.kill(process, signal.SIGKILL)
                killed.add(process)
            made.append(result)
    print(
        json.dumps(
            {
                "equal": [part for part, _, _ in made] == [moments(task) for task in TASKS],
                "places": sorted({place for _, place, _ in made}),
                "killed": len(killed),
                "host": socket.gethostname(),
            }
        )
    )


if __name__ == "__main__":
    main()
