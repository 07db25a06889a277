"""Answers of slip searches in a folder of the user: plain data, found by the question and the program that answered.

What cannot be read, or was not written for exactly this question by exactly this program on such a processor, is none.
"""

import json
import platform
import zlib
from base64 import b64decode, b64encode
from dataclasses import fields, is_dataclass
from hashlib import sha256
from importlib.metadata import distributions
from pathlib import Path
from typing import Any

import numpy as np

from calc.kept import MOST_BYTES, KeptFiles
from calc.procedures.slip import (
    Circle,
    Contours,
    LayerForce,
    Remark,
    RequiredForce,
    Result,
    SliceTable,
    SlipError,
    Surface,
)
from calc.resources import program_fingerprint

PLAIN = {
    kind.__name__: kind for kind in (Circle, Contours, LayerForce, Remark, RequiredForce, Result, SliceTable, Surface)
}
ARRAYS = {"<f8", "<i8", "|b1"}
KIND = "_"


class UnknownKindError(TypeError):
    """Something in an answer that is no plain data."""


class KeptAnswers:
    """Answers as files in a folder, each named by the hash of its question."""

    def __init__(self, folder: Path, most_bytes: int = MOST_BYTES) -> None:
        self._files = KeptFiles(folder, most_bytes)
        self._maker = maker()

    def read(self, question: object) -> object | None:
        """The answer or the refusal (``SlipError``) to a question; None where none is kept or it is not whole."""
        content = self._files.read(self._name(question))
        try:
            answer = from_plain_data(json.loads(zlib.decompress(content))) if content else None
        except (ValueError, zlib.error, TypeError, KeyError):
            return None
        return answer if isinstance(answer, (Result, RequiredForce, SlipError)) else None

    def keep(self, question: object, answer: object) -> None:
        """Write an answer so that it appears whole or not at all; a folder that takes none is passed over."""
        self._files.keep(self._name(question), zlib.compress(json.dumps(as_plain_data(answer)).encode(), 1))

    def tidy(self) -> None:
        """Remove the longest unused answers beyond the size allowed, and files that were begun and left."""
        self._files.tidy()

    def _name(self, question: object) -> str:
        return sha256(f"{self._maker}\n{question!r}".encode()).hexdigest()


def maker() -> str:
    """Everything an answer depends on besides its question, to the last bit: program, libraries, processor."""
    cpu_features = np._core._multiarray_umath.__cpu_features__  # type: ignore[attr-defined]  # noqa: SLF001 - no other way
    features = ",".join(sorted(name for name, there in cpu_features.items() if there))
    parts = program_fingerprint(), libraries(), platform.python_version(), platform.machine(), features
    return "\n".join(parts)


def libraries() -> str:
    """The libraries whose numbers results rest on; the second comes with extras."""
    extra = [f", scipy {distribution.version}" for distribution in distributions(name="scipy")]
    return f"numpy {np.__version__}{''.join(extra)}"


def as_plain_data(value: Any) -> Any:
    """Plain data that gives the same again: no number loses a digit, no tuple becomes a list."""
    if value is None or type(value) in {bool, int, float, str}:
        return value
    if type(value) is tuple:
        return [as_plain_data(part) for part in value]
    if type(value) is dict:
        return {KIND: "dict", "items": [[as_plain_data(key), as_plain_data(part)] for key, part in value.items()]}
    if isinstance(value, (np.ndarray, np.generic)) and value.dtype.str in ARRAYS:
        content = b64encode(np.ascontiguousarray(value).tobytes()).decode()
        scalar = isinstance(value, np.generic)
        return {KIND: "array", "type": value.dtype.str, "shape": list(value.shape), "scalar": scalar, "bytes": content}
    if is_dataclass(value) and type(value).__name__ in PLAIN:
        values = {field.name: as_plain_data(getattr(value, field.name)) for field in fields(value)}
        return {KIND: type(value).__name__, "fields": values}
    if type(value) is SlipError:
        return {KIND: "refused", "why": [str(part) for part in value.args]}
    message = f"an answer holds {type(value).__name__}"
    raise UnknownKindError(message)


def from_plain_data(value: Any) -> Any:
    """What was made plain data."""
    if isinstance(value, list):
        return tuple(from_plain_data(part) for part in value)
    if not isinstance(value, dict):
        return value
    match value[KIND]:
        case "dict":
            return {from_plain_data(key): from_plain_data(part) for key, part in value["items"]}
        case "array" if value["type"] in ARRAYS:
            made = np.frombuffer(b64decode(value["bytes"]), value["type"]).reshape(value["shape"]).copy()
            return made[()] if value["scalar"] else made
        case "refused":
            return SlipError(*value["why"])
        case kind:
            return PLAIN[kind](**{name: from_plain_data(part) for name, part in value["fields"].items()})
