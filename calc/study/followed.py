"""Which verdicts of a run can be replayed over inputs, and the replay of them."""

import re
from collections.abc import Mapping, Sequence

from calc.chain import Run
from calc.study.changed import FieldError
from calc.study.replay import Replay
from calc.study.replay_plan import UnfollowedError


def follow(
    run: Run,
    section: str,
    verdicts: Sequence[str],
    inputs: Sequence[str],
    only: Mapping[str, dict[str, tuple[str, ...]]],
    *,
    confirmed: bool = False,
) -> tuple[Replay | None, frozenset[str]]:
    """The replay of the verdicts that follow the inputs as the record says, and the verdicts that do not.

    ``only`` restricts the cases of a verdict to some labels of its axes. Where another replay of these verdicts and
    inputs is ``confirmed`` by runs of the chain, they are not made again.
    """
    kept = list(verdicts)
    while kept:
        try:
            return Replay(run, run.design, section, kept, inputs, only, confirmed=confirmed), frozenset(
                verdicts
            ) - frozenset(kept)
        except UnfollowedError as error:
            named = [name for name in kept if re.search(rf"(?:^|to ){re.escape(name)}(?![\w-])", str(error))]
            if not named:
                break
            kept = [name for name in kept if name not in named]
        except FieldError:
            break
    return None, frozenset(verdicts)
