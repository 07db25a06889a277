"""A study as the last chapter of a package: what it is of, that nothing rests on it, then the pages of its own file."""

from collections.abc import Sequence

from markupsafe import Markup

from calc.package.attached import Appendix
from calc.package.pages import environment
from calc.study.study_record import WRITES, StudyRecord, name_of

STANDS_ALONE = (
    "A study beside the calculation, printed from the record that is attached. No verdict of this package relies on "
    "it, and the outcome on the cover is that of the calculation alone."
)


def attached_rows(study: str, record: StudyRecord) -> list[tuple[str, str]]:
    """Which record, and what made it."""
    software = record.software
    program = f"{WRITES[study]}, version {software.version}, program fingerprint {software.fingerprint[:12]}"
    return [("Record", f"{name_of(study)}, attached; checksum {record.checksum[:16]}"), ("Made by", program)]


def study_appendix(study: str, title: str, head: Sequence[tuple[str, str]], body: Markup) -> Appendix:
    """The chapter of a study."""
    html = environment().get_template("study-chapter.html").render(alone=STANDS_ALONE, head=head, body=body)
    return Appendix(title, f"study-{study}", Markup(html))  # noqa: S704 - written by a template which escapes
