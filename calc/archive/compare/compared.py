"""Two revisions of an archive compared, and the differences as plain data."""

from dataclasses import asdict, dataclass
from typing import Any

from calc.archive.compare.changes import Changes, VerdictChange, compare
from calc.archive.compare.rerun import PlanAgain, Rerun
from calc.archive.compare.rerun_addendum import AddendumRerun
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


def heads(compared: Compared) -> tuple[str, str]:
    """One line about each of the two."""
    return _head(*compared.before), _head(*compared.after)


def changes_record(compared: Compared) -> dict[str, Any]:
    """Every difference as plain data."""
    changes = compared.changes
    return {
        "before": {"label": compared.before[0].revision.label, "sha256": compared.before[1]},
        "after": {"label": compared.after[0].revision.label, "sha256": compared.after[1]},
        "tolerance": changes.tolerance,
        "same_program": changes.programs[0] == changes.programs[1],
        "outcome": {"before": changes.outcomes[0], "after": changes.outcomes[1]},
        "inputs": [
            {"path": change.path, "before": _record(change.before), "after": _record(change.after)}
            for change in changes.inputs
        ],
        "verdicts": [_verdict(verdict) for verdict in changes.verdicts],
        "steps": [asdict(step) for step in changes.steps],
        "check_again": [change.key for change in changes.to_check],
    }


def rerun_record(rerun: Rerun | AddendumRerun) -> dict[str, Any]:
    """What computing again gave as plain data."""
    if isinstance(rerun, AddendumRerun):
        return {
            "label": rerun.addendum.label, "document": rerun.addendum.document.number, "sound": rerun.sound,
            "same_program": rerun.same_program, "identical": rerun.identical, "refused": rerun.refused,
            "differ": list(rerun.differ),
        }  # fmt: skip
    differ = [step for step in rerun.changes.steps if step.beyond] if rerun.changes else []
    return {
        "label": rerun.manifest.revision.label,
        "document": rerun.manifest.document.number,
        "sound": rerun.sound,
        "same_program": rerun.same_program,
        "identical": rerun.identical,
        "refused": rerun.refused,
        "plan": _plan(rerun.plan),
        "studies": [asdict(study) for study in rerun.studies],
        "steps": [asdict(step) for step in differ],
        "causes": [
            {"section": cause.section, "chapter": cause.chapter, "steps": [step.key for step in cause.steps],
             "changelog": list(cause.lines)}
            for cause in rerun.causes
        ],
    }  # fmt: skip


def _plan(again: PlanAgain | None) -> dict[str, Any] | None:
    if again is None:
        return None
    recorded, now = (plan.model_dump() if plan else None for plan in (again.recorded, again.now))
    return {"recorded": recorded, "now": now, "differs": again.differs, "changelog": list(again.lines)}


def _head(manifest: Manifest, digest: str) -> str:
    line = manifest.revision
    return f"revision {line.label} of {line.date}, {line.words}, record {manifest.sequence} {digest[:12]}: {line.note}"


def _record(typed: Typed | None) -> dict[str, Any] | None:
    return typed.model_dump() if typed else None


def _verdict(change: VerdictChange) -> dict[str, Any]:
    sides = {
        name: {"state": verdict.state, "stamp": verdict.words, "utilisation": verdict.utilisation} if verdict else None
        for name, verdict in (("before", change.before), ("after", change.after))
    }
    return {
        "section": change.section,
        "chapter": change.chapter,
        "title": change.title,
        "turned": change.turned,
    } | sides
