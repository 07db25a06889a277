"""The library of drawings, loaded without its look at the user's folders.

When it is loaded it writes a list of the fonts of the machine there, which no drawing here needs, and reads settings.
"""

import os
from tempfile import TemporaryDirectory

_FOLDERS = ("XDG_CACHE_HOME", "XDG_CONFIG_HOME")
_before = {name: os.environ[name] for name in _FOLDERS if name in os.environ}
with TemporaryDirectory(prefix="sandsleeve-") as _room:
    os.environ.update(dict.fromkeys(_FOLDERS, _room))
    try:
        import ezdxf
    finally:
        for _name in _FOLDERS:
            del os.environ[_name]
        os.environ.update(_before)

__all__ = ["ezdxf"]
