"""One tree of errors. Each carries plain faults: what is wrong, where, and what to do.

    SitingError
      InputError    (ValueError)   a file, a field or a point that the user gave cannot be used
      FrameError    (ValueError)   a coordinate system cannot serve
      TerrainGap    (LookupError)  the DEM has no height where the plan needs one
      OutOfMethod   (ValueError)   a formula was asked outside its stated range
      WriteError    (OSError)      a file cannot be written

A broken rule of the land is not an error: it is a failed check inside the plan.
Only the command line and the page print errors.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Self


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong, in words a user can act on."""

    code: str  # stable name, listed in docs/errors.md
    where: str  # the file with its key, line, feature or point
    what: str  # what is wrong there, with the value found
    do: str  # what to do about it

    def line(self) -> str:
        """The fault as one plain line, no unit."""
        end = "" if self.do.endswith(("?", ".", "…")) else "."
        text = f"{self.where}: {self.what}. {self.do[:1].upper()}{self.do[1:]}{end}"
        return " ".join(text.split())


class SitingError(Exception):
    """No plan can be made, or a file cannot be written. Holds one or more faults."""

    exit_code = 2

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        super().__init__(faults)
        self.faults = tuple(faults)

    @classmethod
    def of(cls, code: str, where: str, what: str, do: str) -> Self:
        """An error with a single fault, no unit."""
        return cls((Fault(code, where, what, do),))

    def __str__(self) -> str:
        return "\n".join(fault.line() for fault in self.faults)


class InputError(SitingError, ValueError):
    """A file, a field or a point that the user gave cannot be used."""


class FrameError(SitingError, ValueError):
    """A coordinate system cannot serve the purpose it was named for."""


class TerrainGap(SitingError, LookupError):
    """The DEM has no height where the plan needs one."""


class OutOfMethod(SitingError, ValueError):
    """A formula was asked outside its stated range."""


class WriteError(SitingError, OSError):
    """A file or a folder cannot be written."""
