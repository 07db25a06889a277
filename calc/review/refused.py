"""What a review refuses, told apart by who has to act; nothing is written where one of these is raised."""


class ReviewError(Exception):
    """Something that ends a command of the review with one message: wrong usage."""


class RefusedFile(ReviewError):  # noqa: N818  # it is a state, and the name reads as one
    """A file that is no review or form of this format; the text has one line for each reason."""


class OtherRun(ReviewError):  # noqa: N818  # the same
    """A file that belongs to another run than the project gives now."""
