"""Gate-sequence optimiser: the library. It knows no web, no database and no command line."""

from importlib.metadata import PackageNotFoundError, version

try:
    __version__ = version("tapcall")
except PackageNotFoundError:  # a checkout that was not installed
    __version__ = "0.0.0"
