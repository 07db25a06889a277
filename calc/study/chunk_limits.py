"""How often a chunk may be lost, and how far ahead of the first open one another may be done."""

MOST_LOST = 3  # times that a chunk may take its worker with it
AHEAD = 4  # chunks that may be done or in hand beyond the first open one, for each worker


class LostChunkError(RuntimeError):
    """A task that ends whatever worker has it in hand."""

    def __init__(self, index: int, count: int, task: object) -> None:
        shown = text if len(text := repr(task)) <= 200 else f"{text[:200]} …"
        super().__init__(
            f"chunk {index + 1} of {count} ended the process that worked at it {MOST_LOST} times, for example for "
            f"want of memory: {shown}"
        )
        self.index = index


def most_ahead(workers: int) -> int:
    """How far beyond the first open task the next one may lie."""
    return AHEAD * workers
