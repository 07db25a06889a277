"""The files of installation records, by name."""

import json

from calc.site.installed.installed_pages import installed_pages
from calc.site.installed.installed_record import findings_csv, record, refused_csv
from calc.site.installed.installed_run import Installation


def installed_files(installation: Installation) -> dict[str, bytes]:
    """Addendum, lists and everything as JSON."""
    text = json.dumps(record(installation), ensure_ascii=False, allow_nan=False, indent=1)
    return {
        "installed.pdf": installed_pages(installation),
        "nonconformities.csv": findings_csv(installation),
        "refused-rows.csv": refused_csv(installation),
        "installed.json": (text + "\n").encode("utf-8"),
    }
