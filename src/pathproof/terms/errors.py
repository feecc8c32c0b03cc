"""Every error that Pathproof raises on purpose.

    PathproofError
    +-- CalcError
    |   +-- InvalidInputError (also ValueError): nonsense, such as NaN or a negative length
    |   +-- OutOfRangeError (also ValueError): outside the range a source covers
    +-- ProtocolError
    |   +-- LocalProtocolError: our own mistake
    |   +-- RemoteProtocolError: the other side's mistake
    +-- JobError: a job file, record entry, catalogue or profile that cannot be used
    |   +-- NewerFormatError: written by a newer Pathproof
    |   +-- LaterEntriesError: the record holds entries dated after the as-of date
    +-- PlanError: a plan file that cannot be read
    +-- ServingError: the app cannot be served, or its data not backed up or restored

A message says what was given, what is allowed and what to do.
"""


class PathproofError(Exception):
    """Base of all errors a person can mend."""


class CalcError(PathproofError):
    """A calculation that cannot be done."""


class InvalidInputError(CalcError, ValueError):
    """A value that makes no sense: not finite, or of the wrong sign."""


class OutOfRangeError(CalcError, ValueError):
    """A value outside the range that a source covers."""

    def __init__(
        self, parameter: str, value: float, low: float, high: float, unit: str, source: str
    ) -> None:
        self.parameter = parameter
        self.value = value
        self.low = low
        self.high = high
        self.unit = unit
        self.source = source
        super().__init__(
            f"{parameter} was {value:g} {unit}; {source} covers {low:g} to {high:g} {unit}."
        )


class ProtocolError(PathproofError):
    """A message that does not follow its standard."""


class LocalProtocolError(ProtocolError):
    """We were asked to do something the standard does not allow."""


class RemoteProtocolError(ProtocolError):
    """The other side sent something the standard does not allow."""


class JobError(PathproofError):
    """A job file, record entry, catalogue or profile that cannot be used."""


class NewerFormatError(JobError):
    """A file written by a newer Pathproof; it is refused, never half-read."""


class LaterEntriesError(JobError):
    """A record with entries dated after the as-of date, where nobody said to leave them out."""


class PlanError(PathproofError):
    """A plan file that cannot be read."""


class ServingError(PathproofError):
    """The app cannot be served, or its data not backed up or restored."""
