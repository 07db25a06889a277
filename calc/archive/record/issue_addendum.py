"""An addendum to an issued revision: what the site recorded, with a cover that its people sign."""

import datetime as dt
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from re import fullmatch

from calc.archive.record.find import content_of
from calc.archive.record.issue import chain_words, issued_of, issues_of, mime_of
from calc.archive.record.manifest import (
    ADDENDUM,
    FILE_NAME,
    Addendum,
    Manifest,
    StoredFile,
    Subject,
)
from calc.archive.record.program import this_program
from calc.archive.record.revisions import standings
from calc.archive.record.status import DRAFT, SUPERSEDED, WITHDRAWN, same_label
from calc.archive.refusals import ChainMoved, RefusedAddendum
from calc.archive.store.contract import Entry, Store, addenda, head
from calc.inputs import Design
from calc.package.attached import Attached
from calc.package.joined import join
from calc.package.pages import environment
from calc.package.render import lay_out, open_pdf
from calc.package.shown import cut

OF_THE_SITE = ("plan", "installed", "observed")
"""Tables of the project file that may change after a revision is issued: no package relies on them."""
INPUTS = "project.toml"
OUTCOME_WORDS = {
    ("installed", "pass"): "everything was judged and conforms",
    ("installed", "fail"): "something does not conform",
    ("installed", "incomplete"): "something was not judged",
    ("observed", "pass"): "no red trigger stands crossed, and the next lift, if there is one, may be placed",
    ("observed", "fail"): "a red trigger stands crossed, or the next lift must not be placed",
    ("observed", "incomplete"): "the next lift or a section is not verified",
}
TITLES: dict[Subject, str] = {
    "installed": "Installation records against plan and design",
    "observed": "Readings of the monitoring against the design",
}


@dataclass(frozen=True, slots=True)
class Content:
    """What an addendum holds: its pages in parts, its values as JSON, and the files of the site that it is made of.

    `more` says on the cover what stands behind the first part.
    """

    subject: Subject
    outcome: str
    pages: Sequence[bytes]
    values: bytes
    data: Mapping[str, bytes]
    more: str = ""


def revision_of(store: Store, design: Design, data: Sequence[str]) -> tuple[Entry, Manifest]:
    """The issued revision that an addendum belongs to; `RefusedAddendum` with all that speaks against one.

    `data` are the names of the files of the site.
    """
    entries = store.entries()
    label = design.project.revisions[-1].label
    pairs = zip(issues_of(entries, design), issued_of(store, entries, design), strict=True)
    revisions = [pair for pair in pairs if same_label(pair[1].label, label)]
    if not revisions:
        message = f'{design.source}: revision "{label}" must be issued before an addendum to it: sandsleeve issue'
        raise RefusedAddendum(message)
    entry, manifest = revisions[-1]
    own = [design.results_file.name] if design.results_file else []
    reasons = [*_other_inputs(store, design, manifest), *_bad_names([*data, *own])]
    if (today := standings(entries)[entry.sequence]) in {DRAFT, SUPERSEDED, WITHDRAWN}:
        reasons.append(f'revision "{label}" is {today}')
    if reasons:
        raise RefusedAddendum("\n".join(f"{design.source}: {reason}" for reason in reasons))
    return entry, manifest


def _other_inputs(store: Store, design: Design, manifest: Manifest) -> list[str]:
    """Tables that are not as issued: what is compared with the site has to be what was issued."""
    before = tomllib.loads(content_of(store, manifest.file("inputs")).decode("utf-8-sig"))
    now = tomllib.loads(design.text.decode("utf-8-sig"))
    names = [name for name in dict.fromkeys([*before, *now])
             if name not in OF_THE_SITE and before.get(name) != now.get(name)]  # fmt: skip
    data = [stored.sha256 for stored in manifest.files if stored.role == "data"]
    if data != ([design.results_file.sha256] if design.results_file else []):
        names.append("the file of results of tests")
    if not names:
        return []
    said = ", ".join(names)
    return [f'{said} must be as issued with revision "{manifest.label}": issue the change first']


def _bad_names(data: Sequence[str]) -> list[str]:
    """Files are stored under the names by which the values name them."""
    wrong = [name for name in data if not fullmatch(FILE_NAME, name)]
    twice = {name for name in data if [other.casefold() for other in data].count(name.casefold()) > 1}
    return [f"{name} must have a name of letters, digits, _ and - with an ending" for name in wrong] + [
        f"{name} must be the name of one file" for name in sorted(twice)
    ]


def issue_addendum(store: Store, design: Design, content: Content) -> Entry:
    """Store an addendum; it is issued when this returns, and not at all where it raises.

    The rules are asked once more inside the lock: another process may have issued since the pages were begun.
    """
    entry, manifest = revision_of(store, design, list(content.data))
    entries = store.entries()
    label = _label(entries, entry, content.subject)
    moment = dt.datetime.now(dt.UTC).replace(microsecond=0)
    files = {"inputs": (INPUTS, design.text), "results": (f"{content.subject}.json", content.values)}
    data = dict(content.data)
    if design.results_file:
        data[design.results_file.name] = design.results_file.content
    named = [*files.values(), *data.items()]
    cover = _cover(manifest, label, content, chain_words(entries), named, moment)
    parts = [open_pdf(part) for part in (cover, *content.pages)]
    pages = join(parts, [0] * len(parts), numbered=False)
    files["package"] = (f"{content.subject}.pdf", pages)
    stored = tuple(
        StoredFile(name=name, role=role, sha256=store.put(content), size=len(content))  # type: ignore[arg-type]
        for role, (name, content) in (*files.items(), *(("data", item) for item in data.items()))
    )

    def make(now: Sequence[Entry]) -> Addendum:
        if head(now) != head(entries):
            message = "something was issued or signed while the pages were set: issue the addendum again"
            raise ChainMoved(message)
        return Addendum(
            format=1,
            kind=ADDENDUM,
            sequence=len(now) + 1,
            previous=head(now),
            printed_head=head(now),
            document=manifest.document,
            program=this_program(),
            files=stored,
            subject=content.subject,
            label=label,
            issue=entry.sha256,
            revision=manifest.label,
            people=manifest.people,
            outcome=content.outcome,  # type: ignore[arg-type]  # checked by the model
            issued_at=moment,
        )

    return store.append(make)


def _label(entries: Sequence[Entry], entry: Entry, subject: Subject) -> str:
    """The next number of its subject in its document."""
    document = (entry.project, entry.document)
    own = [
        addendum
        for addendum in addenda(entries)
        if (addendum.project, addendum.document) == document and addendum.words == subject
    ]
    return f"{subject}-{len(own) + 1}"


def _cover(
    manifest: Manifest, label: str, content: Content, chain: str, files: Sequence[tuple[str, bytes]],
    moment: dt.datetime,
) -> bytes:  # fmt: skip
    """The first page, with the files attached: what is signed covers them."""
    program = this_program()
    document = manifest.document
    title = TITLES[content.subject]
    context = {
        "title": title,
        "document": document,
        "label": label,
        "revision": manifest.revision,
        "issued": f"{moment:%Y-%m-%d %H:%M} UTC",
        "date": moment.date().isoformat(),
        "outcome": content.outcome,
        "outcome_words": OUTCOME_WORDS[content.subject, content.outcome],
        "program": program,
        "archive": chain,
        "more": content.more,
        "files": [(name, len(data), sha256(data).hexdigest()) for name, data in files],
        "people": manifest.people,
        "running": {"section": title, "project": cut(document.title, 78), "document": cut(document.number, 50),
                    "revision": cut(f"addendum {label} to {manifest.label}", 52),
                    "program": f"sandsleeve {program.version}", "people": cut(manifest.people.originator.name, 60)},
    }  # fmt: skip
    attached = [Attached(name, data, mime_of(name), "Source", "What it is made of") for name, data in files]
    html = environment().get_template("addendum-cover.html").render(context)
    return lay_out(html, attached, moment.date())
