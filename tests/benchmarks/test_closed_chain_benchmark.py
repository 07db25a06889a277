"""The benchmark of verdicts evaluated again measures what it says."""

import numpy as np

from tests.benchmarks.closed_chain import INPUTS, SUBLAYERS, VERDICTS, replay_of, samples_of


def test_the_samples_are_those_that_are_named() -> None:
    replay = replay_of(makeup=False)

    found = replay(samples_of(replay, 50))

    (ground,) = [sheet for sheet in replay.part.sheets if sheet.key == "ground"]
    assert len(ground.axes["layer"]) == SUBLAYERS
    assert replay.followed[VERDICTS[0]] == INPUTS
    assert all(np.isfinite(found[name]).all() for name in VERDICTS)
    assert not replay.reasons
