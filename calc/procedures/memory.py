"""Large arrays that come and go."""

import numpy as np

LARGEST = 31 << 20  # bytes; the most from which the allocator of glibc learns is 32 MiB


def keep_memory() -> None:
    """Let the allocator keep what large arrays give back, for the next ones.

    That of glibc hands it to the system, which clears every page again, until an array larger than any before has been
    given back. Nothing is written to this one, so that it takes no memory; other allocators do not mind.
    """
    np.empty(LARGEST, dtype=np.uint8)
