"""The review file of an issued revision, and whether what it holds still stands in the project's folder as it was."""

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from calc.review.own_values import OwnValues
from calc.review.records import read_model
from calc.review.refused import RefusedFile
from calc.review.stored import StoredReview, read_stored


@dataclass(frozen=True, slots=True)
class IssuedReview:
    """What was issued: reviews by the labels of their revisions, and the newest own values or None."""

    reviews: Mapping[str, StoredReview]
    own_values: OwnValues | None


def read_issued(content: bytes, place: str) -> IssuedReview:
    """Read the review file of an issued revision, of whichever program; `RefusedFile` where it is none."""
    try:
        record = json.loads(content)
        reviews, values = record["reviews"], record["own_values"]
        stored = [read_stored(json.dumps(review).encode(), place) for review in reviews]
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        message = f"{place}: must hold reviews and own values"
        raise RefusedFile(message) from error
    form = None if values is None else read_model(OwnValues, json.dumps(values).encode(), place)
    return IssuedReview({review.revision: review for review in stored}, form)


def rewritten_revisions(
    labels: Sequence[str], now: Mapping[str, StoredReview], issued: Mapping[str, StoredReview], newest: str
) -> Iterator[str]:
    """The revisions whose review is not what was issued with the revision `newest`; `labels` are all, in order.

    The review of `newest` may have grown since; those before it are finished: nothing writes into them any more.
    """
    for label in labels[: labels.index(newest) + 1]:
        empty = StoredReview.empty("-", label)
        was, current = issued.get(label, empty), now.get(label, empty)
        for before, after in ((was.taken, current.taken), (was.events, current.events)):
            if after[: len(before)] != before or (label != newest and after != before):
                yield label
                break
