import hashlib
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.packages.conftest import Made
from tests.packages.scenario import write_project

SCRIPT = """
import sys
from pathlib import Path
from calc.chain import run_checks
from calc.inputs import read_design
from calc.package import write_package
write_package(run_checks(read_design(Path(sys.argv[1]))), Path(sys.argv[2]))
"""


@pytest.mark.slow
def test_another_process_on_another_day_gives_the_same_bytes(package: Made, tmp_path: Path) -> None:
    project = write_project(tmp_path / "again")
    surroundings = os.environ | {"PYTHONHASHSEED": "4711", "TZ": "Pacific/Auckland", "SOURCE_DATE_EPOCH": "0"}
    subprocess.run([sys.executable, "-c", SCRIPT, project, tmp_path / "out"], check=True, env=surroundings)

    for file in (package.files.pdf, package.files.results):
        again = (tmp_path / "out" / file.name).read_bytes()
        assert hashlib.sha256(again).hexdigest() == hashlib.sha256(file.read_bytes()).hexdigest()
