"""Every equation of the project; importing this package completes the registry of formulas."""

from importlib import import_module
from pkgutil import iter_modules

from calc.formulas import common_symbols as _symbols  # noqa: F401 - those that several files use are declared first

for _module in iter_modules(__path__):
    import_module(f"{__name__}.{_module.name}")
