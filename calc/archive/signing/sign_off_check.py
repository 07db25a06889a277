"""The sign-offs of an archive against its issues: order, people, packages, signed copies, signatures."""

from collections.abc import Callable, Iterator, Mapping, Sequence

from calc.archive.extras import signatures_checker
from calc.archive.record.find import content_of
from calc.archive.record.manifest import ROLES, Issued, Manifest, SignOff
from calc.archive.record.revisions import clean
from calc.archive.record.status import DRAFT, same_label
from calc.archive.refusals import DamagedArchive
from calc.archive.store.contract import Store

Check = Callable[[bytes, Sequence[SignOff]], list[str]]


def sign_off_problems(
    store: Store, issued: Mapping[str, Issued], signed: Sequence[SignOff], trust: str = ""
) -> tuple[list[str], list[str]]:
    """What is wrong with sign-offs whose files are sound, and what could not be checked.

    `issued` are the records of revisions and addenda by their hashes, `trust` is a file with certificates of
    authorities, or "".
    """
    problems: list[str] = []
    by_certificate = sum(sign_off.certificate is not None for sign_off in signed)
    check = signatures_checker(trust) if by_certificate else None
    newest = {sign_off.issue: sign_off.sequence for sign_off in signed}
    done: dict[str, list[SignOff]] = {}
    for sign_off in signed:
        before = done.setdefault(sign_off.issue, [])
        # The newest copy begins with the bytes of the others and holds their signatures.
        reads = check if newest[sign_off.issue] == sign_off.sequence else None
        place = clean(f"record {sign_off.sequence}, sign-off of revision {sign_off.label} by the {sign_off.role}")
        problems += [
            f"{place}: {text}" for text in _problems(store, issued.get(sign_off.issue), before, sign_off, reads)
        ]
        before.append(sign_off)
    return problems, list(_notes(by_certificate, check is not None, trust))


def _notes(count: int, checked: bool, trust: str) -> Iterator[str]:
    if count and not checked:
        yield (f"{count} signatures by certificate were not read, only their hashes were checked: that needs "
               "pip install 'sandsleeve[sign]'")  # fmt: skip
    elif count and not trust:
        yield f"{count} signatures are by the certificates of their records; who issued those was not asked (--trust)"


def _problems(
    store: Store, issue: Issued | None, before: Sequence[SignOff], off: SignOff, check: Check | None
) -> Iterator[str]:
    if issue is None:
        yield "the record of its issue is not in the chain before it"
        return
    yield from _facts(issue, before, off)
    try:
        copy = content_of(store, off.file("signed"))
        begin = content_of(store, before[-1].file("signed") if before else issue.file("package"))
    except DamagedArchive as error:
        yield str(error)
        return
    if not copy.startswith(begin) or len(copy) == len(begin):
        yield "the signed copy does not begin with the bytes that it signs"
    if off.certificate and check:
        yield from (f"the signed copy: {text}" for text in check(copy, [*before, off]))


def _facts(issue: Issued, before: Sequence[SignOff], off: SignOff) -> Iterator[str]:
    roles = (*(other.role for other in before), off.role)
    ways = {other.certificate is None for other in (*before, off)}
    wrong = {
        "it signs another package than the one issued": off.package != issue.file("package").sha256,
        "it names another revision than its issue":
            (off.label, off.document) != (issue.label, issue.document),
        f"{off.person.name} is not the {off.role} of its issue":
            not same_label(off.person.name, issue.people.of(off.role).name),
        "a draft is not signed": isinstance(issue, Manifest) and issue.revision.words == DRAFT,
        "it is out of order": roles != tuple(ROLES[: len(roles)]),
        "it is not made as the one before it": len(ways) > 1,
    }  # fmt: skip
    yield from (text for text, is_wrong in wrong.items() if is_wrong)
    for other in before:
        if same_label(other.person.name, off.person.name):
            yield f"{off.person.name} signed as {other.role}, too"
        if other.certificate and off.certificate and other.certificate.key == off.certificate.key:
            yield f"it is made with the key of the {other.role}"
