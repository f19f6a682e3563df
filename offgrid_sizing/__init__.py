"""Size a home's battery bank, array and inverter-chargers, and show why."""

from importlib.metadata import PackageNotFoundError, version

try:
    __version__ = version("offgrid-sizing")
except PackageNotFoundError:  # running from a bare checkout
    __version__ = "0.1.0"
