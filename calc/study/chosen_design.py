"""A chosen design of a grid as a project of its own: the files of the project, the project file with its values."""

import shutil
from pathlib import Path
from tempfile import mkdtemp
from textwrap import wrap

from calc.engine.words import words_of
from calc.inputs import read_design
from calc.study.report import clean
from calc.study.size_search import Search
from calc.study.vary.project_values import design_outside

say = words_of(__name__)

PROJECT_FILE = "project.toml"
MARK = "set by sandsleeve size"
WIDTH = 118


def cautions_of(search: Search, chosen: int) -> list[str]:
    """Where values of a design lie far outside of what [vary] of the project says of them."""
    grid = search.grid
    design = read_design(grid.design.source.parent, grid.text(search.best[chosen - 1].number).encode())
    return design_outside(design, next(section for section in design.sections if section.key == grid.section.key))


def chosen_text(search: Search, chosen: int) -> str:
    """The project file with a design in it; what was written is marked, its head says what it is, with cautions."""
    design, grid = search.best[chosen - 1], search.grid
    text = grid.text(design.number, design.outcome.dated.days if design.outcome.dated else (), MARK)
    what = say("what", chosen=chosen, section=grid.section.key, hash=grid.design.sha256[:16], mark=MARK)
    said = [what, *(say("caution", text=clean(caution)) for caution in cautions_of(search, chosen))]
    head = "".join(f"# {line}\n" for words in said for line in wrap(words, WIDTH))
    schema, end, rest = text.partition("\n") if text.startswith("#:schema") else ("", "", text)
    return f"{schema}{end}{head}{rest}"


def write_chosen(search: Search, chosen: int, project: Path, folder: Path) -> Path:
    """Write a new folder, whole or not at all: the plain files beside the project file, and that file changed.

    ``chosen`` counts from 1; dates that were searched are put in. ``FileExistsError`` where the folder is there.
    """
    text = chosen_text(search, chosen)
    folder.parent.mkdir(parents=True, exist_ok=True)
    begun = Path(mkdtemp(prefix=f".{folder.name}.", dir=folder.parent))
    try:
        for path in sorted(project.iterdir()):
            if path.is_file() and path.name != PROJECT_FILE and not path.name.startswith("."):
                shutil.copyfile(path, begun / path.name)
        (begun / PROJECT_FILE).write_text(text, encoding="utf-8", newline="")
        begun.chmod(0o755)
        if folder.exists():
            raise FileExistsError(str(folder))
        begun.rename(folder)
    finally:
        shutil.rmtree(begun, ignore_errors=True)
    return folder
