"""A study as the last chapter of a package: what it is of, that nothing rests on it, then the pages of its own file."""

from collections.abc import Sequence

from markupsafe import Markup

from calc.engine.words import words_of
from calc.package.attached import Appendix
from calc.package.pages import environment
from calc.study.study_record import WRITES, StudyRecord, name_of

say = words_of(__name__)


def attached_rows(study: str, record: StudyRecord) -> list[tuple[str, str]]:
    """Which record, and what made it."""
    software = record.software
    program = say("program", command=WRITES[study], version=software.version, fingerprint=software.fingerprint[:12])
    attached = say("attached", name=name_of(study), checksum=record.checksum[:16])
    return [(say("record"), attached), (say("made-by"), program)]


def study_appendix(study: str, title: str, head: Sequence[tuple[str, str]], body: Markup) -> Appendix:
    """The chapter of a study."""
    html = environment().get_template("study-chapter.html").render(alone=say("stands-alone"), head=head, body=body)
    return Appendix(title, f"study-{study}", Markup(html))  # noqa: S704 - written by a template which escapes
