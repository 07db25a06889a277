"""What needs packages that not everybody installs: asked for here, so that an archive can be read without them."""

# ruff: noqa: PLC0415 - that they are imported where they are needed is the purpose

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from calc.archive.record.manifest import SignOff
from calc.archive.refusals import MissingExtra
from calc.archive.signing.signer import Signer

if TYPE_CHECKING:
    from calc.archive.store.server import ServerStore
    from calc.inputs import Design
    from calc.site.plan.in_package import PlanPart
    from calc.study.study_parts import StudyPart


def column_plan(design: "Design") -> "PlanPart | None":
    """The column plan of a design, None where the project has none."""
    if design.plan is None:
        return None
    try:
        from calc.site.plan.in_package import plan_part
    except ImportError as error:
        message = "a package with a column plan needs packages that are not installed: pip install 'sandsleeve[site]'"
        raise MissingExtra(message) from error
    return plan_part(design)


def studies(records: Mapping[str, bytes], design: "Design") -> "list[StudyPart]":
    """The studies of a design that a package ends with, of records by the names of their files."""
    if not records:
        return []
    try:
        from calc.study.study_parts import read_studies
    except ImportError as error:
        message = "a package with a study needs packages that are not installed: pip install 'sandsleeve[study]'"
        raise MissingExtra(message) from error
    return read_studies(records, design)


def signer_from(path: Path, password: str) -> Signer:
    """Who signs with a PKCS#12 file, today."""
    try:
        from calc.archive.signing.certificate import read_signer
    except ImportError as error:
        message = "signing with a certificate needs packages that are not installed: pip install 'sandsleeve[sign]'"
        raise MissingExtra(message) from error
    return read_signer(path, password, dt.datetime.now(dt.UTC))


def signatures_checker(trust: str) -> Callable[[bytes, Sequence[SignOff]], list[str]] | None:
    """What checks the signatures of a copy, None without its packages; `trust` is a file of authorities, or ""."""
    try:
        from calc.archive.signing.signature_check import read_roots, signature_problems
    except ImportError as error:
        if not trust:
            return None
        message = "--trust needs packages that are not installed: pip install 'sandsleeve[sign]'"
        raise MissingExtra(message) from error
    return partial(signature_problems, roots=read_roots(Path(trust)) if trust else ())


def server_store() -> "type[ServerStore]":
    """The store of archives on servers."""
    try:
        from calc.archive.store.server import ServerStore
    except ImportError as error:
        message = "an archive on a server needs packages that are not installed: pip install 'sandsleeve[server]'"
        raise MissingExtra(message) from error
    return ServerStore
