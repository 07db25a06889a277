"""What an archive refuses, told apart by who has to act."""


class ArchiveError(Exception):
    """Something that ends a command of the archive with one message; nothing issued is touched."""


class DamagedArchive(ArchiveError):  # noqa: N818  # it is a state, and the name reads as one
    """Stored files, records or the index are not what was issued."""


class UnknownRevision(ArchiveError):  # noqa: N818  # the same
    """A revision that was asked for is not there, or more than one answers to the name."""


class NotAnArchive(ArchiveError):  # noqa: N818  # the same
    """A folder that was asked for as an archive is none."""


class RefusedIssue(ArchiveError):  # noqa: N818  # the same
    """A revision that may not be issued as the project file states it; the text has one line for each reason."""


class RefusedAddendum(RefusedIssue):
    """An addendum to what was not issued, or not as the project file stands now; a line for each reason."""


class FailingIssue(RefusedIssue):
    """A calculation with a check that fails, which may not have the status that the project file states."""


class OpenQueries(ArchiveError):  # noqa: N818  # the same
    """A revision whose queries the checker has not all closed, which may not have the status that it states."""


class OpenVerdicts(ArchiveError):  # noqa: N818  # the same
    """A calculation that leaves something required open, which may not have the status that it states."""


class RewrittenReview(ArchiveError):  # noqa: N818  # the same
    """Reviews or own values in the project's folder that are not those issued with an earlier revision."""


class ChainMoved(ArchiveError):  # noqa: N818  # the same
    """Another process took the place in the chain that was wanted."""


class ChangedFile(ArchiveError):  # noqa: N818  # the same
    """A file was changed while it was read for an issue."""


class NotWritable(ArchiveError):  # noqa: N818  # the same
    """The archive cannot be written where it lies; nothing was issued."""


class BusyArchive(NotWritable):
    """Another process kept the archive locked for too long; nothing was issued."""


class UnknownPerson(ArchiveError):  # noqa: N818  # the same
    """Somebody who is not named in the project for what is to be signed."""


class RefusedSignature(ArchiveError):  # noqa: N818  # the same
    """A sign-off that may not be made as the archive, the package or the certificate is; nothing was changed."""


class MissingExtra(ArchiveError):  # noqa: N818  # the same
    """Something that needs packages which are not installed; the text says what to install."""
