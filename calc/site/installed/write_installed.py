"""The files of installation records, by name."""

import json

from calc.site.installed.installed_pages import installed_pages
from calc.site.installed.installed_record import findings_csv, record, refused_csv
from calc.site.installed.installed_run import Installation


def installed_files(found: Installation) -> dict[str, bytes]:
    """Addendum, lists and everything as JSON."""
    text = json.dumps(record(found), ensure_ascii=False, allow_nan=False, indent=1)
    return {
        "installed.pdf": installed_pages(found),
        "nonconformities.csv": findings_csv(found),
        "refused-rows.csv": refused_csv(found),
        "installed.json": (text + "\n").encode("utf-8"),
    }
