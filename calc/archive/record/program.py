"""Which program calculated: version, fingerprint, Python, machine, and the versions of what it rests on."""

import platform
from functools import cache
from importlib.metadata import PackageNotFoundError, distribution
from re import match, search

from calc import __version__
from calc.archive.record.manifest import Program
from calc.resources import program_fingerprint

NAME = "sandsleeve"


@cache
def this_program() -> Program:
    """The program that runs."""
    return Program(
        name=NAME,
        version=__version__,
        fingerprint=program_fingerprint(),
        python=platform.python_version(),
        platform=platform.platform()[:300],
        dependencies=installed_versions(NAME),
    )


def installed_versions(name: str) -> dict[str, str]:
    """Versions of everything that a package needs to run, as installed; empty where it is not installed itself."""
    versions: dict[str, str] = {}
    waiting = list(_needs(name))
    while waiting:
        package = waiting.pop()
        if package in versions:
            continue
        try:
            versions[package] = distribution(package).version
        except PackageNotFoundError:
            continue  # not asked for on this machine, such as what only other systems need
        waiting.extend(_needs(package))
    return dict(sorted(versions.items()))


def _needs(name: str) -> list[str]:
    try:
        requirements = distribution(name).requires or []
    except PackageNotFoundError:
        return []
    names = (match(r"[\w.-]+", line) for line in requirements if not search(r"\bextra\b", line))
    return [requirement[0].lower().replace("_", "-").replace(".", "-") for requirement in names if requirement]
