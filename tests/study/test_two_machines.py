"""Workers of two machines, each with a network of its own: namespaces joined by a cable that the test makes."""

import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from shutil import which

import pytest

ROOT = Path(__file__).parents[2]
FIRST, SECOND = "10.213.7.1", "10.213.7.2"
PORT = 8786
QUIET = {"DASK_LOGGING__DISTRIBUTED": "critical", "OPENBLAS_NUM_THREADS": "1"}


def run(*words: str) -> None:
    subprocess.run(words, check=True, capture_output=True, text=True, timeout=20)


@pytest.fixture
def machines() -> Iterator[tuple[str, str]]:
    """Two network namespaces with a cable between them; skipped where this machine does not allow it."""
    if which("ip") is None:
        pytest.skip("network namespaces need ip (package iproute2)")
    first, second = (f"sandsleeve-{os.getpid()}-{one}" for one in "ab")
    try:
        try:
            for name in (first, second):
                run("ip", "netns", "add", name)
            run("ip", "-n", first, "link", "add", "cable", "type", "veth", "peer", "name", "cable", "netns", second)
            for name, address in ((first, FIRST), (second, SECOND)):
                run("ip", "-n", name, "addr", "add", f"{address}/24", "dev", "cable")
                run("ip", "-n", name, "link", "set", "cable", "up")
                run("ip", "-n", name, "link", "set", "lo", "up")
        except subprocess.CalledProcessError as error:
            pytest.skip(f"this machine makes no network namespaces: {error.stderr.strip()}")
        yield first, second
    finally:
        for name in (first, second):
            with suppress(subprocess.CalledProcessError):
                run("ip", "netns", "delete", name)


@pytest.mark.slow
def test_two_machines_give_what_one_gives_and_one_may_lose_a_worker(machines: tuple[str, str], tmp_path: Path) -> None:
    first, second = machines
    scheduler = f"tcp://{FIRST}:{PORT}"

    def inside(name: str, *words: str) -> list[str]:
        return ["ip", "netns", "exec", name, sys.executable, "-m", *words]

    def begin(name: str, *words: str) -> "subprocess.Popen[bytes]":
        return subprocess.Popen(
            inside(name, *words), cwd=ROOT, env=os.environ | QUIET, stdout=log, stderr=log, start_new_session=True
        )

    def workers(name: str, address: str) -> "subprocess.Popen[bytes]":
        return begin(
            name, "distributed.cli.dask_worker", scheduler, "--host", address, "--nworkers", "2", "--nthreads", "1",
            "--no-dashboard", "--local-directory", str(tmp_path / name),
        )  # fmt: skip

    with (tmp_path / "log").open("wb") as log:
        begun = [
            begin(first, "distributed.cli.dask_scheduler", "--host", FIRST, "--port", str(PORT), "--no-dashboard"),
            workers(first, FIRST),
            workers(second, SECOND),
        ]
        try:
            done = subprocess.run(
                inside(first, "tests.study.two_machines", scheduler, SECOND), cwd=ROOT, env=os.environ | QUIET,
                capture_output=True, text=True, timeout=60, check=False,
            )  # fmt: skip
        finally:
            for process in begun:
                os.killpg(process.pid, signal.SIGKILL)  # with the processes that it began
                process.wait(20)

    assert done.returncode == 0, done.stderr + (tmp_path / "log").read_text(encoding="utf-8", errors="replace")
    seen = json.loads(done.stdout)
    assert seen["equal"]
    assert seen["killed"] == 1
    assert seen["places"] == [FIRST, SECOND]
