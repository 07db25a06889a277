"""A chosen design of a grid as a project of its own: the files of the project, the project file with its values."""

import shutil
from pathlib import Path
from tempfile import mkdtemp

from calc.study.size_search import Search

PROJECT_FILE = "project.toml"


def write_chosen(found: Search, chosen: int, project: Path, folder: Path) -> Path:
    """Write a new folder, whole or not at all: the plain files beside the project file, and that file changed.

    ``chosen`` counts from 1; dates that were searched are put in. ``FileExistsError`` where the folder is there.
    """
    design = found.best[chosen - 1]
    text = found.grid.text(design.number, design.outcome.dated.days if design.outcome.dated else ())
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
