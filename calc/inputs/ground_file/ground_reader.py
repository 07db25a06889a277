"""A project that begins with the ground of a file, by the ending of its name."""

from pathlib import Path

from calc.inputs.ground_file.ags import grounds_of_ags
from calc.inputs.ground_file.ground_table import grounds_of_rows, rows_of_csv, rows_of_sheet
from calc.inputs.ground_file.strata import Ground
from calc.inputs.reading.problems import InputError, InputErrors
from calc.inputs.reading.source import text_of

ENDINGS = (".csv", ".xlsx", ".ags")
LARGEST = 20_000_000


def read_ground(file: Path) -> list[Ground]:
    """The ground of a CSV, XLSX or AGS 4 file; what is wrong with it as `InputErrors`."""
    name, ending = str(file), file.suffix.lower()
    with file.open("rb") as stream:
        content = stream.read(LARGEST + 1)
    if len(content) > LARGEST:
        raise _refusal(name, f"not be larger than {LARGEST // 1_000_000} MB", "a larger file")
    if ending == ".xlsx":
        return grounds_of_rows(sheet_of(content, name), name)
    try:
        text = text_of(content)
    except UnicodeDecodeError as error:
        raise _refusal(name, "be saved as UTF-8", f"the byte 0x{content[error.start]:02x}") from None
    return grounds_of_ags(text, name) if ending == ".ags" else grounds_of_rows(rows_of_csv(text, name), name)


def sheet_of(content: bytes, name: str) -> list[list[str]]:
    """The cells of the first sheet of a workbook; a file that is none as `InputErrors`."""
    try:
        return rows_of_sheet(content, name)
    except (ImportError, InputErrors):
        raise
    except Exception as error:  # noqa: BLE001  # a damaged archive or its XML fails in any way
        raise _refusal(name, "be a workbook (XLSX)", type(error).__name__) from None


def _refusal(name: str, must: str, got: str) -> InputErrors:
    return InputErrors([InputError(name, 1, 1, "file", must, got)])
