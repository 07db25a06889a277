import hashlib

import pytest

from tests.packages.conftest import Made, by_another_process


@pytest.mark.slow
def test_another_process_on_another_day_gives_the_same_bytes(
    package: Made, tmp_path_factory: pytest.TempPathFactory
) -> None:
    other = by_another_process(tmp_path_factory)

    for file, again in ((package.files.pdf, other.files.pdf), (package.files.results, other.files.results)):
        assert hashlib.sha256(again.read_bytes()).hexdigest() == hashlib.sha256(file.read_bytes()).hexdigest()
