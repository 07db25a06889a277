"""Two revisions of an archive compared, and the differences as plain data."""

from dataclasses import asdict, dataclass
from typing import Any

from calc.archive.compare.changes import Changes, VerdictChange, compare
from calc.archive.compare.rerun import Rerun
from calc.archive.record.find import content_of, manifest_of
from calc.archive.record.manifest import Manifest
from calc.archive.record.recorded import Typed, read_recorded
from calc.archive.store.contract import Entry, Store


@dataclass(frozen=True, slots=True)
class Compared:
    """The records of two revisions with their hashes, and what is different."""

    before: tuple[Manifest, str]
    after: tuple[Manifest, str]
    changes: Changes


def compare_revisions(store: Store, before: Entry, after: Entry, tolerance: float) -> Compared:
    """Compare two revisions by their stored results."""
    manifests = [(manifest_of(store, entry), entry.sha256) for entry in (before, after)]
    first, second = (
        read_recorded(content_of(store, manifest.file("results")), f"results of revision {manifest.revision.label}")
        for manifest, _ in manifests
    )
    return Compared(manifests[0], manifests[1], compare(first, second, tolerance))


def heads(found: Compared) -> tuple[str, str]:
    """One line about each of the two."""
    return _head(*found.before), _head(*found.after)


def changes_record(found: Compared) -> dict[str, Any]:
    """Every difference as plain data."""
    changes = found.changes
    return {
        "before": {"label": found.before[0].revision.label, "sha256": found.before[1]},
        "after": {"label": found.after[0].revision.label, "sha256": found.after[1]},
        "tolerance": changes.tolerance,
        "same_program": changes.programs[0] == changes.programs[1],
        "outcome": {"before": changes.outcomes[0], "after": changes.outcomes[1]},
        "inputs": [
            {"path": one.path, "before": _record(one.before), "after": _record(one.after)} for one in changes.inputs
        ],
        "verdicts": [_verdict(one) for one in changes.verdicts],
        "steps": [asdict(one) for one in changes.steps],
        "check_again": [one.key for one in changes.to_check],
    }


def rerun_record(found: Rerun) -> dict[str, Any]:
    """What computing again gave as plain data."""
    differ = [one for one in found.changes.steps if one.beyond] if found.changes else []
    return {
        "label": found.manifest.revision.label,
        "document": found.manifest.document.number,
        "sound": found.sound,
        "same_program": found.same_program,
        "identical": found.identical,
        "refused": found.refused,
        "steps": [asdict(one) for one in differ],
        "causes": [
            {"section": one.section, "chapter": one.chapter, "steps": [step.key for step in one.steps],
             "changelog": list(one.lines)}
            for one in found.causes
        ],
    }  # fmt: skip


def _head(manifest: Manifest, digest: str) -> str:
    one = manifest.revision
    return f"revision {one.label} of {one.date}, {one.words}, record {manifest.sequence} {digest[:12]}: {one.note}"


def _record(one: Typed | None) -> dict[str, Any] | None:
    return one.model_dump() if one else None


def _verdict(one: VerdictChange) -> dict[str, Any]:
    sides = {
        name: {"state": verdict.state, "stamp": verdict.words, "utilisation": verdict.utilisation} if verdict else None
        for name, verdict in (("before", one.before), ("after", one.after))
    }
    return {"section": one.section, "chapter": one.chapter, "title": one.title, "turned": one.turned} | sides
