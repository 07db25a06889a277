"""Signing an issued revision off: who may sign when, the signed copy beside the package, the record in the chain."""

import datetime as dt
from collections.abc import Callable, Sequence
from hashlib import sha256

from calc.archive.record.find import content_of, issued_record, sign_offs
from calc.archive.record.manifest import (
    ROLES,
    SIGN_OFF,
    Certificate,
    Issued,
    Manifest,
    PersonName,
    Record,
    Role,
    SignOff,
    StoredFile,
    words_of_issue,
)
from calc.archive.record.program import this_program
from calc.archive.record.revisions import standings
from calc.archive.record.status import DRAFT, SUPERSEDED, WITHDRAWN, same_label
from calc.archive.refusals import ChainMoved, RefusedSignature, UnknownPerson
from calc.archive.signing.signer import Signer, Stamp
from calc.archive.signing.update import Pdf, place_of, readable, with_stamp
from calc.archive.store.contract import Entry, Store, head
from calc.inputs.reading.glyphs import first_without_glyph
from calc.package.pages import environment
from calc.package.render import render_pdf
from calc.package.shown import cut

SIGNED = "signed.pdf"
DONE = {"originator": "Made by", "checker": "Checked by", "approver": "Approved by"}
UNPRINTABLE = "\N{REPLACEMENT CHARACTER}"


def person_of(manifest: Issued, role: Role, name: str | None) -> PersonName:
    """Who signs in a role: the person whom the record of the issue names for it, and nobody else."""
    person = manifest.people.of(role)
    if name is None or same_label(name, person.name):
        return person
    others = [other for other in ROLES if same_label(name, manifest.people.of(other).name)]
    who = f"{name} is the {others[0]} of" if others else f"{name} is not named in"
    message = f"{who} {words_of_issue(manifest)}; its {role} is {person.name}"
    raise UnknownPerson(message)


def refuse(manifest: Issued, today: str, done: Sequence[SignOff], role: Role, certificate: Certificate | None) -> None:
    """Refuse a sign-off that may not be made; `today` is what the revision is now, `done` are those made, in order."""
    for reason in (_status(manifest, today), _turn(manifest, done, role), _means(done, certificate)):
        if reason:
            message = f"{words_of_issue(manifest)} cannot be signed by the {role}: {reason}"
            raise RefusedSignature(message)


def _status(manifest: Issued, today: str) -> str:
    if today in {SUPERSEDED, WITHDRAWN}:
        return f"it is {today}"
    draft = isinstance(manifest, Manifest) and manifest.revision.words == DRAFT
    return "it is a draft; what is signed has been issued for something" if draft else ""


def _turn(manifest: Issued, done: Sequence[SignOff], role: Role) -> str:
    """People sign in their order, each once, and nobody in two roles."""
    for sign_off in done:
        if sign_off.role == role:
            when = f"on {sign_off.signed_at:%Y-%m-%d %H:%M} UTC (record {sign_off.sequence})"
            return f"{sign_off.person.name} signed as {role} {when}"
    if len(done) < ROLES.index(role):
        return f"the {ROLES[len(done)]} signs before"
    name = manifest.people.of(role).name
    twice = [other for other in ROLES if other != role and same_label(name, manifest.people.of(other).name)]
    return f"{name} is its {twice[0]}, too; each role is another person" if twice else ""


def _means(done: Sequence[SignOff], certificate: Certificate | None) -> str:
    if done and (done[0].certificate is None) != (certificate is None):
        first = "without a certificate" if done[0].certificate is None else "with a certificate"
        return f"the originator signed {first}, and all sign alike"
    # Another certificate for the same key is no other person.
    same = [
        sign_off
        for sign_off in done
        if certificate and sign_off.certificate and sign_off.certificate.key == certificate.key
    ]
    return f"the {same[0].role} signed with this certificate or another one for its key" if same else ""


def sign(
    store: Store, issue: Entry, role: Role, name: str | None, signer: Signer | None, tell: Callable[[str], None]
) -> tuple[Entry, bytes]:
    """Sign a revision or an addendum; the line of the record and the signed copy. Nothing is changed where it raises.

    The rules are asked once more inside the lock: somebody else may have signed or issued meanwhile.
    """
    manifest, entries = issued_record(store, issue), store.entries()
    person = person_of(manifest, role, name)
    certificate = signer.certificate if signer else None
    done = sign_offs(store, entries, issue)
    refuse(manifest, standings(entries).get(issue.sequence, ""), [sign_off for sign_off, _ in done], role, certificate)
    tell("writing the signed copy")
    moment = dt.datetime.now(dt.UTC).replace(microsecond=0)
    package = content_of(store, manifest.file("package"))
    before = content_of(store, done[-1][0].file("signed")) if done else package
    lines = stamp_words(role, person, moment, certificate)
    stamp = Stamp(role, _page(package, role, lines, moment), ", ".join(lines))
    copy = signer.sign(before, stamp) if signer else with_stamp(before, role, stamp.page, stamp.words)
    stored = StoredFile(name=SIGNED, role="signed", sha256=store.put(copy), size=len(copy))

    def make(entries: Sequence[Entry]) -> Record:
        now = sign_offs(store, entries, issue)
        today = standings(entries).get(issue.sequence, "")
        refuse(manifest, today, [sign_off for sign_off, _ in now], role, certificate)
        if [digest for _, digest in now] != [digest for _, digest in done]:
            message = f"somebody else has signed {words_of_issue(manifest)} in the meantime"
            raise ChainMoved(message)
        return SignOff(
            format=1,
            kind=SIGN_OFF,
            sequence=len(entries) + 1,
            previous=head(entries),
            document=manifest.document,
            label=manifest.label,
            issue=issue.sha256,
            package=manifest.file("package").sha256,
            role=role,
            person=person,
            signed_at=moment,
            certificate=certificate,
            program=this_program(),
            files=(stored,),
        )

    return store.append(make), copy


def _page(package: bytes, role: Role, lines: list[str], moment: dt.datetime) -> bytes:
    with readable():
        left, bottom, right, top = place_of(Pdf(package), role)[1]
    return stamp_pdf(lines, sha256(package).hexdigest(), (right - left, top - bottom), moment)


def stamp_words(role: str, person: PersonName, moment: dt.datetime, certificate: Certificate | None) -> list[str]:
    """The lines of a stamp."""
    how = f"certificate {certificate.subject}, {certificate.issuer}" if certificate else "sign-off without certificate"
    return [DONE[role], person.name, f"{moment:%Y-%m-%d %H:%M} UTC", how]


def stamp_pdf(lines: list[str], package: str, size: tuple[float, float], moment: dt.datetime) -> bytes:
    """A page of `size` points; `package` is the hash that is signed."""
    context = {
        "width": f"{size[0]:.3f}",
        "height": f"{size[1]:.3f}",
        "date": moment.date().isoformat(),
        "done": lines[0],
        "name": _printable(cut(lines[1], 44)),
        "when": lines[2],
        "how": _printable(cut(lines[3], 76)),
        "package": package,
    }
    return render_pdf(environment().get_template("stamp.html").render(context), (), moment.date())


def _printable(text: str) -> str:
    """Names in a certificate may hold signs that the fonts cannot print."""
    return "".join(UNPRINTABLE if first_without_glyph(sign) is not None else sign for sign in text)
